/** Elements made from data. Text is only ever set as text. */

/**
 * An element.
 * @param {string} tag
 * @param {Record<string, any>|null} [props] `class`, `text`, `on` ({event: listener}), `data` ({name: value}), else attributes; null and false are left out.
 * @param {...(Node|string|null|undefined|false)} children
 * @returns {HTMLElement}
 */
export function el(tag, props, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(props || {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name === "class") made.className = value;
    else if (name === "text") made.textContent = value;
    else if (name === "on") for (const [kind, listener] of Object.entries(value)) made.addEventListener(kind, listener);
    else if (name === "data") Object.assign(made.dataset, value);
    else if (name === "value") made.value = value;
    else made.setAttribute(name, value === true ? "" : String(value));
  }
  for (const child of children.flat()) if (child || child === 0) made.append(child);
  return made;
}

/** @param {string} id @returns {HTMLElement} */
export const byId = (id) => document.getElementById(id);

/**
 * A button that shows its key.
 * @param {string} words
 * @param {string|null} key
 * @param {() => void} act
 * @param {Record<string, any>} [props]
 */
export function button(words, key, act, props = {}) {
  return el(
    "button",
    { type: "button", ...props, on: { click: act } },
    el("span", { text: words }),
    key && el("kbd", { text: key, "aria-hidden": "true" }),
  );
}

const jobs = new Set();
let asked = 0;

/**
 * Runs a job in the next frame, once however often it was asked for: one layout a frame.
 * @param {() => void} job
 */
export function inFrame(job) {
  jobs.add(job);
  if (!asked) asked = requestAnimationFrame(run);
}

function run() {
  asked = 0;
  const now = [...jobs];
  jobs.clear();
  for (const job of now) job();
}

/** Runs a job in the frame after the next: what can wait until the key has been answered. @param {() => void} job */
export function afterFrame(job) {
  requestAnimationFrame(() => inFrame(job));
}

/** Says something to those who listen rather than look. @param {string} text */
export function say(text) {
  byId("said").textContent = text;
}

/** The same, at once, for what must not be missed. @param {string} text */
export function alarm(text) {
  byId("alarm").textContent = text;
}

/** A value to keep between visits; a browser that keeps nothing is no error. */
export const kept = {
  /** @param {string} name @returns {any} */
  get(name) {
    try {
      return JSON.parse(localStorage.getItem(`desk:${name}`));
    } catch {
      return null;
    }
  },
  /** @param {string} beginning @returns {string[]} names of what is kept that begin so */
  names(beginning) {
    try {
      return Object.keys(localStorage)
        .filter((name) => name.startsWith(`desk:${beginning}`))
        .map((name) => name.slice(5));
    } catch {
      return [];
    }
  },
  /** @param {string} name @param {any} value */
  set(name, value) {
    try {
      if (value === null) localStorage.removeItem(`desk:${name}`);
      else localStorage.setItem(`desk:${name}`, JSON.stringify(value));
    } catch {
      /* a full or closed store: the desk works without */
    }
  },
};
