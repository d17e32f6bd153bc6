/** The parts of a label: each takes the row (and what more is known) and gives an element. */
import { el } from "./dom.js";
import { icon } from "./icons.js";
import { desk } from "./state.js";
import { nameList } from "./names.js";
import {
  ACTIONS,
  amount,
  CERTAINTY,
  clock,
  COLUMNS,
  figure,
  moment,
  nameOf,
  slanted,
  STATES,
  STEPS,
  told as asWords,
} from "./wording.js";

/** State, time and place. */
export function stampPart(row, whole, sign, words, play) {
  const draft = row.reviewStatus === "draft";
  const deep = whole?.row?.minimumDepthInMeters;
  return el(
    "header",
    { class: `stamp is-${sign}` },
    el(
      "p",
      { class: "stamp-state" },
      icon(sign),
      el("strong", { text: STATES[row.reviewStatus] }),
      !draft && row.reviewedBy ? el("span", { text: ` by ${row.reviewedBy}` }) : null,
      sign !== row.reviewStatus && words ? el("em", { class: "stamp-now", text: words }) : null,
    ),
    el(
      "p",
      { class: "stamp-when num" },
      (desk.run?.recordings || []).length > 1 ? el("span", { class: "stamp-where", text: row.recordingID }) : null,
      typeof deep === "number" ? el("span", { text: `${Math.round(deep).toLocaleString("en")} m` }) : null,
      el(
        "button",
        {
          type: "button",
          class: "plain when",
          "aria-label": `From ${clock(row.startTime)} to ${clock(row.endTime)}: go to this moment`,
          on: { click: play },
        },
        el("span", { text: `${clock(row.startTime, 1)} – ${clock(row.endTime, 1)}` }),
      ),
    ),
  );
}

/** What was heard, and what it was taken for. */
export function namePart(row, whole) {
  const animal = row.recordKind === "occurrence";
  const full = whole?.row || {};
  return el(
    "div",
    { class: "taken" },
    el(
      "p",
      { class: "heard" },
      ...(row.verbatimIdentification
        ? [
            "Heard ",
            el("q", { text: row.verbatimIdentification }),
            row.speaker ? ` from ${row.speaker}` : "",
            ", taken for",
          ]
        : [animal ? "Added by a person as" : row.speaker ? `${row.speaker} was heard to tell of` : "Heard"]),
    ),
    el(
      "h2",
      { class: "standing", id: "standing" },
      el("span", { class: animal && slanted(row.taxonRank) ? "sci slant" : "sci", text: nameOf(row) }),
      row.identificationQualifier ? el("span", { class: "qualifier", text: ` ${row.identificationQualifier}` }) : null,
      full.scientificNameAuthorship
        ? el("span", { class: "authors", text: ` ${full.scientificNameAuthorship}` })
        : null,
    ),
    el(
      "div",
      { class: "about" },
      animal
        ? el(
            "p",
            { class: "under" },
            ...[row.taxonRank, row.vernacularName].filter(Boolean).map((text) => el("span", { text })),
          )
        : null,
      whole?.lineage?.length > 1
        ? el(
            "p",
            { class: "lineage" },
            el("span", { class: "unseen", text: "Lineage: " }),
            ...whole.lineage.slice(0, -1).map((one) => el("span", { class: "taxon", title: one.rank, text: one.name })),
          )
        : null,
    ),
  );
}

/** Where a certainty comes from that no cue tells of. @param {Record<string, any>} row @param {any} whole @returns {string} */
function sureBy(row, whole) {
  if (!whole) return "\u00a0";
  if (whole.draft && whole.draft.certainty !== row.certainty) return "As a reviewer set it";
  return row.certaintyTerm === "certain" ? "No word of doubt was heard" : "By the talk around it, not by one word";
}

/** The two figures, side by side and never one. */
export function gaugesPart(row, whole) {
  if (row.recordKind !== "occurrence") return null;
  const fit = el("i");
  fit.style.left = `${Math.round((row.nameScore || 0) * 100)}%`;
  const cues = whole?.row?.certaintyCues || [];
  const remark = (whole?.row?.identificationRemarks || "").split(". ").find((part) => part.startsWith("Name read"));
  return el(
    "div",
    { class: "gauges" },
    el(
      "section",
      { class: "gauge fit", "aria-label": "How well the words fit the name" },
      el("h3", { text: "Words fit the name" }),
      el(
        "p",
        { class: "g-line" },
        el("b", { class: "num", text: figure(row.nameScore) }),
        el("span", { class: "scale", "aria-hidden": "true" }, fit),
      ),
      el("p", { class: "g-note", text: remark ? remark.replace(/\.$/, "") : "How sure the caption is" }),
    ),
    el(
      "section",
      { class: "gauge sure", "aria-label": "How sure the speaker was" },
      el("h3", null, "Speaker was sure ", el("kbd", { text: "s", "aria-hidden": "true" })),
      el(
        "p",
        { class: "g-line" },
        el("b", { class: "num", text: figure(row.certainty) }),
        el(
          "span",
          { class: "steps" },
          ...CERTAINTY.map((term) =>
            el("span", {
              class: term === row.certaintyTerm ? "here" : "",
              text: term,
              "aria-current": term === row.certaintyTerm ? "true" : null,
            }),
          ),
        ),
      ),
      el(
        "p",
        { class: "g-note" },
        ...(cues.length
          ? cues.slice(0, 3).flatMap((cue, n) => [n ? ", " : "", el("q", { text: cue })])
          : [sureBy(row, whole)]),
      ),
    ),
  );
}

/** Ranked names; the first is the one that stands. */
export function candidatesPart(row, whole, choose, search) {
  const head = el(
    "div",
    { class: "part-head" },
    el("h3", { text: "Names it may be" }),
    el(
      "button",
      { type: "button", class: "plain small", on: { click: search } },
      el("span", { text: "Another name" }),
      el("kbd", { text: "n", "aria-hidden": "true" }),
    ),
  );
  if (!whole)
    return el("div", { class: "names-part" }, head, el("p", { class: "quiet loading", text: "Fetching the names …" }));
  const names = (whole.candidates || []).slice(0, 9);
  return el(
    "div",
    { class: "names-part" },
    head,
    nameList(
      names,
      0,
      (n) => choose(n + 1),
      (name, n) => ({
        "aria-label": `${n + 1}: ${name.scientificName}${n ? "" : ", stands now"}${typeof name.nameScore === "number" ? `, words fit ${figure(name.nameScore)}` : ""}. ${n ? "Take it" : "Accept it"}.`,
      }),
    ),
    names.length < 2 ? el("p", { class: "quiet alone", text: "The words mean no other name of the checklist." }) : null,
  );
}

const CLAIMS = ["sex", "lifeStage", "behavior", "vitality", "colour", "positionInFrame", "habitat"];
const SAID_OF = /"([^"]+)":"([^"]+)"/g;

/** What else is claimed of it. */
export function claimsPart(row, whole, open) {
  const full = whole?.row || row;
  const lines = [];
  const add = (label, value, key) =>
    lines.push(
      el(
        "div",
        { class: value ? "claim" : "claim none" },
        el("dt", null, label, key ? el("kbd", { text: key, "aria-hidden": "true" }) : null),
        el(
          "dd",
          null,
          key
            ? el(
                "button",
                {
                  type: "button",
                  class: "plain set",
                  "aria-label": `${label}: ${value || "not told"}. Change it.`,
                  on: { click: () => open(key) },
                },
                el("span", { text: value || "not told" }),
              )
            : value,
        ),
      ),
    );
  if (row.recordKind === "occurrence") {
    add("Count", amount(row), "c");
    add("Qualifier", row.identificationQualifier, "q");
    if (typeof full.sizeValue === "number")
      add("Size", [full.sizeValue, full.sizeUnit, full.sizeMethod && `(${full.sizeMethod})`].filter(Boolean).join(" "));
    for (const name of CLAIMS)
      if (full[name])
        add(
          COLUMNS[name].replace(/^./, (c) => c.toUpperCase()),
          String(full[name]).split(" | ").join(", "),
        );
    for (const [, how, what] of (full.associatedTaxa || "").matchAll(SAID_OF))
      add(
        how.replace(/^./, (c) => c.toUpperCase()),
        what,
      );
  } else {
    for (const name of [
      "measurementType",
      "measurementValue",
      "measurementUnit",
      "habitat",
      "markerRank",
      "sampleContainer",
    ])
      if (full[name] !== null && full[name] !== undefined)
        add(
          COLUMNS[name].replace(/^./, (c) => c.toUpperCase()),
          String(full[name]),
        );
  }
  return el("dl", { class: "claims", "aria-label": "What else is claimed" }, ...lines);
}

/** Who said and decided what, the newest on top. */
export function whoPart(row, whole, more) {
  if (!whole) return el("div", { class: "who-part" });
  const slips = [];
  for (const one of [...(whole.history || [])].reverse()) slips.push(historyLine(one, row.eventID, whole));
  if (!slips.length)
    slips.push(
      el(
        "li",
        { class: "by-none" },
        el("span", { class: "w-when", text: "–" }),
        el("span", { text: "No person has decided yet" }),
      ),
    );
  if (whole.draft)
    slips.push(
      el(
        "li",
        { class: "by-machine" },
        el("span", { class: "w-when", text: "draft" }),
        el(
          "span",
          null,
          "suggested by the machine: ",
          el("b", { class: slanted(whole.draft.taxonRank) ? "slant" : "", text: nameOf(whole.draft) }),
        ),
      ),
    );
  for (const one of [...(whole.row?.determinations || [])].reverse())
    slips.push(
      el(
        "li",
        { class: "by-voice" },
        el("button", {
          type: "button",
          class: "plain w-when num",
          "aria-label": `${clock(one.time)}: go to these words`,
          data: { time: one.time },
          text: clock(one.time),
        }),
        el(
          "span",
          null,
          el("b", { text: one.speaker || "Somebody" }),
          ` ${STEPS[one.step] || one.step} `,
          el("b", { class: slanted(rankOf(one.scientificName, whole)) ? "slant" : "", text: one.scientificName || "" }),
          ", ",
          el("q", { text: one.verbatimIdentification }),
        ),
      ),
    );
  return el(
    "div",
    { class: "who-part" },
    el(
      "div",
      { class: "part-head" },
      el("h3", { text: "Who said and decided what" }),
      el(
        "button",
        { type: "button", class: "plain small", on: { click: more } },
        el("span", { text: "All of it" }),
        el("kbd", { text: "h", "aria-hidden": "true" }),
      ),
    ),
    notePart(whole),
    el("ol", { class: "who-list" }, ...slips),
  );
}

/** Questions and remarks that people left. */
function notePart(whole) {
  const own = whole.own || {};
  const lines = [
    own.askNote && ["Asked", own.askNote],
    own.reviewNote && ["Remark", own.reviewNote],
    own.mergedInto && ["Merged into", own.mergedInto],
  ].filter(Boolean);
  return lines.length
    ? el("ul", { class: "notes" }, ...lines.map(([what, text]) => el("li", null, el("b", { text: `${what}: ` }), text)))
    : null;
}

/** The rank of a name that an event bears or bore, as far as it is told. @param {string|null} name @param {any} whole */
const rankOf = (name, whole) =>
  [whole.row, whole.draft, ...(whole.candidates || [])].find((one) => one?.scientificName === name)?.taxonRank;

/** One decision as a line. @param {any} one @param {string} id @param {any} whole the event with all about it @returns {HTMLElement} */
export function historyLine(one, id, whole) {
  const change = (one.changes || []).find((other) => other.eventID === id) || {};
  const name = change.after?.scientificName;
  return el(
    "li",
    { class: one.stands === false ? "by-person taken-back" : "by-person" },
    el("span", { class: "w-when num", text: moment(one.at) }),
    el(
      "span",
      null,
      el("b", { text: one.reviewer }),
      ` ${ACTIONS[one.action] || one.action} it`,
      one.stands === false ? " (taken back)" : null,
      name
        ? [": ", el("b", { class: slanted(change.after.taxonRank || rankOf(name, whole)) ? "slant" : "", text: name })]
        : null,
      one.note ? [" ", el("q", { text: one.note })] : null,
    ),
  );
}

/** Columns that a decision changed, as lines "what: before, after". @param {any} change */
export function changeLines(change) {
  const names = Object.keys(change.after || change.before || {});
  return names
    .filter((name) => COLUMNS[name] && name !== "taxonID")
    .map((name) =>
      el(
        "li",
        null,
        el("span", { class: "quiet", text: `${COLUMNS[name]}: ` }),
        el("s", { text: asWords(change.before?.[name]) }),
        " ",
        el("b", { text: asWords(change.after?.[name]) }),
      ),
    );
}
