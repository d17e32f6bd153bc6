/** The label of the event in hand: what was heard, what it is taken for, and what a person can do about it. */
import { candidatesPart, claimsPart, gaugesPart, namePart, stampPart, whoPart } from "./card_parts.js";
import { accept, choose, next, redo, rename, undo } from "./deciding.js";
import { detail, detailNow, fetchAhead } from "./details.js";
import { afterFrame, button, byId, el, inFrame } from "./dom.js";
import { moveFilm } from "./film.js";
import { NameSearch } from "./names.js";
import { pendingOn, troubleOn } from "./outbox.js";
import { coming, step } from "./pile.js";
import { openConflict } from "./record_sheets.js";
import { stateOf } from "./slips.js";
import { currentRow, desk, emit, on, tally } from "./state.js";

/** @type {NameSearch|null} */
let search = null;
let shownFor = null;
let failed = null;
/** whether the card was scrolled; asking the card itself would cost a layout */
let scrolled = false;
/** what the card and the buttons were drawn for, so that nothing is drawn twice */
let drawnFor = "",
  actsFor = "";

/** Opens the search of names for the event in hand. @param {string} [text] what was typed already */
export function openSearch(text = "") {
  const row = currentRow();
  if (!row || row.recordKind !== "occurrence") return;
  search = new NameSearch({
    label: "Which name is it?",
    text,
    context: () => ({ recordingID: row.recordingID, eventID: row.eventID }),
    take: (name) => {
      closeSearch();
      rename(name);
      byId("label").focus({ preventScroll: true });
    },
    leave: () => {
      closeSearch();
      draw();
      byId("label").focus({ preventScroll: true });
    },
  });
  draw();
  search.focus();
  if (text) search.input.setSelectionRange(text.length, text.length);
}

function closeSearch() {
  search = null;
}

/** Draws what depends on the way of a decision, where that has changed. */
function drawWay() {
  if (wayOf(currentRow()) === drawnFor) return;
  draw();
  drawActs();
}

const wayOf = (row) =>
  row
    ? [row.eventID, row.version, desk.online, pendingOn(row.eventID)?.uid, troubleOn(row.eventID)?.item.uid].join("|")
    : `none|${tally().total}|${tally().draft}`;

/** @param {boolean} [step] whether another event was taken in hand: who said what then follows a frame later */
function draw(step = false) {
  const card = byId("card"),
    row = currentRow();
  drawnFor = wayOf(row);
  if (!row) return nothing(card);
  const whole = detailNow(row.eventID);
  const [sign, words] = stateOf(row);
  const trouble = troubleOn(row.eventID),
    pending = pendingOn(row.eventID);
  const says = trouble
    ? `Not saved: ${trouble.item.words}`
    : pending
      ? `${desk.online ? "On its way" : "Waiting"}, not yet saved: ${pending.words}`
      : sign === "ask"
        ? "asked about"
        : "";
  const typing = search && document.activeElement === search.input;
  card.className = `card is-${row.reviewStatus}${pending ? " is-pending" : ""}`;
  card.replaceChildren(
    stampPart(row, whole, sign, says, () => moveFilm(row.startTime)),
    trouble
      ? el(
          "p",
          { class: "trouble" },
          el("span", {
            text:
              trouble.problem.kind === "conflict"
                ? "Somebody else has decided since you looked. "
                : `${trouble.problem.message}. ${trouble.problem.remedy || ""} `,
          }),
          button("Look at it", "!", () => openConflict(trouble)),
        )
      : "",
    namePart(row, whole),
    gaugesPart(row, whole) || "",
    row.recordKind !== "occurrence"
      ? ""
      : search && shownFor === row.eventID
        ? search.element
        : failed === row.eventID && !whole
          ? failure(row)
          : candidatesPart(row, whole, choose, () => openSearch()),
    claimsPart(row, whole, (key) => emit("key", key)),
    ...(step ? [] : [who(row, whole)]),
  );
  if (step) afterFrame(drawWho);
  if (typing) search.focus(); // a change from elsewhere does not take the field from whoever types
}

const drawAll = () => draw();

const who = (row, whole) => whoPart(row, whole, () => emit("key", "h"));

function drawWho() {
  const row = currentRow();
  if (row && !byId("card").querySelector(".who-part")) byId("card").append(who(row, detailNow(row.eventID)));
}

function failure(row) {
  return el(
    "p",
    { class: "trouble" },
    el("span", {
      text: desk.online
        ? "The names of this event could not be fetched. "
        : "The desk's program does not answer; the names come when it does. ",
    }),
    button("Try again", null, () => {
      failed = null;
      detail(row.eventID).catch(() => null);
      draw();
    }),
  );
}

function nothing(card) {
  card.className = "card bare";
  if (!desk.run) return card.replaceChildren(el("p", { class: "quiet", text: "Opening the desk …" }));
  const { total, draft: open } = tally();
  card.replaceChildren(
    el("h2", {
      class: "standing",
      text: total ? (open ? "This pile is done" : "All is decided") : "There is nothing to review",
    }),
    el("p", {
      class: "quiet",
      text: total
        ? open
          ? `${open.toLocaleString("en")} more wait in other queues: g shows them.`
          : `Every one of the ${total.toLocaleString("en")} events has been looked at. "earwitness publish" writes them out with your decisions.`
        : "This run has no events. Draft a recording with talk of animals in it, or add a sighting: choose words in the talk, then v.",
    }),
  );
}

function drawActs() {
  const row = currentRow();
  const acts = byId("acts");
  const open = Boolean(row) && row.reviewStatus === "draft" && !pendingOn(row.eventID);
  const animal = row?.recordKind === "occurrence";
  const now = [Boolean(row), desk.events.size > 0, open, animal, row?.reviewStatus === "draft"].join();
  if (now === actsFor) return;
  actsFor = now;
  const key = (words, letter, props) =>
    button(words, letter, () => emit("key", letter), { class: "small plain", ...props });
  acts.replaceChildren(
    el(
      "div",
      { class: "acts-main" },
      button(open ? "Accept" : "Go on", "Enter", open ? accept : () => next(), {
        class: "chief",
        disabled: !row && !desk.events.size,
      }),
      key("Another name", "n", { class: "", disabled: !animal }),
      key("Reject", "x", { class: "", disabled: !row }),
      key("Ask", "a", { class: "", disabled: !row }),
      row && row.reviewStatus !== "draft" ? key("Reopen", "o", { class: "" }) : null,
    ),
    el(
      "div",
      { class: "acts-more" },
      button("Undo", "u", undo, { class: "small plain" }),
      button("Redo", "y", redo, { class: "small plain" }),
      key("Fields", "e"),
      key("Same words", "w", { disabled: !animal, class: "small plain" }),
      key("Merge", "m"),
      key("Split", "p"),
      key("Link", "l"),
      key("Remark", "i"),
    ),
  );
}

/** Puts the card on the desk. */
export function startCard() {
  on("current", (id) => {
    if (search && shownFor !== id) closeSearch();
    shownFor = id;
    failed = null;
    draw(true);
    drawActs();
    if (scrolled) {
      byId("card").scrollTop = 0;
      scrolled = false;
    }
    if (!id) return;
    detail(id)
      .catch(() => null)
      .then(() => afterFrame(() => id === desk.current && fetchAhead([...coming(4), step(1), step(-1)])));
  });
  on("detail", (id) => {
    if (id === desk.current) inFrame(drawAll);
  });
  on("detail-failed", (id) => {
    if (id === desk.current) {
      failed = id;
      inFrame(drawAll);
    }
  });
  on("rows", (ids) => {
    if (ids.has(desk.current)) {
      inFrame(drawAll);
      inFrame(drawActs);
    } else if (!desk.current) inFrame(drawWay);
  });
  on("outbox", () => inFrame(drawWay));
  byId("card").addEventListener(
    "scroll",
    () => {
      scrolled = true;
    },
    { passive: true },
  );
  on("online", (online) => {
    inFrame(drawWay);
    if (online && failed === desk.current && desk.current) {
      failed = null;
      detail(desk.current).catch(() => null);
    }
  });
  on("pile-done", () => {
    desk.current = null;
    emit("current", null);
  });
  byId("card").addEventListener("click", (event) => {
    const when = event.target.closest?.("[data-time]");
    if (when) moveFilm(Number(when.dataset.time));
  });
  draw();
  drawActs();
}
