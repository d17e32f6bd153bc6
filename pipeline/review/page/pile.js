/** The pile: what is left to decide, drawn only where it is looked at. */
import { afterFrame, byId, el, inFrame } from "./dom.js";
import { setAside, waiting } from "./outbox.js";
import { belongs, KINDS_SHOWN, lay, ORDERS, queue, SHOWN, undecided } from "./queue.js";
import { fillSlip, HIGH, putBack, slip } from "./slips.js";
import { desk, emit, goTo, on } from "./state.js";
import { count } from "./wording.js";

const OVER = 6;
/** @type {import("./queue.js").Entry[]} */
let entries = [];
/** @type {Map<string, number>} */
let places = new Map();
/** @type {Map<number, ReturnType<typeof slip>>} */
const drawn = new Map();
let box, sheet, empty, summary;
/** where in the pile we are, for when the event in hand is no part of it */
let place = 0;
/** height and place of the pile's window, kept so that a step does not cost a layout; whether it is to go there */
let high = 400,
  scrolledTo = 0,
  toScroll = false;

/** Lays the pile anew by the queue's order. */
export function layPile() {
  entries = lay();
  places = new Map(entries.flatMap((entry, n) => (entry.id ? [[entry.id, n]] : [])));
  for (const one of drawn.values()) putBack(one);
  drawn.clear();
  sheet.style.height = `${entries.length * HIGH}px`;
  empty.hidden = entries.length > 0;
  sum();
  if (desk.current && places.has(desk.current)) {
    place = places.get(desk.current);
    reveal(place, true);
  }
  draw();
  emit("pile", places.size);
}

/** Tells how many there are of what is shown; those decided since lie in the pile until it is laid anew. */
function sum() {
  let n = 0;
  for (const row of desk.events.values()) if (belongs(row)) n++;
  summary.textContent = queue.show === "all" ? count(n, "event") : `${n.toLocaleString("en")} ${SHOWN[queue.show]}`;
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
  toScroll = true;
  inFrame(draw);
}

function draw() {
  const from = Math.max(0, Math.floor(scrolledTo / HIGH) - OVER),
    to = Math.min(entries.length, Math.ceil((scrolledTo + high) / HIGH) + OVER);
  for (const [n, one] of drawn)
    if (n < from || n >= to) {
      putBack(one);
      drawn.delete(n);
    }
  // In the page they stand in the order of the pile, for those who have it read to them.
  let there = sheet.firstChild;
  for (let n = from; n < to; n++) {
    if (!drawn.has(n)) drawn.set(n, slip(entries[n], n, entries.length));
    const { element } = drawn.get(n);
    if (element === there) there = there.nextSibling;
    else sheet.insertBefore(element, there);
  }
  mark();
  // Last, when all is in its place: setting it lays the page out.
  if (toScroll) box.scrollTop = scrolledTo;
  toScroll = false;
}

/** Tells which slip is in hand. */
function mark() {
  for (const [n, { element }] of drawn) {
    const here = String(entries[n].id === desk.current);
    if (entries[n].id && element.getAttribute("aria-selected") !== here) element.setAttribute("aria-selected", here);
  }
  const n = places.get(desk.current);
  if (n !== undefined && drawn.has(n)) box.setAttribute("aria-activedescendant", `slip-${n}`);
  else box.removeAttribute("aria-activedescendant");
}

function refresh(ids) {
  for (const id of ids) {
    const n = places.get(id);
    if (n !== undefined && drawn.has(n)) fillSlip(drawn.get(n), entries[n], n, entries.length);
  }
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
      if (toScroll || Math.abs(box.scrollTop - scrolledTo) < 1) return; // our own doing
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
    afterFrame(sum);
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
