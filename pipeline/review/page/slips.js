/** Slips of the pile: made once, and filled again and again while the pile is scrolled. */
import { el } from "./dom.js";
import { icon } from "./icons.js";
import { pendingOn, troubleOn } from "./outbox.js";
import { desk } from "./state.js";
import { amount, clock, nameOf, SHORT_STATES, slanted } from "./wording.js";

export const HIGH = 46;

/** The state of an event as sign and words; what is not confirmed is never shown as decided. @param {import("./state.js").Row} row */
export function stateOf(row) {
  if (troubleOn(row.eventID)) return ["conflict", "not saved"];
  if (pendingOn(row.eventID)) return ["sending", desk.online ? "sending" : "waiting"];
  if (row.ask && row.reviewStatus === "draft") return ["ask", "asked about"];
  return [row.reviewStatus, SHORT_STATES[row.reviewStatus]];
}

/** A slip and its parts, as yet empty. */
function blankSlip() {
  const part = (name, ...children) => el("span", { class: name }, ...children);
  const level = el("i"),
    doubt = el("span", { class: "unseen" });
  const parts = {
    sign: part("s-sign"),
    name: part("s-name"),
    many: part("s-many num"),
    time: part("s-time num"),
    heard: part("s-heard"),
    doubt: part("s-doubt", level, doubt),
    state: part("s-state"),
  };
  const element = el("div", { role: "option" }, ...Object.values(parts));
  return { element, parts, level, doubt, drawnSign: "" };
}

const blankBand = () => {
  const head = el("span"),
    sum = el("span", { class: "num" });
  return { element: el("div", { class: "pile-band", "aria-hidden": "true" }, head, sum), head, sum };
};

const spare = { slip: [], band: [] };

/** Takes a slip out of sight, to be used again. @param {ReturnType<typeof slip>} one */
export function putBack(one) {
  one.element.remove();
  spare[one.kind].push(one);
}

/**
 * A slip or band for a place in the pile, perhaps one that was used before.
 * @param {import("./queue.js").Entry} entry @param {number} n its place @param {number} many places in all
 */
export function slip(entry, n, many) {
  const kind = entry.id ? "slip" : "band";
  const one = spare[kind].pop() || { kind, ...(kind === "slip" ? blankSlip() : blankBand()) };
  one.element.style.transform = `translateY(${n * HIGH}px)`;
  if (entry.id) fillSlip(one, entry, n, many);
  else {
    one.head.textContent = entry.head;
    one.sum.textContent = entry.n;
  }
  return one;
}

/** Writes on a slip what its event is now. */
export function fillSlip(one, entry, n, many) {
  const { element, parts } = one;
  const row = desk.events.get(entry.id);
  for (const [name, value] of [
    ["id", `slip-${n}`],
    ["data-event", entry.id],
    ["aria-selected", String(entry.id === desk.current)],
    ["aria-setsize", many],
    ["aria-posinset", n + 1],
  ])
    if (element.getAttribute(name) !== String(value)) element.setAttribute(name, value);
  const [sign, words] = row ? stateOf(row) : ["gone", ""];
  element.className = row ? `slip is-${sign}` : "slip gone";
  if (one.drawnSign !== sign) parts.sign.replaceChildren(row ? icon(sign) : "");
  one.drawnSign = sign;
  parts.name.className = row?.recordKind === "occurrence" && slanted(row.taxonRank) ? "s-name slant" : "s-name";
  parts.name.textContent = row ? nameOf(row) : "taken away";
  parts.many.textContent = row ? manyOf(row) : "";
  parts.time.textContent = row ? clock(row.startTime) : "";
  parts.heard.textContent = row?.verbatimIdentification ? `“${row.verbatimIdentification}”` : row?.speaker || "";
  parts.doubt.hidden = sign !== "draft";
  parts.state.hidden = sign === "draft";
  if (sign === "draft") {
    const doubt = Math.round((row.doubt || 0) * 100);
    one.level.style.width = `${doubt}%`;
    one.doubt.textContent = `doubt ${doubt} of 100`;
  } else {
    const other = row?.reviewedBy && row.reviewedBy !== desk.run.me && sign === row.reviewStatus;
    parts.state.textContent = words + (other ? `, ${row.reviewedBy}` : "");
  }
}

function manyOf(row) {
  if (row.individualCount === 1) return "";
  return Number.isInteger(row.individualCount) ? `×${row.individualCount}` : amount(row);
}
