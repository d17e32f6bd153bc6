/** "The same heard words": one answer for all drafts that rest on them, after a look at each. */
import { api } from "./api.js";
import { decideMany } from "./deciding.js";
import { detailNow, detail } from "./details.js";
import { el } from "./dom.js";
import { nameList } from "./names.js";
import { newUid, send } from "./outbox.js";
import { chief, closeSheet, sheet } from "./sheets.js";
import { currentRow, desk } from "./state.js";
import { clock, count, nameOf, slanted } from "./wording.js";

/** Opens the preview for the event in hand, or another. @param {string|null} [from] */
export async function sameSheet(from = null) {
  const row = from ? desk.events.get(from) : currentRow();
  if (!row || row.recordKind !== "occurrence") return;
  const note = el("p", { class: "quiet", text: "Looking for the same words …", "aria-live": "polite" });
  const box = el("div", { class: "same" }, note);
  let names = [],
    others = [],
    chosen = 0;
  const made = sheet({
    title: "The same words, the same name",
    wide: true,
    body: [box],
    submit: () => apply(),
    acts: [chief("Apply to those that are ticked")],
    onKey: (event) => {
      if (/^[1-9]$/.test(event.key) && names[Number(event.key) - 1]) {
        chosen = Number(event.key) - 1;
        show();
        return true;
      }
      if (event.key === "Enter") {
        apply();
        return true;
      }
      return false;
    },
  });
  let told, whole;
  try {
    [told, whole] = await Promise.all([api.sameWords(row.eventID), detailNow(row.eventID) || detail(row.eventID)]);
  } catch (trouble) {
    note.textContent = `${trouble.message}. ${trouble.remedy || ""}`;
    return;
  }
  if (!made.isConnected) return;
  names = (whole.candidates || []).slice(0, 9).map((name, n) => (n ? name : { ...name, why: "stands here" }));
  others = (told.events || []).filter((one) => one.eventID !== row.eventID).map((one) => ({ ...one, on: true }));
  show();

  function show() {
    if (!others.length) {
      made.querySelector(".sheet-acts").hidden = true;
      box.replaceChildren(
        el(
          "p",
          null,
          "No other draft was heard as ",
          el("q", { text: told.heard || row.verbatimIdentification || "" }),
          ".",
        ),
      );
      return;
    }
    box.replaceChildren(
      el(
        "p",
        null,
        "Heard as ",
        el("q", { text: told.heard || "" }),
        `: ${count(others.length, "other draft")}. The name for those that are ticked:`,
      ),
      nameList(
        names,
        chosen,
        (n) => {
          chosen = n;
          show();
        },
        (_, n) => ({ "aria-pressed": String(n === chosen) }),
      ),
      el(
        "ul",
        { class: "same-list" },
        ...others.map((one) => {
          const tick = el("input", {
            type: "checkbox",
            on: {
              change: (event) => {
                one.on = event.target.checked;
              },
            },
          });
          tick.checked = one.on;
          return el(
            "li",
            null,
            el(
              "label",
              null,
              tick,
              el("span", { class: "num", text: clock(one.startTime) }),
              el("span", {
                class: slanted(desk.events.get(one.eventID)?.taxonRank) ? "slant" : "",
                text: one.scientificName,
              }),
              el("q", { text: one.text || "" }),
            ),
          );
        }),
      ),
    );
    if (!made.contains(document.activeElement) || document.activeElement === made)
      made.querySelector(".chief")?.focus();
  }

  function apply() {
    const ticked = others
      .filter((one) => one.on && desk.events.has(one.eventID))
      .map((one) => desk.events.get(one.eventID));
    closeSheet();
    const name = names[chosen];
    if (!name || !ticked.length) return;
    const same = ticked.filter((one) => one.scientificName === name.scientificName),
      rest = ticked.filter((one) => one.scientificName !== name.scientificName);
    // The event itself is decided with the others where nobody has yet.
    const own = currentRow();
    if (own && own.eventID === row.eventID && own.reviewStatus === "draft")
      (own.scientificName === name.scientificName ? same : rest).push(own);
    const batch = newUid();
    if (rest.length)
      decideMany(
        "change",
        rest,
        { batch, taxonID: name.taxonID },
        `${name.scientificName} for ${count(rest.length, "event")} heard as “${told.heard}”`,
      );
    if (same.length)
      decideMany("accept", same, { batch }, `accept ${count(same.length, "event")} heard as “${told.heard}”`);
  }
}

/** Teaches that the heard words mean the name that stands. */
export function teach() {
  const row = currentRow();
  if (!row?.verbatimIdentification || row.recordKind !== "occurrence") return;
  send(
    "decisions",
    { action: "teach", targets: [{ eventID: row.eventID, version: row.version }] },
    `teach “${row.verbatimIdentification}” as ${nameOf(row)}`,
    row.eventID,
  );
}
