/** One utterance as an element: its words, the mentions in it, and for the event in hand the cues and what is claimed. */
import { el } from "./dom.js";
import { CLAIMS, clock, slanted } from "./wording.js";

/** @typedef {{startTime: number, endTime: number, speaker: string|null, text: string, words: number[][], mentions: any[], cues: any[]}} Utterance */

/** Text cut wherever a mark begins or ends. @param {Utterance} said @param {string|null} current */
function pieces(said, current) {
  const marks = [];
  const mine = (said.mentions || []).some((one) => one.eventID && one.eventID === current);
  for (const one of said.mentions || []) {
    const own = Boolean(current) && one.eventID === current;
    marks.push({
      from: one.beginsAt,
      to: one.endsAt,
      class: `m${own ? " own" : ""}${one.eventID ? "" : " loose"}`,
      event: one.eventID,
      claim: CLAIMS[one.status] || one.status,
      name: one.scientificName,
    });
  }
  if (mine)
    for (const cue of said.cues || []) marks.push({ from: cue.beginsAt, to: cue.endsAt, class: "cue", claim: cue.did });
  const cuts = [...new Set([0, said.text.length, ...marks.flatMap((mark) => [mark.from, mark.to])])]
    .filter((at) => at >= 0 && at <= said.text.length)
    .sort((a, b) => a - b);
  return cuts.slice(0, -1).map((from, n) => ({
    from,
    to: cuts[n + 1],
    on: marks.filter((mark) => mark.from <= from && mark.to >= cuts[n + 1]),
  }));
}

/**
 * @param {Utterance} said @param {number} n @param {string|null} current the event in hand
 * @returns {HTMLElement}
 */
export function utterance(said, n, current) {
  const text = el("span", { class: "u-text" });
  for (const piece of pieces(said, current)) {
    const words = said.text.slice(piece.from, piece.to);
    if (!piece.on.length) {
      text.append(words);
      continue;
    }
    const mention = piece.on.find((mark) => mark.class !== "cue");
    text.append(
      el(
        mention ? "mark" : "span",
        {
          class: piece.on.map((mark) => mark.class).join(" "),
          title: piece.on.map((mark) => [mark.name, mark.claim].filter(Boolean).join(": ")).join("; "),
          data: mention?.event ? { event: mention.event } : {},
        },
        words,
      ),
    );
  }
  const own = (said.mentions || []).some((one) => one.eventID && one.eventID === current);
  return el(
    "div",
    { class: own ? "utter here" : "utter", data: { n } },
    el("span", { class: "u-when num", text: clock(said.startTime) }),
    el("p", { class: "u-said" }, said.speaker ? el("b", { class: "u-who", text: `${said.speaker} ` }) : null, text),
    own ? claims(said, current) : null,
  );
}

/** What is claimed of each name in the utterance, in words, and the cues that made it so. */
function claims(said, current) {
  const cues = (said.cues || []).filter((cue) => cue.words);
  return el(
    "ul",
    { class: "u-claims" },
    ...said.mentions.map((one) =>
      el(
        "li",
        { class: one.eventID === current ? "own" : "" },
        el("q", { text: said.text.slice(one.beginsAt, one.endsAt) }),
        " ",
        el("span", { class: slanted(one.taxonRank) ? "slant" : "", text: one.scientificName || "" }),
        ` ${CLAIMS[one.status] || one.status}`,
      ),
    ),
    cues.length
      ? el(
          "li",
          null,
          ...cues
            .slice(0, 4)
            .flatMap((cue, n) => [n ? "; " : "", el("q", { class: "cue", text: cue.words }), ` ${cue.did}`]),
        )
      : null,
  );
}

/** An utterance whose words have no times gets them spread evenly. @param {Utterance} said @returns {Utterance} */
export function withWords(said) {
  if (said.words?.length || !said.text) return said;
  const each = (said.endTime - said.startTime) / said.text.length;
  const words = [...said.text.matchAll(/\S+/g)].map(({ index, 0: word }) => {
    const end = index + word.length;
    return [index, end, said.startTime + index * each, said.startTime + end * each];
  });
  return { ...said, words };
}

/** The word at a character. @param {Utterance} said @param {number} at @returns {number} -1 where there is none */
export function wordAt(said, at) {
  const words = said.words || [];
  for (let n = 0; n < words.length; n++) if (at < words[n][1] || n === words.length - 1) return n;
  return -1;
}

/** Where in the text of an utterance a place of the page is. @param {Node} node @param {number} offset @returns {number} */
export function characterOf(text, node, offset) {
  const range = document.createRange();
  range.selectNodeContents(text);
  try {
    range.setEnd(node, offset);
  } catch {
    return -1;
  }
  return range.toString().length;
}

/** The range of characters of an utterance's text. @param {Element} text @param {number} from @param {number} to @returns {Range|null} */
export function rangeOf(text, from, to) {
  const walker = document.createTreeWalker(text, NodeFilter.SHOW_TEXT);
  const range = document.createRange();
  let at = 0,
    begun = false;
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const end = at + node.length;
    if (!begun && from < end) {
      range.setStart(node, from - at);
      begun = true;
    }
    if (begun && to <= end) {
      range.setEnd(node, to - at);
      return range;
    }
    at = end;
  }
  return null;
}
