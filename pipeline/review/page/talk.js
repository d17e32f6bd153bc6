/** The talk alongside: hours of it, drawn only where it is looked at; follows the film and the event in hand. */
import { api } from "./api.js";
import { afterFrame, byId, el, inFrame } from "./dom.js";
import { moveFilm } from "./film.js";
import { currentRow, desk, goTo, on } from "./state.js";
import { characterOf, rangeOf, utterance, withWords, wordAt } from "./utterance.js";

/** @type {Map<string, any>} recording -> utterances, or the promise of them */
const talks = new Map();
/** @type {import("./utterance.js").Utterance[]} */
let rows = [];
let recording = null;
/** event -> the first utterance that speaks of it @type {Map<string, number>} */
let places = new Map();
let heights = new Float64Array(0);
let tops = new Float64Array(1);
/** @type {Map<number, HTMLElement>} */
const drawn = new Map();
/** what is drawn but not measured yet @type {Set<number>} */
const unmeasured = new Set();
let box,
  sheet,
  width = 0,
  aim = -1;
/** size and place of the window, kept so that a step does not cost a layout of its own */
let wide = 0,
  high = 0,
  scrolledTo = 0;
const spoken = globalThis.Highlight && CSS.highlights ? new Highlight() : null;
if (spoken) CSS.highlights.set("spoken", spoken);

/** @returns {import("./utterance.js").Utterance[]} */
export const utterances = () => rows;
/** @returns {string|null} */
export const talkOf = () => recording;

function guess(n) {
  const said = rows[n];
  return (
    14 +
    21 * Math.max(1, Math.ceil((said.text.length + (said.speaker || "").length) / Math.max(20, (width - 70) / 6.9)))
  );
}

function sumUp() {
  for (let n = 0; n < rows.length; n++) tops[n + 1] = tops[n] + heights[n];
  sheet.style.height = `${tops[rows.length]}px`;
}

function measureAnew() {
  width = wide || box.clientWidth;
  heights = Float64Array.from(rows, (_, n) => guess(n));
  tops = new Float64Array(rows.length + 1);
  sumUp();
}

function find(top) {
  let low = 0,
    high = rows.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (tops[middle] <= top) low = middle;
    else high = middle - 1;
  }
  return low;
}

/**
 * Draws what is in sight; heights that were guessed are put right without a jump of what is looked at.
 * All is written before anything is measured and measured before anything is moved: a layout costs more than the rest.
 */
function draw() {
  if (!rows.length) return;
  if (wide && wide !== width) {
    clear();
    measureAnew();
  }
  if (aim >= 0) scrolledTo = within(tops[aim] - high * 0.3);
  const top = scrolledTo;
  const from = Math.max(0, find(top) - 3),
    to = Math.min(rows.length, find(top + high) + 4);
  for (const [n, one] of drawn)
    if (n < from || n >= to) {
      one.remove();
      drawn.delete(n);
      unmeasured.delete(n);
    }
  const fresh = [];
  for (let n = from; n < to; n++)
    if (!drawn.has(n)) {
      const one = utterance(rows[n], n, desk.current);
      drawn.set(n, one);
      unmeasured.add(n);
      fresh.push(one);
    }
  sheet.append(...fresh);
  let moved = 0,
    wrong = false;
  const placed = [...unmeasured];
  for (const n of unmeasured) {
    const now = drawn.get(n).offsetHeight;
    if (Math.abs(now - heights[n]) <= 0.5) continue;
    if (tops[n] + heights[n] < top) moved += now - heights[n];
    heights[n] = now;
    wrong = true;
  }
  unmeasured.clear();
  if (wrong) sumUp();
  for (const n of wrong ? drawn.keys() : placed) drawn.get(n).style.transform = `translateY(${tops[n]}px)`;
  if (aim >= 0) {
    scrollTo(tops[aim] - high * 0.3);
    if (!wrong) aim = -1;
    else inFrame(draw);
  } else if (moved) scrollTo(top + moved);
}

const within = (top) => Math.max(0, Math.min(top, tops[rows.length] - high));

function scrollTo(top) {
  scrolledTo = within(top);
  box.scrollTop = scrolledTo;
}

function clear() {
  for (const one of drawn.values()) one.remove();
  drawn.clear();
  unmeasured.clear();
}

function tell(text) {
  clear();
  rows = [];
  sheet.style.height = "auto";
  sheet.replaceChildren(el("p", { class: "quiet talk-note", text }));
}

async function load(id) {
  recording = id;
  if (!talks.has(id)) {
    tell("Fetching the words …");
    talks.set(
      id,
      api.utterances(id).then((told) => told.rows),
    );
  }
  try {
    const told = await talks.get(id);
    if (recording !== id) return;
    clear();
    sheet.replaceChildren();
    rows = told.map(withWords);
    places = new Map();
    rows.forEach((said, n) => {
      for (const one of said.mentions || []) if (one.eventID && !places.has(one.eventID)) places.set(one.eventID, n);
    });
    if (!rows.length) return tell("Nothing was said in this recording.");
    measureAnew();
    follow();
  } catch (trouble) {
    talks.delete(id);
    if (recording !== id) return;
    recording = null;
    tell(`The words could not be fetched: ${trouble.message}. They come when the desk answers again, or with the next event.`);
  }
}

/** To the words of the event in hand. */
function follow() {
  const row = currentRow();
  if (!row || !rows.length) return;
  aim = places.get(row.eventID) ?? near(row.startTime);
  // Only what spoke of the event before, and what speaks of it now, looks different.
  for (const [at, one] of drawn) {
    if (!one.classList.contains("here") && !rows[at].mentions?.some((m) => m.eventID === row.eventID)) continue;
    const now = utterance(rows[at], at, desk.current);
    now.style.transform = one.style.transform;
    one.replaceWith(now);
    drawn.set(at, now);
    unmeasured.add(at);
  }
  inFrame(draw);
}

/** @param {number} seconds @returns {number} the utterance that is said then */
export function near(seconds) {
  let low = 0,
    high = rows.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (rows[middle].startTime <= seconds + 0.001) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** Brings an utterance into sight. @param {number} n @returns {HTMLElement|undefined} */
export function showUtterance(n) {
  const one = drawn.get(n);
  if (!one || tops[n] < scrolledTo || tops[n] + heights[n] > scrolledTo + high) {
    aim = n;
    draw();
  }
  return drawn.get(n);
}

let said = -1,
  saidIn = -1;
/** whether the talk goes along with the film; not once somebody has scrolled it, until the next event */
let along = true;

function speak(seconds) {
  if (!spoken || !rows.length) return;
  const n = near(seconds);
  if (n !== saidIn) {
    saidIn = n;
    if (along && aim < 0 && (tops[n] < scrolledTo || tops[n + 1] > scrolledTo + high)) {
      aim = n;
      inFrame(draw);
    }
  }
  const one = drawn.get(n);
  const word = rows[n].words?.findLast?.((w) => w[2] <= seconds && seconds <= w[3] + 0.4);
  const sign = word ? n * 100000 + word[0] : -1;
  if (sign === said && one?.isConnected) return;
  said = sign;
  spoken.clear();
  const range = word && one && rangeOf(one.querySelector(".u-text"), word[0], word[1]);
  if (range) spoken.add(range);
}

/** A place on the page as utterance and character. @returns {{n: number, at: number}|null} */
export function placeOf(node, offset) {
  const one = (node.nodeType === Node.TEXT_NODE ? node.parentElement : node)?.closest?.(".utter");
  const text = one?.querySelector(".u-text");
  if (!text || !text.contains(node)) return null;
  return { n: Number(one.dataset.n), at: characterOf(text, node, offset) };
}

function go(event) {
  if (String(getSelection())) return;
  const mark = event.target.closest?.("[data-event]");
  if (mark && mark.dataset.event !== desk.current && desk.events.has(mark.dataset.event))
    return goTo(mark.dataset.event);
  const spot = document.caretPositionFromPoint?.(event.clientX, event.clientY);
  const range = spot ? null : document.caretRangeFromPoint?.(event.clientX, event.clientY);
  const place = spot
    ? placeOf(spot.offsetNode, spot.offset)
    : range && placeOf(range.startContainer, range.startOffset);
  const one = event.target.closest?.(".utter");
  if (!one) return;
  const n = place ? place.n : Number(one.dataset.n);
  const word = place ? rows[n].words?.[wordAt(rows[n], place.at)] : null;
  moveFilm(word ? word[2] : rows[n].startTime);
}

/** Puts the talk on the desk. */
export function startTalk() {
  box = byId("talk");
  sheet = el("div", { class: "talk-sheet" });
  box.append(sheet);
  box.addEventListener(
    "scroll",
    () => {
      if (Math.abs(box.scrollTop - scrolledTo) < 1) return; // our own doing
      scrolledTo = box.scrollTop;
      inFrame(draw);
    },
    { passive: true },
  );
  for (const kind of ["wheel", "touchstart", "pointerdown"])
    box.addEventListener(
      kind,
      () => {
        aim = -1;
        along = false;
      },
      { passive: true },
    );
  box.addEventListener("click", go);
  new ResizeObserver(() => {
    wide = box.clientWidth;
    high = box.clientHeight;
    inFrame(draw);
  }).observe(box);
  on("current", () => {
    const row = currentRow();
    if (!row) {
      // Where there are no events, sightings are made from words.
      const [first] = desk.run?.recordings || [];
      if (recording === null && first) load(first.recordingID);
      return;
    }
    along = true;
    saidIn = near(row.startTime);
    // The card comes first: the words follow a frame later.
    if (row.recordingID !== recording) load(row.recordingID);
    else afterFrame(follow);
  });
  on("confirmed", (item) => {
    if (["add", "split"].includes(item.body.action)) {
      talks.delete(recording);
      load(recording);
    }
  });
  on("online", (online) => {
    const wanted = currentRow()?.recordingID;
    if (online && recording === null && wanted) load(wanted);
  });
  on("time", speak);
}
