/** Sheets with one question: why not, how many, how sure, which sign, whom to ask. */
import { decide, reject, setColumns } from "./deciding.js";
import { detailNow } from "./details.js";
import { el } from "./dom.js";
import { setQueue } from "./pile.js";
import { KINDS_SHOWN, ORDERS, queue, SHOWN } from "./queue.js";
import { byKey, chief, choiceList, closeSheet, field, letters, sheet } from "./sheets.js";
import { currentRow, desk } from "./state.js";
import { CERTAINTY, nameOf } from "./wording.js";

/** Why it is rejected: one letter does it. */
export function rejectSheet() {
  const reasons = desk.run.rejectReasons || [];
  const keys = letters(reasons.map((one) => one.words));
  const choices = reasons.map((one, n) => ({
    key: keys[n],
    words: one.words,
    act: () => {
      if (one.code === "other") return otherReason(one);
      closeSheet();
      reject(one.code, one.words);
    },
  }));
  sheet({
    title: `Reject ${nameOf(currentRow())}`,
    small: true,
    onKey: byKey(choices),
    body: [
      el("p", { class: "quiet", text: "It stays in the table, marked as rejected, and can be brought back." }),
      choiceList(choices),
    ],
  });
}

function otherReason(reason) {
  const note = el("textarea", { maxlength: 2000, required: true });
  const send = () => {
    if (!note.value.trim()) return note.focus();
    closeSheet();
    reject(reason.code, reason.words, note.value.trim());
  };
  sheet({
    title: "Why is it rejected?",
    small: true,
    submit: send,
    onKey: enterSends(send),
    body: [field("Reason", note)],
    acts: [chief("Reject and go on")],
  });
}

/** Enter in a field of several lines sends; Shift and Enter begins a line. */
const enterSends = (send) => (event) => {
  if (event.key !== "Enter" || event.shiftKey || !(event.target instanceof HTMLTextAreaElement)) return false;
  send();
  return true;
};

/** How many. A number is a count; anything else ("about 20", "dozens") a quantity in words. */
export function countSheet() {
  const row = currentRow();
  const input = el("input", {
    type: "text",
    inputmode: "numeric",
    autocomplete: "off",
    maxlength: 60,
    value: Number.isInteger(row.individualCount) ? String(row.individualCount) : row.organismQuantity || "",
  });
  const send = () => {
    const text = input.value.trim();
    closeSheet();
    if (/^\d{1,7}$/.test(text)) return setColumns({ individualCount: Number(text) }, `count ${text}`);
    const about = /^(?:about|some|~|ca\.?)\s*(\d+)$/i.exec(text),
      least = /^(?:at least|over|more than|>)\s*(\d+)$/i.exec(text);
    if (!text)
      return setColumns({ individualCount: null, organismQuantity: null, organismQuantityType: null }, "no count");
    const type = about ? "individuals, approximate" : least ? "individuals, at least" : "abundance as spoken";
    setColumns(
      { individualCount: null, organismQuantity: (about || least)?.[1] || text, organismQuantityType: type },
      `quantity ${text}`,
    );
  };
  sheet({
    title: `How many ${nameOf(row)}?`,
    small: true,
    submit: send,
    body: [
      field("Number of individuals", input, "A number, or in words: about 20, at least 6, dozens. Empty: not told."),
    ],
    acts: [chief("Set")],
  });
  input.select();
}

/** The sign of open nomenclature. */
export function qualifierSheet() {
  const row = currentRow();
  const signs = (desk.run.qualifiers || []).map((one) => (typeof one === "string" ? one : one.term || one.code));
  const choices = [
    ...signs.slice(0, 20).map((sign, n) => ({
      key: "123456789bdfghjklmpq"[n],
      words: sign,
      here: row.identificationQualifier === sign,
      act: () => {
        closeSheet();
        setColumns({ identificationQualifier: sign }, sign);
      },
    })),
    {
      key: "0",
      words: "none",
      here: !row.identificationQualifier,
      act: () => {
        closeSheet();
        setColumns({ identificationQualifier: null }, "no qualifier");
      },
    },
  ];
  const own = el("input", { type: "text", maxlength: 60, autocomplete: "off" });
  const send = () => {
    const text = own.value.trim();
    if (!text) return;
    closeSheet();
    setColumns({ identificationQualifier: text }, text);
  };
  sheet({
    title: "How open is the name?",
    small: true,
    onKey: byKey(choices),
    submit: send,
    body: [choiceList(choices), field("Or in your own words", own)],
    acts: [chief("Set")],
  });
}

/** How sure the identification is. */
export function certaintySheet() {
  const row = currentRow();
  const choices = [...CERTAINTY].reverse().map((term, n) => ({
    key: String(n + 1),
    words: term,
    here: row.certaintyTerm === term,
    act: () => {
      closeSheet();
      setColumns({ certaintyTerm: term }, term);
    },
  }));
  sheet({
    title: "How sure was the speaker?",
    small: true,
    onKey: byKey(choices),
    body: [
      el("p", { class: "quiet", text: "Of what was said; the words' fit to the name is another figure and stays." }),
      choiceList(choices),
    ],
  });
}

/** A question to somebody; the event stays undecided. */
export function askSheet() {
  const own = detailNow(desk.current)?.own || {};
  const note = el("textarea", { maxlength: 2000 });
  note.value = own.askNote || "";
  const send = () => {
    const text = note.value.trim();
    closeSheet();
    if (text) decide("ask", { note: text }, "ask about");
    else if (own.askNote) decide("ask", { set: { askNote: null } }, "take back the question on", false);
  };
  sheet({
    title: "Ask someone",
    small: true,
    submit: send,
    onKey: enterSends(send),
    body: [
      field(
        "Whom, and what?",
        note,
        "It goes to the queue “asked about”, where others find it. Empty takes a question back.",
      ),
    ],
    acts: [chief("Ask and go on")],
  });
}

/** A remark that stays with the event. */
export function remarkSheet() {
  const note = el("textarea", { maxlength: 2000 });
  note.value = detailNow(desk.current)?.own?.reviewNote || "";
  const send = () => {
    closeSheet();
    if (note.value.trim()) decide("note", { note: note.value.trim() }, "remark on", false);
  };
  sheet({
    title: "Remark",
    small: true,
    submit: send,
    onKey: enterSends(send),
    body: [field("What should be known of it?", note)],
    acts: [chief("Keep")],
  });
}

/** Which events lie in the pile, and in what order. */
export function queueSheet() {
  const part = (title, values, name, keys) => {
    const choices = Object.entries(values).map(([value, words], n) => ({
      key: keys[n],
      words,
      here: queue[name] === value,
      act: () => {
        closeSheet();
        setQueue({ [name]: value });
      },
    }));
    return { choices, element: el("section", null, el("h3", { text: title }), choiceList(choices)) };
  };
  const parts = [
    part("Order", ORDERS, "by", "dtmr"),
    part("Which", SHOWN, "show", "oqaexw"),
    part("Kind", KINDS_SHOWN, "kind", "1234567"),
  ];
  sheet({
    title: "What lies in the pile",
    wide: true,
    onKey: byKey(parts.flatMap((one) => one.choices)),
    body: [el("div", { class: "columns" }, ...parts.map((one) => one.element))],
  });
}
