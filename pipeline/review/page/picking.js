/** A new sighting from words of the talk: chosen with the mouse, or word by word with the arrow keys. */
import { button, byId, el, say } from "./dom.js";
import { NameSearch } from "./names.js";
import { send } from "./outbox.js";
import { closeSheet, sheet } from "./sheets.js";
import { currentRow } from "./state.js";
import { near, placeOf, showUtterance, talkOf, utterances } from "./talk.js";
import { rangeOf, wordAt } from "./utterance.js";
import { filmTime } from "./film.js";
import { clock } from "./wording.js";

const MARK = globalThis.Highlight && CSS.highlights ? new Highlight() : null;
if (MARK) CSS.highlights.set("picked", MARK);
/** @type {{n: number, from: number, to: number}|null} words of an utterance, both ends included */
let picked = null;
let byMouse = false;

/** @returns {boolean} whether words are being chosen with the keys */
export const picking = () => Boolean(picked) && !byMouse;

function bounds() {
  const words = utterances()[picked.n].words;
  return [words[picked.from][0], words[picked.to][1]];
}

const chosenText = () => utterances()[picked.n].text.slice(...bounds());

function show() {
  const foot = byId("talk-foot");
  MARK?.clear();
  if (!picked) {
    foot.replaceChildren();
    return;
  }
  const one = showUtterance(picked.n);
  const text = one?.querySelector(".u-text");
  const range = text && !byMouse ? rangeOf(text, ...bounds()) : null;
  if (range && MARK) MARK.add(range);
  foot.replaceChildren(
    el("span", { class: "picked" }, el("q", { text: chosenText() })),
    button("New sighting", byMouse ? "v" : "Enter", newSighting, { class: "small chief" }),
    button("Leave", "Esc", leave, { class: "small plain" }),
  );
  if (!byMouse) say(chosenText());
}

function leave() {
  picked = null;
  byMouse = false;
  show();
}

/** Begins to choose, at the words of the event in hand or of the film; with words chosen already, makes the sighting. */
export function pickWords() {
  if (!utterances().length) return say("There are no words to choose from.");
  if (picked && byMouse) return newSighting();
  const seconds = filmTime() ?? currentRow()?.startTime ?? 0;
  let n = near(seconds);
  while (n < utterances().length - 1 && !(utterances()[n].words || []).length) n++;
  if (!(utterances()[n].words || []).length) return say("There are no words to choose from.");
  byMouse = false;
  const from = Math.max(
    0,
    utterances()[n].words.findIndex((word) => word[3] >= seconds),
  );
  picked = { n, from, to: from };
  show();
  say(`Choosing words: arrows move, Shift and arrows choose more, Enter makes the sighting. ${chosenText()}`);
}

/** Keys while words are being chosen. @param {KeyboardEvent} event @returns {boolean} */
export function pickKey(event) {
  if (!picking()) return false;
  const words = utterances()[picked.n].words;
  const turn = (n) => {
    while (utterances()[n] && !(utterances()[n].words || []).length) n += n > picked.n ? 1 : -1;
    if (utterances()[n]) picked = { n, from: 0, to: 0 };
  };
  if (event.key === "Escape") leave();
  else if (event.key === "Enter") newSighting();
  else if (event.key === "ArrowRight" && event.shiftKey) picked.to = Math.min(words.length - 1, picked.to + 1);
  else if (event.key === "ArrowLeft" && event.shiftKey) picked.to = Math.max(picked.from, picked.to - 1);
  else if (event.key === "ArrowRight") {
    if (picked.from < words.length - 1) picked.from = picked.to = Math.min(words.length - 1, picked.to + 1);
    else turn(picked.n + 1);
  } else if (event.key === "ArrowLeft") {
    if (picked.from > 0) picked.from = picked.to = picked.from - 1;
    else turn(picked.n - 1);
  } else if (event.key === "ArrowDown") turn(picked.n + 1);
  else if (event.key === "ArrowUp") turn(picked.n - 1);
  else return false;
  if (picked && event.key !== "Enter") show();
  return true;
}

/** The name of the new sighting; the words that were chosen are looked for first. */
function newSighting() {
  const said = utterances()[picked.n];
  const [beginsAt, endsAt] = bounds();
  const text = said.text.slice(beginsAt, endsAt);
  const words = { recordingID: talkOf(), utteranceStart: said.startTime, beginsAt, endsAt };
  const search = new NameSearch({
    label: "What is it?",
    text,
    context: () => ({ recordingID: talkOf() }),
    take: (name) => {
      closeSheet();
      send(
        "decisions",
        { action: "add", targets: [], words, taxonID: name.taxonID },
        `new sighting of ${name.scientificName}`,
      );
      say(`Sent: new sighting of ${name.scientificName}.`);
      getSelection()?.removeAllRanges();
      leave();
    },
  });
  sheet({
    title: "A new sighting",
    wide: true,
    body: [
      el(
        "p",
        null,
        el("span", { class: "num quiet", text: `${clock(said.startTime)} ` }),
        said.speaker ? `${said.speaker}: ` : "",
        el("q", { text }),
      ),
      search.element,
    ],
  });
  search.focus();
  search.input.select();
}

/** Watches for words chosen with the mouse or a finger. */
export function startPicking() {
  document.addEventListener("selectionchange", () => {
    const selection = getSelection();
    if (picking()) return;
    if (!selection || selection.isCollapsed || !selection.rangeCount) {
      if (byMouse) leave();
      return;
    }
    const range = selection.getRangeAt(0);
    const from = placeOf(range.startContainer, range.startOffset);
    if (!from || !(utterances()[from.n]?.words || []).length) return;
    const to = placeOf(range.endContainer, range.endOffset);
    const words = utterances()[from.n].words;
    byMouse = true;
    picked = {
      n: from.n,
      from: wordAt(utterances()[from.n], from.at),
      to: to && to.n === from.n ? wordAt(utterances()[from.n], to.at - 1) : words.length - 1,
    };
    if (picked.to < picked.from) picked.to = picked.from;
    show();
  });
}
