/** The order in which the pile lies, and what of it is shown. */
import { pendingOn } from "./outbox.js";
import { desk } from "./state.js";
import { clock, KINDS, nameOf } from "./wording.js";

export const ORDERS = { doubt: "doubtful first", taxon: "by taxon", time: "by time", reviewer: "by reviewer" };
export const SHOWN = {
  open: "to decide",
  ask: "asked about",
  accepted: "accepted",
  changed: "changed",
  rejected: "rejected",
  all: "all",
};
export const KINDS_SHOWN = { all: "everything", ...KINDS };

export const queue = { by: "doubt", show: "open", kind: "all", text: "" };

const PLACE = "desk:queue";

/** What this tab had in hand before it was loaded again. A browser that keeps nothing is no error. */
function keptPlace() {
  try {
    return JSON.parse(sessionStorage.getItem(PLACE)) || {};
  } catch {
    return {};
  }
}

const before = keptPlace();
for (const [name, values] of Object.entries({ by: ORDERS, show: SHOWN, kind: KINDS_SHOWN }))
  if (Object.hasOwn(values, before[name])) queue[name] = before[name];
if (typeof before.text === "string") queue.text = before.text.slice(0, 200);

/** @returns {string|null} the event that was in hand before this tab was loaded again */
export const lastInHand = () => (desk.events.has(before.current) ? before.current : null);

// When the page goes, not at every step: a key is answered first of all.
addEventListener("pagehide", () => {
  if (!desk.run) return;
  try {
    sessionStorage.setItem(PLACE, JSON.stringify({ ...queue, current: desk.current }));
  } catch {
    /* a full or closed store: the desk works without */
  }
});

/** @typedef {{id: string}|{head: string, n: number}} Entry */

const byTime = (a, b) =>
  a.recordingID < b.recordingID ? -1 : a.recordingID > b.recordingID ? 1 : a.startTime - b.startTime;
const compare = new Intl.Collator("en").compare;
const SORTS = {
  doubt: (a, b) => (b.doubt || 0) - (a.doubt || 0) || byTime(a, b),
  taxon: (a, b) => compare(groupOf.taxon(a), groupOf.taxon(b)) || byTime(a, b),
  time: byTime,
  reviewer: (a, b) => compare(a.reviewedBy || "", b.reviewedBy || "") || byTime(a, b),
};
const groupOf = {
  taxon: (row) => (row.recordKind === "occurrence" ? nameOf(row) : `\uffff${KINDS[row.recordKind]}`),
  reviewer: (row) => row.reviewedBy || "nobody yet",
  time: (row) => ((desk.run?.recordings || []).length > 1 ? row.recordingID : ""),
};

/** Whether a row is among what is shown. @param {import("./state.js").Row} row */
export function belongs(row) {
  if (queue.kind !== "all" && row.recordKind !== queue.kind) return false;
  if (queue.show === "open" && row.reviewStatus !== "draft") return false;
  if (queue.show === "ask" && !row.ask) return false;
  if (["accepted", "changed", "rejected"].includes(queue.show) && row.reviewStatus !== queue.show) return false;
  if (!queue.text) return true;
  const text = `${nameOf(row)} ${row.vernacularName || ""} ${row.verbatimIdentification || ""} ${row.speaker || ""} ${row.reviewedBy || ""} ${clock(row.startTime)}`;
  return queue.text
    .toLowerCase()
    .split(/\s+/)
    .every((word) => text.toLowerCase().includes(word));
}

/** The pile anew. Between two times of asking the order stays, so that nothing moves under the reader's hands. @returns {Entry[]} */
export function lay() {
  const rows = [...desk.events.values()].filter(belongs).sort(SORTS[queue.by]);
  const group = groupOf[queue.by];
  if (!group) return rows.map((row) => ({ id: row.eventID }));
  const sums = new Map();
  for (const row of rows) sums.set(group(row), (sums.get(group(row)) || 0) + 1);
  const entries = [];
  let last = null;
  for (const row of rows) {
    const name = group(row);
    if (name && name !== last) entries.push({ head: name.replace("\uffff", ""), n: sums.get(name) });
    last = name;
    entries.push({ id: row.eventID });
  }
  return entries;
}

/** @param {import("./state.js").Row|undefined} row */
export const undecided = (row) => Boolean(row) && row.reviewStatus === "draft" && !pendingOn(row.eventID);
