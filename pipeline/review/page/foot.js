/** Mast and foot: title, how much is left, who is here, the cautions. */
import { byId, el, inFrame } from "./dom.js";
import { waiting } from "./outbox.js";
import { desk, on, tally } from "./state.js";

let later = 0;

function drawTally() {
  const sums = tally();
  const parts = [
    ["accepted", sums.accepted],
    ["changed", sums.changed],
    ["rejected", sums.rejected],
    ["asked about", sums.ask],
  ].filter(([, n]) => n);
  byId("tally").replaceChildren(
    el("b", { class: "num", text: sums.draft.toLocaleString("en") }),
    ` of ${sums.total.toLocaleString("en")} to decide`,
    ...parts.map(([words, n]) => el("span", { class: "num", text: `${n.toLocaleString("en")} ${words}` })),
  );
  clearTimeout(later);
  later = setTimeout(drawTitle, 300);
}

function drawTitle() {
  document.title = `${tally().draft}${waiting().length ? " (saving)" : ""} to decide: ${desk.run?.title || "review desk"}`;
}

function drawWho() {
  const others = [...new Set(desk.here)].filter((name) => name !== desk.run.me);
  byId("who").replaceChildren(
    "At this desk: ",
    el("b", { text: desk.run.me || "you" }),
    others.length ? `, with ${others.join(", ")}` : "",
    ` · ${desk.run.software || ""}`,
  );
}

/** Puts both to work. */
export function startFoot() {
  on("opened", () => {
    byId("title").textContent = desk.run.title || "Review desk";
    if (desk.run.caution) byId("caution").textContent = desk.run.caution;
    byId("caution").title = desk.run.caution || "";
    drawTally();
    drawWho();
  });
  for (const topic of ["rows", "outbox"]) on(topic, () => inFrame(drawTally));
  on("reviewers", () => inFrame(drawWho));
}
