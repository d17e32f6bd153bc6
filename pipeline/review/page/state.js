/** What the desk knows: the run, its events as they stand on the server, and which one is in hand. */

/**
 * @typedef {Record<string, any> & {eventID: string, reviewStatus: string, version: number}} Row
 */

export const desk = {
  /** @type {any} the answer of GET /api/run */
  run: null,
  /** @type {string[]} */
  columns: [],
  /** @type {Map<string, Row>} */
  events: new Map(),
  /** @type {string|null} */
  current: null,
  /** number of the last decision heard of */
  last: 0,
  online: true,
  /** who is at this desk now @type {string[]} */
  here: [],
};

const listeners = new Map();

/** @param {string} topic @param {(...told: any[]) => void} listener */
export function on(topic, listener) {
  if (!listeners.has(topic)) listeners.set(topic, []);
  listeners.get(topic).push(listener);
}

/** @param {string} topic @param {...any} told */
export function emit(topic, ...told) {
  for (const listener of listeners.get(topic) || []) listener(...told);
}

/** @param {string[]} columns @param {any} list @returns {Row} */
function rowOf(columns, list) {
  if (!Array.isArray(list)) return list;
  const row = {};
  for (let n = 0; n < columns.length; n++) row[columns[n]] = list[n];
  return row;
}

/** Takes all events as GET /api/events tells them. @param {{columns: string[], rows: any[], last: number}} told */
export function takeEvents(told) {
  desk.columns = told.columns;
  desk.events = new Map();
  for (const name of Object.keys(sums)) sums[name] = 0;
  for (const list of told.rows) {
    const row = rowOf(told.columns, list);
    desk.events.set(row.eventID, row);
    countRow(row, 1);
  }
  desk.last = Math.max(desk.last, told.last || 0);
}

/**
 * Takes what decisions made of events. An older version of a row never replaces a newer one, and what is told twice
 * (as the answer to a decision, and to all who listen) is taken once.
 * @param {{events?: any[], decisions?: any[], last?: number}} told
 * @returns {Set<string>} the events that are different now
 */
export function takeChanges(told) {
  const changed = new Set();
  let other = false;
  for (const list of told.events || []) {
    const row = rowOf(desk.columns, list);
    const had = desk.events.get(row.eventID);
    if (had && had.version >= row.version) continue;
    other ||= !had;
    countRow(had, -1);
    countRow(row, 1);
    desk.events.set(row.eventID, row);
    changed.add(row.eventID);
  }
  const gone = (told.decisions || [])
    .flatMap((one) => one.changes || [])
    .filter((change) => change.after === null)
    .map((change) => change.eventID);
  for (const id of new Set([...(told.gone || []), ...gone])) {
    if (changed.has(id) || !desk.events.has(id)) continue;
    countRow(desk.events.get(id), -1);
    desk.events.delete(id);
    changed.add(id);
    other = true;
  }
  if (told.last) desk.last = Math.max(desk.last, told.last);
  if (changed.size) emit("rows", changed, other);
  return changed;
}

/** @returns {Row|null} the event in hand */
export const currentRow = () => (desk.current ? desk.events.get(desk.current) || null : null);

/** Takes an event in hand. @param {string|null} id @param {string} [how] "step", "jump" or "played" */
export function goTo(id, how = "jump") {
  if (id !== null && !desk.events.has(id)) return;
  desk.current = id;
  emit("current", id, how);
}

const sums = { total: 0, draft: 0, accepted: 0, changed: 0, rejected: 0, ask: 0 };

function countRow(row, by) {
  if (!row) return;
  sums.total += by;
  sums[row.reviewStatus] += by;
  if (row.ask) sums.ask += by;
}

/** @returns {{total: number, draft: number, accepted: number, changed: number, rejected: number, ask: number}} */
export const tally = () => sums;

/** @param {string} id @returns {any} the recording as GET /api/run tells of it */
export const recordingOf = (id) => (desk.run?.recordings || []).find((one) => one.recordingID === id) || null;
