/**
 * Decisions on their way. A decision waits here, and is shown as waiting, until the server has said that it is written;
 * it is sent one after another, again and again under the same uid, and outlives a closed window.
 */
import { api, Trouble, useKey } from "./api.js";
import { alarm, kept } from "./dom.js";
import { desk, emit, takeChanges } from "./state.js";

/**
 * @typedef {{uid: string, path: string, body: any, words: string, events: string[], tried: number, back: string|null}} Item
 * `words` says what it is, `events` what it touches; `back` is the event to return to.
 */

/** milliseconds a decision waits so that the screen can answer the key */
const SCREEN_FIRST = 30;

/** @type {Item[]} */
let items = [];
/** @type {{item: Item, problem: any}[]} */
let troubled = [];
let sending = false;
let pause = 0;
let timer = 0;
let shelf = "";

/** @returns {Item[]} what waits, oldest first */
export const waiting = () => items;
/** @returns {{item: Item, problem: any}[]} what the server would not write: conflicts and refusals */
export const setAside = () => troubled;
/** @param {string} id @returns {Item|undefined} the last decision on this event that is not confirmed */
export const pendingOn = (id) => items.findLast((item) => item.events.includes(id));
/** @param {string} id @returns {{item: Item, problem: any}|undefined} */
export const troubleOn = (id) => troubled.findLast((one) => one.item.events.includes(id));

/** @returns {string} */
export const newUid = () =>
  crypto.randomUUID
    ? crypto.randomUUID()
    : `${Date.now().toString(36)}-${Math.random().toString(36).slice(2)}${Math.random().toString(36).slice(2)}`;

/** Takes up what an earlier window of this run could not send. */
export function startOutbox() {
  const all = `waiting:${desk.run.me}:${(desk.run.recordings || []).map((one) => one.recordingID).join("|")}:`;
  shelf = all + newUid();
  // Each window has a shelf of its own. What another one is still sending may be sent twice: one uid is one decision.
  const known = new Set();
  for (const name of kept.names(all)) {
    for (const item of kept.get(name) || [])
      if (item?.uid && item.body && !known.has(item.uid)) {
        known.add(item.uid);
        items.push(item);
      }
    kept.set(name, null);
  }
  if (items.length) kept.set(shelf, items);
  addEventListener("beforeunload", (event) => {
    if (items.length && items.some((item) => item.tried > 1)) event.preventDefault();
  });
  if (items.length) {
    emit("outbox");
    pump();
  }
}

/** @param {string} path @param {any} body @param {string} words @param {string|null} [back] @returns {Item} */
export function send(path, body, words, back = null) {
  const item = {
    uid: newUid(),
    path,
    body: { ...body },
    words,
    events: (body.targets || []).map((one) => one.eventID),
    tried: 0,
    back,
  };
  item.body.uid = item.uid;
  if (body.into && body.action === "merge") item.events.push(body.into);
  items.push(item);
  changed();
  // The screen first, then the post: it is on the shelf already, and a window that closes now sends it when it opens.
  setTimeout(pump, SCREEN_FIRST);
  return item;
}

/** Takes back the newest decision if it was never sent. @returns {Item|null} */
export function withdrawLast() {
  const last = items.at(-1);
  if (!last || last.tried || last.path !== "decisions") return null;
  items.pop();
  changed();
  return last;
}

/** Puts a conflict or refusal away. @param {{item: Item}} one */
export function putAway(one) {
  troubled = troubled.filter((other) => other !== one);
  changed();
}

/** Tries now rather than later. */
export function hurry() {
  pause = 0;
  clearTimeout(timer);
  pump();
}

function changed() {
  if (shelf) kept.set(shelf, items.length ? items : null);
  emit("outbox");
}

/** @param {boolean} online */
export function setOnline(online) {
  if (desk.online === online) return;
  desk.online = online;
  alarm(online ? "The desk answers again." : "The desk's program does not answer. Decisions wait here until it does.");
  emit("online", online);
}

async function pump() {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  while (items.length) {
    const item = items[0];
    item.tried++;
    if (item.tried === 1 && shelf) kept.set(shelf, items);
    try {
      const told = await api.write(item.path, item.body);
      pause = 0;
      setOnline(true);
      items.shift();
      bringUp(told);
      takeChanges(told);
      changed();
      emit("confirmed", item, told);
    } catch (trouble) {
      if (!(trouble instanceof Trouble)) throw trouble;
      if (await mendable(trouble, item)) continue;
      if (trouble.kind === "offline" || trouble.status >= 500 || trouble.status === 401) {
        if (trouble.kind === "offline") setOnline(false);
        if (trouble.status === 401) emit("sign-in");
        pause = Math.min(pause ? pause * 2 : 500, 8000);
        emit("outbox");
        timer = setTimeout(pump, pause);
        break;
      }
      refuse(item, trouble);
    }
  }
  sending = false;
}

/** Later decisions of ours on the same events rest on what was just written. */
function bringUp(told) {
  const versions = new Map();
  const at = desk.columns.indexOf("version"),
    id = desk.columns.indexOf("eventID");
  for (const row of told.events || [])
    versions.set(Array.isArray(row) ? row[id] : row.eventID, Array.isArray(row) ? row[at] : row.version);
  for (const item of items)
    for (const target of item.body.targets || [])
      if (versions.has(target.eventID)) target.version = versions.get(target.eventID);
}

/** A key that went stale while the program was started anew is fetched again, once an item. */
async function mendable(trouble, item) {
  if (trouble.status !== 403 || item.renewed) return false;
  item.renewed = true;
  try {
    useKey((await api.run()).key);
    return true;
  } catch {
    return false;
  }
}

function refuse(item, trouble) {
  items.shift();
  troubled.push({
    item,
    problem: {
      kind: trouble.kind,
      message: trouble.message,
      remedy: trouble.remedy,
      events: trouble.problem?.events || [],
    },
  });
  changed();
  alarm(
    trouble.kind === "conflict"
      ? `Not saved: ${item.words}. Somebody else has decided since.`
      : `Not saved: ${item.words}. ${trouble.message}`,
  );
  emit("refused", item, trouble);
}
