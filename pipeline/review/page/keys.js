/** Every key of the desk, what it does, and the sheet that lists them. */
import { api } from "./api.js";
import { openSearch } from "./card.js";
import { accept, choose, decide, lastNamed, move, redo, undo } from "./deciding.js";
import { button, byId, el, kept, say } from "./dom.js";
import { fieldsSheet } from "./fields_sheet.js";
import { changeSpeed, stepFrame, toggleLoop, togglePlay } from "./film.js";
import { pickKey, pickWords } from "./picking.js";
import { pendingOn } from "./outbox.js";
import { historySheet } from "./record_sheets.js";
import { linkSheet, mergeSheet, splitSheet } from "./relate_sheets.js";
import { sameSheet, teach } from "./same_sheet.js";
import { sheet, sheetOpen } from "./sheets.js";
import {
  askSheet,
  certaintySheet,
  countSheet,
  qualifierSheet,
  queueSheet,
  rejectSheet,
  remarkSheet,
} from "./small_sheets.js";
import { currentRow, desk, on } from "./state.js";
import { openTrouble } from "./tray.js";

const animal = (act) => () => (currentRow()?.recordKind === "occurrence" ? act() : say("This is for animals."));
const held = (act) => () => (currentRow() ? act() : say("No event is in hand."));

/** @type {[string, string, () => void, string?][]} key, what it does, how, group */
const KEYS = [
  ["Enter", "accept what stands, go on", accept, "Decide"],
  ["1 – 9", "take that name, go on", null, "Decide"],
  ["n", "another name (or / , or just type a capital)", animal(() => openSearch()), "Decide"],
  ["x", "reject, then one letter for the reason", held(rejectSheet), "Decide"],
  ["a", "ask someone", held(askSheet), "Decide"],
  ["u", "undo", undo, "Decide"],
  ["y", "redo", redo, "Decide"],
  [
    "o",
    "reopen: a draft again",
    held(() =>
      currentRow().reviewStatus === "draft" && !pendingOn(currentRow().eventID)
        ? say("It is open.")
        : decide("reopen", {}, "reopen", false),
    ),
    "Decide",
  ],
  ["c", "count", animal(countSheet), "What is claimed"],
  ["q", "qualifier", animal(qualifierSheet), "What is claimed"],
  ["s", "how sure the speaker was", animal(certaintySheet), "What is claimed"],
  ["e", "all fields", held(fieldsSheet), "What is claimed"],
  ["i", "remark", held(remarkSheet), "What is claimed"],
  ["h", "history of the event", held(historySheet), "What is claimed"],
  ["w", "the same for all of the same heard words", animal(() => sameSheet()), "More than one"],
  [
    "r",
    "the same words as the last event that you named anew",
    () => (lastNamed ? sameSheet(lastNamed) : say("You have named none anew yet.")),
    "More than one",
  ],
  ["t", "teach: these words mean this name from now on", animal(teach), "More than one"],
  ["m", "merge with another event", held(mergeSheet), "More than one"],
  ["p", "split in two", held(splitSheet), "More than one"],
  ["l", "link to another event", animal(linkSheet), "More than one"],
  ["v", "new sighting from words of the talk", pickWords, "More than one"],
  ["j", "next (or arrow down)", () => move(1), "Go"],
  ["k", "previous (or arrow up)", () => move(-1), "Go"],
  ["g", "what lies in the pile", queueSheet, "Go"],
  ["f", "find in the pile", () => byId("filter").focus(), "Go"],
  ["!", "what was not saved", openTrouble, "Go"],
  ["?", "these keys", () => keysSheet(), "Go"],
  ["space", "play or pause", togglePlay, "Film"],
  [",", "a frame back", () => stepFrame(-1), "Film"],
  [".", "a frame on", () => stepFrame(1), "Film"],
  ["[", "slower", () => changeSpeed(-1), "Film"],
  ["]", "faster", () => changeSpeed(1), "Film"],
  ["z", "repeat the moment, or play on", toggleLoop, "Film"],
];
const ACTS = new Map(KEYS.filter(([, , act]) => act).map(([key, , act]) => [key === "space" ? " " : key, act]));
Object.entries({ ArrowDown: "j", ArrowUp: "k", "/": "n", "+": "]", "-": "[" }).forEach(([key, same]) =>
  ACTS.set(key, ACTS.get(same)),
);

let single = kept.get("single-keys") !== false;

/** The list of keys, and the switch for those who talk to their computer. */
function keysSheet() {
  const groups = Map.groupBy
    ? Map.groupBy(KEYS, (one) => one[3])
    : KEYS.reduce((all, one) => all.set(one[3], [...(all.get(one[3]) || []), one]), new Map());
  const tick = el("input", {
    type: "checkbox",
    id: "single-keys",
    on: {
      change: (event) => {
        single = event.target.checked;
        kept.set("single-keys", single);
      },
    },
  });
  tick.checked = single;
  sheet({
    title: "Keys",
    full: true,
    body: [
      el(
        "div",
        { class: "columns keys" },
        ...[...groups].map(([title, keys]) =>
          el(
            "section",
            null,
            el("h3", { text: title }),
            el(
              "dl",
              null,
              ...keys.map(([key, words]) =>
                el("div", null, el("dt", null, el("kbd", { text: key })), el("dd", { text: words })),
              ),
            ),
          ),
        ),
      ),
      el(
        "p",
        null,
        el(
          "label",
          { class: "tick", for: "single-keys" },
          tick,
          " Letters and digits act at once. Without it they do so only with Alt held; for voice control.",
        ),
      ),
      desk.run?.door && desk.run.door !== "open"
        ? button(
            "Sign out",
            null,
            () =>
              api
                .signOut()
                .catch(() => null)
                .finally(() => location.assign("/sign-in")),
            { class: "small" },
          )
        : null,
    ],
  });
}

const TYPING = "input, textarea, select, [contenteditable]";

function press(event) {
  if (event.defaultPrevented || event.isComposing || sheetOpen()) return;
  const { key } = event,
    target = event.target instanceof Element ? event.target : document.body;
  if ((event.ctrlKey || event.metaKey) && !event.altKey) {
    if (target.matches(TYPING)) return;
    if (key.toLowerCase() === "z") {
      event.preventDefault();
      (event.shiftKey ? redo : undo)();
    } else if (key.toLowerCase() === "y") {
      event.preventDefault();
      redo();
    }
    return;
  }
  if (target.matches(TYPING)) {
    if (key === "Escape" || (key === "Enter" && target.id === "filter")) {
      target.blur();
      byId("label").focus({ preventScroll: true });
    }
    return;
  }
  if (pickKey(event)) return event.preventDefault();
  // A button or link that has the focus keeps its own keys.
  if ((key === "Enter" || key === " ") && target.closest("button, a, summary, [role='button']")) return;
  if ((key === "ArrowUp" || key === "ArrowDown") && target.id === "talk") return;
  if (event.altKey !== !single && key.length === 1 && key !== " ") return;
  let act = ACTS.get(event.altKey ? key.toLowerCase() : key);
  if (!act && /^[1-9]$/.test(key)) act = () => choose(Number(key));
  if (!act && /^\p{Lu}$/u.test(key) && currentRow()?.recordKind === "occurrence") act = () => openSearch(key);
  if (!act) return;
  event.preventDefault();
  if (event.repeat && !["ArrowUp", "ArrowDown", "j", "k", ",", "."].includes(key)) return; // a key held down decides once
  act();
}

/** Puts the keys to work. */
export function startKeys() {
  document.addEventListener("keydown", press);
  on("key", (key) => ACTS.get(key)?.());
  byId("open-keys").addEventListener("click", keysSheet);
  byId("open-queue").addEventListener("click", queueSheet);
  // After a click the keys are the desk's again, not the button's.
  document.addEventListener("click", (event) => {
    const pressed =
      event.detail > 0 && event.target.closest?.("#acts button, #card button, .film button, .tray button");
    if (pressed && !sheetOpen() && !document.activeElement?.matches(TYPING))
      byId("label").focus({ preventScroll: true });
  });
}
