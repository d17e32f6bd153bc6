/** Ranked names, and the search of the checklist as one types. */
import { api } from "./api.js";
import { el, say } from "./dom.js";
import { HOW, figure, slanted } from "./wording.js";

/**
 * @typedef {{scientificName: string, taxonID: string, taxonRank?: string, authorship?: string, lineage?: string,
 *   vernacularName?: string, nameScore?: number, why?: string, matched?: string, how?: string}} Name
 */

/** The nearest of the taxa above, which tell more than the farthest. @param {string|null|undefined} lineage */
function shortLine(lineage) {
  const above = (lineage || "").split(" > ").filter(Boolean);
  return above.length > 3 ? `… › ${above.slice(-3).join(" › ")}` : above.join(" › ");
}

/** Text with what was typed made strong. @param {string} text @param {number[][]} [marks] */
function marked(text, marks = []) {
  const parts = [];
  let at = 0;
  for (const [from, to] of marks) {
    if (from < at || to > text.length) break;
    parts.push(text.slice(at, from), el("span", { class: "hit", text: text.slice(from, to) }));
    at = to;
  }
  return [...parts, text.slice(at)];
}

/** One name as a line. @param {Name} name @param {string|null} key @returns {HTMLElement[]} */
export function nameParts(name, key) {
  const how = HOW[name.how] || name.how;
  const why =
    name.why || (name.matched && name.matched !== name.scientificName ? [name.matched, how].filter(Boolean).join(", ") : how);
  return [
    el("kbd", { text: key || "", "aria-hidden": "true", class: key ? "" : "none" }),
    el(
      "span",
      { class: "n-main" },
      el(
        "span",
        { class: slanted(name.taxonRank) ? "sci slant" : "sci" },
        ...marked(name.scientificName, name.matched === name.scientificName ? name.marks : []),
      ),
      el("span", { class: "n-rank", text: [name.taxonRank, name.vernacularName].filter(Boolean).join(" · ") }),
    ),
    el("span", { class: "n-line", text: shortLine(name.lineage), title: name.lineage || null }),
    el("span", { class: "n-score num", text: typeof name.nameScore === "number" ? figure(name.nameScore) : "" }),
    el("span", { class: "n-why", text: why || "", title: why || null }),
  ];
}

/**
 * Names to choose from, by a digit each.
 * @param {Name[]} names
 * @param {number} at the one that is marked
 * @param {(n: number) => void} take
 * @param {(name: Name, n: number) => Record<string, any>} more what a button is called, or whether it is pressed
 */
export const nameList = (names, at, take, more) =>
  el(
    "ol",
    { class: "names" },
    ...names.map((name, n) =>
      el(
        "li",
        null,
        el(
          "button",
          {
            type: "button",
            class: n === at ? "name stands" : "name",
            on: { click: () => take(n) },
            ...more(name, n),
          },
          ...nameParts(name, String(n + 1)),
        ),
      ),
    ),
  );

let made = 0;

/** A field that finds names: Enter takes the first, a digit that one, arrows go through them. */
export class NameSearch {
  /**
   * @param {{label: string, context: () => {recordingID?: string, eventID?: string}, take: (name: Name) => void,
   *   leave?: () => void, text?: string}} told
   */
  constructor(told) {
    this.told = told;
    this.id = `names-${++made}`;
    /** @type {Name[]} */
    this.found = [];
    this.at = 0;
    this.wanted = false;
    this.input = el("input", {
      type: "search",
      id: `${this.id}-field`,
      role: "combobox",
      autocomplete: "off",
      autocapitalize: "off",
      spellcheck: "false",
      "aria-expanded": "false",
      "aria-controls": this.id,
      "aria-autocomplete": "list",
      maxlength: 200,
      placeholder: "name, common name, or as it sounds",
      on: { input: () => this.look(), keydown: (event) => this.key(event) },
    });
    this.list = el("ol", { id: this.id, class: "names found", role: "listbox", "aria-label": "Names found" });
    this.note = el("p", { class: "quiet search-note" });
    this.element = el(
      "div",
      { class: "name-search" },
      el("label", { for: `${this.id}-field`, text: told.label }),
      this.input,
      this.list,
      this.note,
    );
    if (told.text) {
      this.input.value = told.text;
      this.look();
    } else this.tell();
  }

  focus() {
    this.input.focus();
  }

  async look() {
    const text = this.input.value.trim();
    this.stop?.abort();
    this.asked = text;
    if (!text) {
      this.found = [];
      this.shown = text;
      return this.show();
    }
    this.stop = new AbortController();
    try {
      const told = await api.names({ q: text, limit: 9, ...this.told.context() }, this.stop.signal);
      if (this.asked !== text) return;
      this.found = told.names || [];
      this.shown = text;
      this.at = 0;
      this.show();
      if (this.wanted) this.take(this.wanted === true ? 0 : this.wanted - 1);
    } catch (trouble) {
      if (trouble.name === "AbortError") return;
      this.found = [];
      this.wanted = false;
      this.show(`${trouble.message}. ${trouble.remedy || ""}`);
    }
  }

  show(note) {
    this.list.replaceChildren(
      ...this.found.map((name, n) =>
        el(
          "li",
          {
            id: `${this.id}-${n}`,
            role: "option",
            class: "name",
            "aria-selected": String(n === this.at),
            on: { click: () => this.take(n), pointerdown: (e) => e.preventDefault() },
          },
          ...nameParts(name, String(n + 1)),
        ),
      ),
    );
    this.tell(note);
  }

  tell(note) {
    const open = this.found.length > 0;
    this.input.setAttribute("aria-expanded", String(open));
    if (open) this.input.setAttribute("aria-activedescendant", `${this.id}-${this.at}`);
    else this.input.removeAttribute("aria-activedescendant");
    [...this.list.children].forEach((item, n) => item.setAttribute("aria-selected", String(n === this.at)));
    const text = this.input.value.trim();
    this.note.textContent =
      note ||
      (!text
        ? "Two or three letters will do. Misspelt is no matter."
        : open
          ? "Enter takes the marked name, a digit takes that one, Esc leaves."
          : `Nothing in the checklist is like “${text}”.`);
    if (text && !open && this.shown === text) say(this.note.textContent);
  }

  take(n) {
    const name = this.found[n];
    this.wanted = false;
    if (name) this.told.take(name);
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const settled = this.shown === this.input.value.trim();
    if (event.key === "Enter") {
      event.preventDefault();
      if (!this.input.value.trim()) return;
      if (settled) this.take(this.at);
      else this.wanted = true; // taken as soon as it is found
    } else if (/^[1-9]$/.test(event.key)) {
      event.preventDefault();
      if (settled) this.take(Number(event.key) - 1);
      else this.wanted = Number(event.key);
    } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      if (this.found.length)
        this.at = (this.at + (event.key === "ArrowDown" ? 1 : -1) + this.found.length) % this.found.length;
      this.tell();
    } else if (event.key === "Escape" && this.told.leave) {
      event.preventDefault();
      event.stopPropagation();
      this.told.leave();
    } else this.wanted = false;
  }
}
