/** Events and each other: merge, link and split. */
import { targetOf } from "./deciding.js";
import { el, say } from "./dom.js";
import { NameSearch } from "./names.js";
import { send } from "./outbox.js";
import { chief, closeSheet, field, sheet } from "./sheets.js";
import { currentRow, desk } from "./state.js";
import { amount, clock, nameOf, slanted } from "./wording.js";

const RELATIONS = ["on", "in", "with", "under", "over", "holding", "held by", "eating", "eaten by", "host of"];
const MOST = 9;

/** Other animals of the recording, the nearest in time first. @param {any} row @param {string} text */
function nearby(row, text) {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean);
  return [...desk.events.values()]
    .filter(
      (other) =>
        other.eventID !== row.eventID &&
        other.recordingID === row.recordingID &&
        other.recordKind === row.recordKind &&
        other.reviewStatus !== "rejected",
    )
    .filter((other) => {
      const all =
        `${nameOf(other)} ${other.vernacularName || ""} ${other.verbatimIdentification || ""} ${clock(other.startTime)}`.toLowerCase();
      return words.every((word) => all.includes(word));
    })
    .sort((a, b) => Math.abs(a.startTime - row.startTime) - Math.abs(b.startTime - row.startTime))
    .slice(0, MOST);
}

/** @param {string} title @param {string} hint @param {Node[]} more @param {(other: any) => void} take @param {string} words */
function pickEvent(title, hint, more, take, words) {
  const row = currentRow();
  let found = [],
    at = 0;
  const list = el("ol", { class: "names found", role: "listbox", id: "other-events", "aria-label": "Events" });
  const input = el("input", {
    type: "search",
    role: "combobox",
    autocomplete: "off",
    "aria-controls": "other-events",
    "aria-expanded": "true",
    "aria-autocomplete": "list",
    placeholder: "name, words or time",
    data: { first: "" },
  });
  const show = () => {
    list.replaceChildren(
      ...found.map((other, n) =>
        el(
          "li",
          {
            class: "name",
            id: `other-${n}`,
            role: "option",
            "aria-selected": String(n === at),
            on: { click: () => done(n) },
          },
          el("kbd", { text: n + 1, "aria-hidden": "true" }),
          el(
            "span",
            { class: "n-main" },
            el("span", { class: slanted(other.taxonRank) ? "sci slant" : "sci", text: nameOf(other) }),
            el("span", { class: "n-rank", text: amount(other) }),
          ),
          el("span", {
            class: "n-line num",
            text: `${clock(other.startTime)}${other.verbatimIdentification ? ` “${other.verbatimIdentification}”` : ""}`,
          }),
          el("span", {
            class: "n-score num",
            text: `${other.startTime < row.startTime ? "−" : "+"}${clock(Math.abs(other.startTime - row.startTime))}`,
          }),
        ),
      ),
    );
    if (found.length) input.setAttribute("aria-activedescendant", `other-${at}`);
    else input.removeAttribute("aria-activedescendant");
  };
  const look = () => {
    found = nearby(row, input.value);
    at = 0;
    show();
  };
  const done = (n) => {
    if (!found[n]) return;
    closeSheet();
    take(found[n]);
  };
  input.addEventListener("input", look);
  look();
  sheet({
    title,
    wide: true,
    submit: () => done(at),
    body: [el("p", { class: "quiet", text: hint }), ...more, field("Which event?", input), list],
    acts: [chief(words)],
    onKey: (event) => {
      if (event.key === "ArrowDown" || event.key === "ArrowUp") {
        if (event.target instanceof HTMLSelectElement) return false;
        at = found.length ? (at + (event.key === "ArrowDown" ? 1 : -1) + found.length) % found.length : 0;
        show();
        return true;
      }
      if (/^[1-9]$/.test(event.key) && !input.value) {
        done(Number(event.key) - 1);
        return true;
      }
      return false;
    },
  });
}

/** Two rows of the same animals become one. */
export function mergeSheet() {
  const row = currentRow();
  pickEvent(
    `Merge ${nameOf(row)} into …`,
    "For the same animals spoken of twice. The other event stays; this one is marked as merged into it, and can be brought back.",
    [],
    (other) => {
      send(
        "decisions",
        { action: "merge", targets: [targetOf(row), targetOf(other)], into: other.eventID },
        `merge ${nameOf(row)} into ${nameOf(other)}`,
        row.eventID,
      );
      say(`Sent: merge into ${nameOf(other)}.`);
    },
    "Merge",
  );
}

/** One animal on, in or with another. */
export function linkSheet() {
  const row = currentRow();
  const relation = el("select", null, ...RELATIONS.map((one) => el("option", { value: one, text: one })));
  pickEvent(
    `Link ${nameOf(row)} to …`,
    "An animal that is on, in or with another of this table.",
    [field(`${nameOf(row)} is …`, relation)],
    (other) => {
      send(
        "decisions",
        { action: "link", targets: [targetOf(row), targetOf(other)], into: other.eventID, relation: relation.value },
        `${nameOf(row)} ${relation.value} ${nameOf(other)}`,
        row.eventID,
      );
      say(`Sent: ${relation.value} ${nameOf(other)}.`);
    },
    "Link",
  );
}

/** One row of two kinds of animals becomes two. */
export function splitSheet() {
  const row = currentRow();
  if (!row) return;
  const first = el("input", {
    type: "number",
    min: "0",
    step: "1",
    value: Number.isInteger(row.individualCount) ? Math.max(1, row.individualCount - 1) : "",
  });
  const second = el("input", {
    type: "number",
    min: "0",
    step: "1",
    value: Number.isInteger(row.individualCount) ? 1 : "",
  });
  const chosen = el("p", {
    class: "chosen",
    "aria-live": "polite",
    text: `The second part keeps the name ${nameOf(row)}.`,
  });
  let taxon = null;
  const search = new NameSearch({
    label: "The second part is",
    context: () => ({ recordingID: row.recordingID, eventID: row.eventID }),
    take: (name) => {
      taxon = name;
      chosen.textContent = `The second part is ${name.scientificName}.`;
      search.input.value = "";
      search.look();
      second.focus();
    },
  });
  const part = (input, more) => ({
    ...(input.value !== "" && Number(input.value) !== row.individualCount
      ? { individualCount: Number(input.value) }
      : {}),
    ...more,
  });
  const done = () => {
    closeSheet();
    send(
      "decisions",
      {
        action: "split",
        targets: [targetOf(row)],
        parts: [part(first, {}), part(second, taxon ? { taxonID: taxon.taxonID } : {})],
      },
      `split ${nameOf(row)}`,
      row.eventID,
    );
    say("Sent: split in two.");
  };
  const animal = row.recordKind === "occurrence";
  sheet({
    title: `Split ${nameOf(row)} in two`,
    wide: true,
    submit: done,
    acts: [chief("Split")],
    body: [
      el("p", {
        class: "quiet",
        text: "For two kinds of animals, or two animals at different times, under one row. The first part stays this event; the second is a new one beside it.",
      }),
      animal
        ? el(
            "div",
            { class: "grid" },
            field("How many in the first part", first),
            field("How many in the second", second),
          )
        : null,
      animal ? search.element : null,
      animal ? chosen : null,
    ],
  });
}
