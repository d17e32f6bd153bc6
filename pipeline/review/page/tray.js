/** What is on its way, what waits, what was not saved; and what others do. */
import { alarm, button, byId, el, inFrame } from "./dom.js";
import { hurry, putAway, setAside, waiting } from "./outbox.js";
import { openConflict, redraftSheet, askRedraft } from "./record_sheets.js";
import { desk, goTo, on } from "./state.js";
import { count } from "./wording.js";

let news = null,
  newsTimer = 0,
  redraft = null,
  complaint = "",
  signedOut = false,
  otherDraft = false;

/** Looks at the first thing that was not saved. */
export function openTrouble() {
  const one = setAside()[0];
  if (one) openConflict(one);
}

const waits = (many) => `${count(many, "decision")} ${many === 1 ? "waits" : "wait"}`;

function draw() {
  const tray = byId("tray"),
    many = waiting().length,
    aside = setAside();
  const parts = [];
  if (signedOut)
    parts.push(
      el(
        "span",
        { class: "chip bad" },
        el("b", { text: "Signed out" }),
        many ? ` ${waits(many)} in this browser, not saved yet` : "",
      ),
      button("Sign in", null, () => location.assign("/sign-in"), { class: "small" }),
    );
  else if (!desk.online)
    parts.push(
      el(
        "span",
        { class: "chip bad" },
        el("b", { text: "No answer" }),
        many ? ` ${waits(many)}, not saved yet` : " from the desk's program",
      ),
      button("Try now", null, hurry, { class: "small plain" }),
    );
  else if (many) parts.push(el("span", { class: "chip", text: `Saving ${many}` }));
  else if (desk.run) parts.push(el("span", { class: "chip fine", text: "All saved" }));
  if (aside.length)
    parts.push(button(`${count(aside.length, "decision")} not saved`, "!", openTrouble, { class: "small alert" }));
  if (otherDraft)
    parts.push(button("Another draft: load the page again", null, () => location.reload(), { class: "small alert" }));
  if (complaint) parts.push(el("span", { class: "chip bad", text: complaint }));
  if (redraft) parts.push(button("A newer draft", null, () => redraftSheet(redraft), { class: "small plain" }));
  if (news)
    parts.push(
      button(
        news.words,
        null,
        () => {
          if (news.id) goTo(news.id);
        },
        { class: "small plain news" },
      ),
    );
  tray.replaceChildren(...parts);
}

/** Shows a piece of news for a while. @param {string} words @param {string|null} id the event it is of */
function tell(words, id) {
  news = { words, id };
  clearTimeout(newsTimer);
  newsTimer = setTimeout(() => {
    news = null;
    inFrame(draw);
  }, 12_000);
  inFrame(draw);
}

/** Puts the tray to work. */
export function startTray() {
  for (const topic of ["outbox", "online", "opened"]) on(topic, () => inFrame(draw));
  on("others", tell);
  on("refused", (item, trouble) => {
    // Nothing to undo is no trouble: it is only said.
    if (trouble.kind !== "nothing") return;
    const one = setAside().find((other) => other.item === item);
    if (one) putAway(one);
    byId("said").textContent = trouble.message;
  });
  on("confirmed", (_, told) => {
    const taught = (told.decisions || []).map((one) => one.taught).find(Boolean);
    if (!taught) return;
    tell(
      taught.scientificName
        ? `“${taught.heard}” will be heard as ${taught.scientificName}`
        : `“${taught.heard}” will be heard as no name`,
      null,
    );
  });
  on("confirmed", (_, told) => {
    signedOut = false;
    complaint = (told.complaints || [])[0] || "";
    inFrame(draw);
  });
  on("other-draft", () => {
    otherDraft = true;
    inFrame(draw);
  });
  on("sign-in", () => {
    if (!signedOut) alarm("You are signed out. What waits is kept in this browser until you sign in again.");
    signedOut = true;
    inFrame(draw);
  });
  on("opened", async () => {
    redraft = await askRedraft();
    if (redraft) inFrame(draw);
  });
  draw();
}
