/** What a reviewer can do with the event in hand. Each sends one decision; most go on to the next event at once. */
import { say } from "./dom.js";
import { detail, detailNow } from "./details.js";
import { newUid, pendingOn, send, withdrawLast } from "./outbox.js";
import { nextOpen, step } from "./pile.js";
import { currentRow, desk, emit, goTo, on } from "./state.js";
import { nameOf } from "./wording.js";

/** @param {import("./state.js").Row} row */
export const targetOf = (row) => ({ eventID: row.eventID, version: row.version });

/** The last event that got another name here: what "the same words" may be applied from. @type {string|null} */
export let lastNamed = null;

/**
 * Sends a decision on the event in hand.
 * @param {string} action @param {any} rest @param {string} words @param {boolean} [goOn] to the next event
 */
export function decide(action, rest, words, goOn = true) {
  const row = currentRow();
  if (!row) return;
  const item = send("decisions", { action, targets: [targetOf(row)], ...rest }, `${words} ${nameOf(row)}`, row.eventID);
  if (goOn) next(`Sent: ${item.words}.`);
  else say(`Sent: ${item.words}.`);
}

/** @param {string} [before] what is said before the next event's name */
export function next(before = "") {
  const id = nextOpen();
  if (!id) {
    say(`${before} Nothing more to decide in this pile.`.trim());
    return emit("pile-done");
  }
  goTo(id, "step");
  say(`${before} Next: ${nameOf(desk.events.get(id))}.`.trim());
}

/** Accepts what stands and goes on; what is decided already is left as it is. */
export function accept() {
  const row = currentRow();
  if (!row) return next();
  if (row.reviewStatus !== "draft" || pendingOn(row.eventID)) return next();
  decide("accept", {}, "accept");
}

/** @param {number} n of the ranked names, from 1 */
export async function choose(n) {
  const row = currentRow();
  if (!row || row.recordKind !== "occurrence") return;
  if (n === 1 && row.reviewStatus === "draft") return accept();
  const told = detailNow(row.eventID) || (await detail(row.eventID).catch(() => null));
  const name = told?.candidates?.[n - 1];
  if (!name) return say(`There is no name ${n}.`);
  if (desk.current === row.eventID) rename(name);
}

/** @param {{taxonID: string, scientificName: string}} name the taxon it is */
export function rename(name) {
  const row = currentRow();
  if (!row) return;
  lastNamed = row.eventID;
  decide("change", { taxonID: name.taxonID }, `${name.scientificName} instead of`);
}

/** @param {Record<string, any>} set @param {string} words */
export function setColumns(set, words) {
  decide("change", { set }, `${words} for`, false);
}

/** @param {string} reason @param {string} words @param {string} [note] */
export function reject(reason, words, note) {
  decide("reject", { reason, ...(note ? { note } : {}) }, `reject (${words})`);
}

export function undo() {
  const taken = withdrawLast();
  if (taken) {
    if (taken.back) goTo(taken.back);
    return say(`Taken back before it was sent: ${taken.words}.`);
  }
  send("undo", {}, "undo");
  say("Undoing.");
}

export function redo() {
  send("redo", {}, "redo");
  say("Doing it again.");
}

/** @param {number} by places in the pile */
export function move(by) {
  const id = step(by);
  if (!id) return say(by > 0 ? "This is the last of the pile." : "This is the first of the pile.");
  goTo(id, "step");
  say(nameOf(desk.events.get(id)));
}

/**
 * The same for many events at one stroke; they are undone together.
 * @param {string} action @param {import("./state.js").Row[]} rows @param {any} rest @param {string} words
 */
export function decideMany(action, rows, rest, words) {
  send("decisions", { action, targets: rows.map(targetOf), batch: newUid(), ...rest }, words, desk.current);
  say(`Sent: ${words}.`);
}

on("confirmed", (item, told) => {
  if (item.path === "decisions") {
    if (item.body.action === "add" || item.body.action === "split") {
      const made = (told.decisions || []).flatMap((one) => one.changes || []).find((change) => change.before === null);
      if (made && desk.events.has(made.eventID)) goTo(made.eventID);
    }
    return;
  }
  const touched = (told.decisions || [])
    .flatMap((one) => one.changes || [])
    .map((change) => change.eventID)
    .find((id) => desk.events.has(id));
  const of = touched ? `: ${nameOf(desk.events.get(touched))}` : "";
  say(`${item.path === "undo" ? "Undone" : "Done again"}${of}.`);
  if (touched) goTo(touched);
});
