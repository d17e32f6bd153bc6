/** The pile: what is left to decide, drawn only where it is looked at. */
import { el, byId, inFrame } from "./dom.js";
import { icon } from "./icons.js";
import { pendingOn, setAside, troubleOn, waiting } from "./outbox.js";
import { belongs, KINDS_SHOWN, lay, ORDERS, queue, SHOWN, undecided } from "./queue.js";
import { desk, emit, goTo, on } from "./state.js";
import { amount, clock, count, nameOf, SHORT_STATES, slanted } from "./wording.js";

const HIGH = 46;
const OVER = 6;
/** @type {import("./queue.js").Entry[]} */
let entries = [];
/** @type {Map<string, number>} */
let places = new Map();
/** @type {Map<number, HTMLElement>} */
const drawn = new Map();
let box, sheet, empty, summary;
/** where in the pile we are, for when the event in hand is no part of it */
let place = 0;
/** height and place of the pile's window, kept so that a step does not cost a layout */
let high = 400,
  scrolledTo = 0;

/** Lays the pile anew by the queue's order. */
export function layPile() {
  entries = lay();
  places = new Map(entries.flatMap((entry, n) => (entry.id ? [[entry.id, n]] : [])));
  for (const one of drawn.values()) one.remove();
  drawn.clear();
  mark();
  sheet.style.height = `${entries.length * HIGH}px`;
  empty.hidden = entries.length > 0;
  const total = places.size;
  summary.textContent =
    queue.show === "all" ? count(total, "event") : `${total.toLocaleString("en")} ${SHOWN[queue.show]}`;
  if (desk.current && places.has(desk.current)) {
    place = places.get(desk.current);
    reveal(place, true);
  }
  inFrame(draw);
  emit("pile", total);
}

/** @returns {string|null} the next event that nobody has decided, from here on and then from the top */
export function nextOpen() {
  const from = places.get(desk.current) ?? place;
  for (let n = 1; n <= entries.length; n++) {
    const entry = entries[(from + n) % entries.length];
    if (entry.id && entry.id !== desk.current && undecided(desk.events.get(entry.id))) return entry.id;
  }
  return null;
}

/** @param {number} by @returns {string|null} */
export function step(by) {
  let n = (places.get(desk.current) ?? place) + by;
  while (entries[n] && !entries[n].id) n += by;
  return entries[n]?.id || null;
}

/** @param {number} many @returns {string[]} the events that come next */
export function coming(many) {
  const ids = [];
  const from = places.get(desk.current) ?? place;
  for (let n = from + 1; n < entries.length && ids.length < many; n++)
    if (entries[n].id && undecided(desk.events.get(entries[n].id))) ids.push(entries[n].id);
  return ids;
}

/** @returns {string|null} the first of the pile to decide, else the first */
export function firstOpen() {
  const open =
    entries.find((entry) => entry.id && undecided(desk.events.get(entry.id))) || entries.find((entry) => entry.id);
  return open ? open.id : null;
}

function reveal(n, middle = false) {
  const top = n * HIGH;
  if (top >= scrolledTo && top + HIGH <= scrolledTo + high && !middle) return;
  scrolledTo = Math.max(0, Math.min(top - high / 3, entries.length * HIGH - high));
  box.scrollTop = scrolledTo;
}

function draw() {
  const from = Math.max(0, Math.floor(scrolledTo / HIGH) - OVER),
    to = Math.min(entries.length, Math.ceil((scrolledTo + high) / HIGH) + OVER);
  for (const [n, one] of drawn)
    if (n < from || n >= to) {
      one.remove();
      drawn.delete(n);
    }
  const fresh = document.createDocumentFragment();
  for (let n = from; n < to; n++)
    if (!drawn.has(n)) {
      const one = slip(n);
      drawn.set(n, one);
      fresh.append(one);
    }
  sheet.append(fresh);
  mark();
}

function mark() {
  for (const [n, one] of drawn) {
    const here = entries[n].id === desk.current;
    if (entries[n].id) one.setAttribute("aria-selected", String(here));
  }
  const n = places.get(desk.current);
  if (n !== undefined && drawn.has(n)) box.setAttribute("aria-activedescendant", `slip-${n}`);
  else box.removeAttribute("aria-activedescendant");
}

function slip(n) {
  const entry = entries[n];
  const made = entry.id
    ? filled(n, desk.events.get(entry.id))
    : el(
        "div",
        { class: "pile-band", "aria-hidden": "true" },
        el("span", { text: entry.head }),
        el("span", { class: "num", text: entry.n }),
      );
  made.style.transform = `translateY(${n * HIGH}px)`;
  return made;
}

/** The state of an event as sign and words; what is not confirmed is never shown as decided. @param {import("./state.js").Row} row */
export function stateOf(row) {
  if (troubleOn(row.eventID)) return ["conflict", "not saved"];
  if (pendingOn(row.eventID)) return ["sending", desk.online ? "sending" : "waiting"];
  if (row.ask && row.reviewStatus === "draft") return ["ask", "asked about"];
  return [row.reviewStatus, SHORT_STATES[row.reviewStatus]];
}

function filled(n, row) {
  if (!row)
    return el(
      "div",
      {
        id: `slip-${n}`,
        class: "slip gone",
        role: "option",
        "aria-selected": "false",
        "aria-setsize": entries.length,
        "aria-posinset": n + 1,
      },
      el("span", { class: "quiet", text: "taken away" }),
    );
  const [sign, words] = stateOf(row);
  const many =
    row.individualCount === 1 ? "" : Number.isInteger(row.individualCount) ? `×${row.individualCount}` : amount(row);
  const made = el(
    "div",
    {
      id: `slip-${n}`,
      class: `slip is-${sign}`,
      role: "option",
      "aria-selected": "false",
      "aria-setsize": entries.length,
      "aria-posinset": n + 1,
      data: { event: row.eventID },
    },
    el("span", { class: "s-sign" }, icon(sign)),
    el("span", {
      class: row.recordKind === "occurrence" && slanted(row.taxonRank) ? "s-name slant" : "s-name",
      text: nameOf(row),
    }),
    el("span", { class: "s-many num", text: many }),
    el("span", { class: "s-time num", text: clock(row.startTime) }),
    el("span", {
      class: "s-heard",
      text: row.verbatimIdentification ? `“${row.verbatimIdentification}”` : row.speaker || "",
    }),
    sign === "draft"
      ? el(
          "span",
          { class: "s-doubt" },
          el("i"),
          el("span", { class: "unseen", text: `doubt ${Math.round((row.doubt || 0) * 100)} of 100` }),
        )
      : el("span", {
          class: "s-state",
          text:
            words +
            (row.reviewedBy && row.reviewedBy !== desk.run.me && sign === row.reviewStatus
              ? `, ${row.reviewedBy}`
              : ""),
        }),
  );
  if (sign === "draft") made.querySelector("i").style.width = `${Math.round((row.doubt || 0) * 100)}%`;
  return made;
}

function refresh(ids) {
  for (const id of ids) {
    const n = places.get(id);
    if (n === undefined || !drawn.has(n)) continue;
    const one = slip(n);
    drawn.get(n).replaceWith(one);
    drawn.set(n, one);
  }
  mark();
}

/** @param {string} id @param {Record<string, string>} values @param {string} name @param {string} label */
const chooser = (id, values, name, label) =>
  el(
    "select",
    { id, "aria-label": label, on: { change: (event) => setQueue({ [name]: event.target.value }) } },
    ...Object.entries(values).map(([value, text]) => el("option", { value, text })),
  );

/** @param {Partial<typeof queue>} change */
export function setQueue(change) {
  Object.assign(queue, change);
  showQueue();
  layPile();
  if (!places.has(desk.current)) {
    const id = firstOpen();
    if (id) goTo(id);
  }
}

function showQueue() {
  byId("order").value = queue.by;
  byId("shown").value = queue.show;
  byId("kind").value = queue.kind;
  if (byId("filter").value.trim() !== queue.text) byId("filter").value = queue.text;
}

/** Puts the pile on the desk. */
export function startPile() {
  summary = el("p", { id: "pile-sum", class: "pile-sum num" });
  byId("pile-head").append(
    el("h2", { text: "The pile" }),
    summary,
    chooser("order", ORDERS, "by", "Order of the pile"),
    chooser("shown", SHOWN, "show", "Which events"),
    chooser("kind", KINDS_SHOWN, "kind", "Which kind of event"),
    el("input", {
      id: "filter",
      type: "search",
      placeholder: "find in the pile",
      "aria-label": "Find in the pile",
      autocomplete: "off",
      maxlength: 200,
      on: { input: (event) => setQueue({ text: event.target.value.trim() }) },
    }),
  );
  box = byId("pile");
  sheet = el("div", { id: "pile-list", class: "pile-sheet", role: "presentation" });
  empty = el("p", {
    class: "pile-empty quiet",
    hidden: true,
    text: "Nothing lies here. Another queue (g) may have more.",
  });
  Object.entries({ role: "listbox", tabindex: "0", "aria-label": "Events of the pile" }).forEach(([name, value]) =>
    box.setAttribute(name, value),
  );
  box.append(sheet);
  box.after(empty);
  box.addEventListener(
    "scroll",
    () => {
      scrolledTo = box.scrollTop;
      inFrame(draw);
    },
    { passive: true },
  );
  new ResizeObserver(([one]) => {
    high = one.contentRect.height;
    inFrame(draw);
  }).observe(box);
  box.addEventListener("click", (event) => {
    const one = event.target.closest?.(".slip[data-event]");
    if (one) goTo(one.dataset.event);
  });
  on("rows", (ids, other) => {
    if (other && [...ids].some((id) => !places.has(id) && desk.events.has(id) && belongs(desk.events.get(id))))
      inFrame(layPile);
    else refresh(ids);
  });
  let before = new Set();
  on("outbox", () => {
    const now = new Set([...waiting(), ...setAside().map((one) => one.item)].flatMap((item) => item.events));
    refresh(new Set([...before, ...now]));
    before = now;
  });
  on("online", () => refresh(before));
  on("current", (id) => {
    const n = places.get(id);
    if (n !== undefined) {
      place = n;
      reveal(n);
    }
    inFrame(draw);
    mark();
  });
  showQueue();
}
