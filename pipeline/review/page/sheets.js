/** Sheets that are laid over the desk for one question; Esc takes them away. */
import { button, byId, el } from "./dom.js";

/** @type {HTMLDialogElement|null} */
let open = null;

/** @returns {boolean} */
export const sheetOpen = () => Boolean(open);

export function closeSheet() {
  open?.close();
}

/**
 * Lays a sheet on the desk.
 * @param {{title: string, body: (Node|string|null)[], acts?: Node[], wide?: boolean, small?: boolean, full?: boolean, onKey?: (event: KeyboardEvent) => boolean|void, submit?: () => void}} told
 *   `onKey` sees keys first and says true when one was meant for it; `submit` is what Enter does in a field.
 * @returns {HTMLDialogElement}
 */
export function sheet(told) {
  open?.close();
  const before = document.activeElement;
  const made = el(
    "dialog",
    {
      class: `sheet${told.wide ? " wide" : ""}${told.small ? " small" : ""}${told.full ? " full" : ""}`,
      "aria-labelledby": "sheet-title",
    },
    el(
      "form",
      {
        method: "dialog",
        on: {
          submit: (event) => {
            event.preventDefault();
            told.submit?.();
          },
        },
      },
      el(
        "header",
        { class: "sheet-head" },
        el("h2", { id: "sheet-title", text: told.title }),
        button("Leave", "Esc", () => made.close(), { class: "plain small" }),
      ),
      el("div", { class: "sheet-body" }, ...told.body.filter((part) => part !== null)),
      told.acts?.length ? el("footer", { class: "sheet-acts" }, ...told.acts) : null,
    ),
  );
  made.addEventListener("keydown", (event) => {
    event.stopPropagation();
    // A field for searching would take the first Esc for itself.
    if (event.key === "Escape") {
      event.preventDefault();
      return made.close();
    }
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (told.onKey?.(event)) {
      event.preventDefault();
    }
  });
  made.addEventListener("click", (event) => {
    if (event.target === made) made.close();
  });
  made.addEventListener("close", () => {
    made.remove();
    if (open !== made) return;
    open = null;
    if (before instanceof HTMLElement && before.isConnected && before !== document.body)
      before.focus({ preventScroll: true });
    else byId("label").focus({ preventScroll: true });
  });
  document.body.append(made);
  open = made;
  made.showModal();
  (made.querySelector("[data-first]") || (told.full ? null : made.querySelector("input, textarea, select")))?.focus();
  return made;
}

/** The button that does what the sheet is for. @param {string} words @param {string} [key] */
export const chief = (words, key = "Enter") =>
  el(
    "button",
    { type: "submit", class: "chief" },
    el("span", { text: words }),
    el("kbd", { text: key, "aria-hidden": "true" }),
  );

let fields = 0;

/** A field with its label. @param {string} label @param {HTMLElement} input @param {string} [hint] */
export function field(label, input, hint) {
  input.id ||= `field-${++fields}`;
  if (hint) input.setAttribute("aria-describedby", `${input.id}-hint`);
  return el(
    "div",
    { class: "field" },
    el("label", { for: input.id, text: label }),
    input,
    hint ? el("p", { class: "quiet hint", id: `${input.id}-hint`, text: hint }) : null,
  );
}

/**
 * A list to choose from by one key each.
 * @param {{key: string, words: string, rest?: string, here?: boolean, act: () => void}[]} choices
 */
export const choiceList = (choices) =>
  el(
    "ul",
    { class: "choices" },
    ...choices.map((one, n) =>
      el(
        "li",
        null,
        el(
          "button",
          {
            type: "button",
            class: one.here ? "plain choice here" : "plain choice",
            "aria-current": one.here ? "true" : null,
            data: n === 0 ? { first: "" } : {},
            on: { click: one.act },
          },
          el("kbd", { text: one.key, "aria-hidden": "true" }),
          el("span", { text: one.words }),
          one.rest ? el("span", { class: "quiet", text: one.rest }) : null,
        ),
      ),
    ),
  );

/** @param {{key: string, act: () => void}[]} choices @returns {(event: KeyboardEvent) => boolean} */
export const byKey = (choices) => (event) => {
  if (event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement) return false;
  const items = [...(open?.querySelectorAll(".choice") || [])];
  const at = items.indexOf(document.activeElement);
  if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    items[(at + (event.key === "ArrowDown" ? 1 : -1) + items.length) % items.length]?.focus();
    return true;
  }
  const one = choices.find((choice) => choice.key === event.key.toLowerCase());
  if (!one) return false;
  one.act();
  return true;
};

/** A key for each of some words, the first letter that is free. @param {string[]} all @param {string} [taken] @returns {string[]} */
export function letters(all, taken = "") {
  const used = new Set(taken);
  return all.map((words) => {
    const free = [...words.toLowerCase().replace(/[^a-z]/g, ""), ..."abcdefghijklmnopqrstuvwxyz"].find(
      (letter) => !used.has(letter),
    );
    used.add(free);
    return free;
  });
}
