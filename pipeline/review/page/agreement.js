/** The page of figures: how far reviewers agree, and where the machine's names stand. */
import { byId, el } from "./dom.js";
import { startTheme } from "./theme.js";
import { slanted } from "./wording.js";

const ASPECTS = {
  verdict: "accepted, changed or rejected", name: "the name itself", species: "species", genus: "genus", family: "family",
  certaintyTerm: "certainty", individualCount: "count",
};
const GROUPS = {
  class: "By class", order: "By order", family: "By family", "cue category": "By kind of cue", "cue words": "By words of the cue",
  matchedHow: "By how the words were matched", nameScore: "By nameScore: is it borne out?", certaintyTerm: "By certainty of the speaker",
};
/** What a row of such a table is. */
const GROUP = { class: "Class", order: "Order", family: "Family", "cue category": "Kind of cue", "cue words": "Words of the cue", matchedHow: "Matched", nameScore: "nameScore", certaintyTerm: "Certainty" };
const OPEN = ["class", "nameScore"];
const MOST = 60;

/** @typedef {{value: number|null, low: number|null, high: number|null}} Estimate */

/** @param {number|null} value */
const figure = (value) => (typeof value === "number" ? value.toFixed(2).replace("-", "−") : "–");
/** @param {number|null} value */
const percent = (value) => (typeof value === "number" ? `${Math.round(value * 100)}%` : "–");

/** @param {string} text @param {string|null} rank */
const name = (text, rank) => (slanted(rank) ? el("i", { text }) : text);

/** @param {Estimate} estimate */
const estimateCell = (estimate) => el("td", null, figure(estimate.value), estimate.low !== null && el("small", { text: ` ${figure(estimate.low)} to ${figure(estimate.high)}` }));

/** A share as a bar with the reach of its interval; the figures stand beside it. @param {{share: number, low: number, high: number}} one */
function bar(one) {
  const svg = (tag, of) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [name, value] of Object.entries(of)) made.setAttribute(name, String(value));
    return made;
  };
  const whole = svg("svg", { class: "bar", viewBox: "0 0 100 10", preserveAspectRatio: "none", "aria-hidden": "true" });
  whole.append(svg("rect", { class: "base", width: 100, height: 10 }), svg("rect", { class: "part", width: one.share * 100, height: 10 }),
    svg("line", { class: "reach", x1: one.low * 100, x2: one.high * 100, y1: 5, y2: 5 }));
  return whole;
}

/** @param {string} caption @param {string[]} heads @param {HTMLElement[]} rows @param {boolean} told whether a heading says it, too */
function table(caption, heads, rows, told = false) {
  const made = el("table", null, el("caption", { class: told ? "unseen" : "", text: caption }),
    el("thead", null, el("tr", null, ...heads.map((text) => el("th", { scope: "col", class: text === "Decided" ? "words" : "", text })))), el("tbody", null, ...rows));
  return el("div", { class: "wide", tabindex: "0", role: "region", "aria-label": caption }, made);
}

/** @param {string} caption @param {any[]} compared */
function comparison(caption, compared) {
  const hasKappa = compared.some((one) => one.kappa.value !== null);
  const rows = compared.map((one) => el("tr", null, el("th", { scope: "row", text: ASPECTS[one.aspect] || one.aspect }),
    el("td", { text: String(one.events) }), el("td", { text: one.events ? percent(one.alike / one.events) : "–" }),
    hasKappa && estimateCell(one.kappa), estimateCell(one.alpha)));
  return table(caption, ["Compared in", "Events", "Alike", ...(hasKappa ? ["Cohen's kappa (95%)"] : []), "Krippendorff's alpha (95%)"], rows);
}

/** @param {any} told */
function people(told) {
  const parts = [];
  if (told.everybody.length) parts.push(comparison(`All ${told.reviewers.length} reviewers`, told.everybody));
  const pairs = new Map();
  for (const one of told.pairs) pairs.set(one.reviewers.join(" and "), [...(pairs.get(one.reviewers.join(" and ")) || []), one]);
  for (const [who, compared] of pairs) parts.push(comparison(who, compared));
  if (!parts.length) parts.push(el("p", { text: "No event was decided on by two people yet. Once it is, their decisions are compared here." }));
  return el("section", { "aria-labelledby": "people" }, el("h2", { id: "people", text: "Reviewers with each other" }),
    el("p", { text: "Each reviewer's own last decision on an event counts. Whoever decides second sees what the first decided: the figures tell how far people stayed with each other. 0 is what chance alone would give, 1 full agreement; a dash: not defined, as all said the same." }),
    ...parts);
}

/** @param {string} by @param {any[]} shares */
function shareTable(by, shares) {
  const rows = shares.slice(0, MOST).map((one) => el("tr", null, el("th", { scope: "row", text: one.group }), el("td", { text: String(one.reviewed) }),
    el("td", { text: String(one.right) }), el("td", { text: String(one.renamed) }), el("td", { text: String(one.rejected) }),
    el("td", null, percent(one.share), el("small", { text: ` ${percent(one.low)} to ${percent(one.high)}` }), bar(one)),
    el("td", { text: figure(one.expected) })));
  const left = shares.length > MOST ? `; the ${MOST} with the most rows, the table (CSV) has all ${shares.length}` : "";
  const inside = table(GROUPS[by] + left, [GROUP[by], "Reviewed", "Right", "Renamed", "Rejected", "Share right (95%)", "Mean nameScore"], rows, !left);
  return el("details", { open: OPEN.includes(by) }, el("summary", { text: GROUPS[by] }), inside);
}

/** @param {any} told */
function machine(told) {
  const [whole, ...groups] = told.machine;
  const parts = Object.keys(GROUPS).map((by) => [by, groups.filter((one) => one.by === by)]).filter(([, shares]) => shares.length);
  const mixed = told.mixUps.slice(0, MOST).map((one) => el("tr", null, el("th", { scope: "row" }, name(one.suggested, one.suggestedRank)),
    el("td", { class: "words" }, one.decided === null ? `rejected: ${one.reason.replaceAll("-", " ")}` : name(one.decided, one.decidedRank)), el("td", { text: String(one.times) })));
  return el("section", { "aria-labelledby": "machine" }, el("h2", { id: "machine", text: "The machine with people" }),
    el("dl", { class: "whole" }, ...[["rows reviewed", whole.reviewed], ["names right", percent(whole.share)], ["renamed", whole.renamed], ["rejected", whole.rejected]].map(([words, value]) => el("div", null, el("dt", { text: String(words) }), el("dd", { text: String(value) })))),
    el("p", { text: "Right: a person let the suggested taxon stand. Where nameScore holds what it says, the mean nameScore is near the share that is right." }),
    ...parts.map(([by, shares]) => shareTable(by, shares)),
    mixed.length > 0 && table("Names that did not stand, the most frequent first", ["Suggested", "Decided", "Times"], mixed));
}

/** @param {string} head @param {string} words */
const state = (head, words) => el("section", { class: "state" }, el("h2", { text: head }), el("p", { text: words }));

async function show() {
  const place = byId("figures");
  try {
    const answer = await fetch("/api/agreement", { credentials: "same-origin", signal: AbortSignal.timeout(60_000) });
    if (!answer.ok) throw new Error(`The desk answered ${answer.status}`);
    const told = await answer.json();
    if (!told.machine.length && !told.pairs.length) place.replaceChildren(state("Nothing to compare yet", "As soon as suggestions are accepted, changed or rejected at the desk, this page tells where they were right; and how far reviewers agree, once two have decided on the same event."));
    else place.replaceChildren(...[told.machine.length > 0 && machine(told), people(told)].filter(Boolean));
  } catch (error) {
    place.replaceChildren(state("The figures cannot be had", `${error instanceof Error ? error.message : "The desk's program does not answer"}. Nothing is lost; load the page again.`));
  }
  place.setAttribute("aria-busy", "false");
}

startTheme();
show();
