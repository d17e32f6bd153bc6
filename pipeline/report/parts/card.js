"use strict";
// What was heard, in a card beside the mark that the pointer, the focus or a step is on. A wide drawing's marks are
// links that arrow keys go through; on a narrow one the nearest mark is meant, and two buttons go through them all.
const columns = {};
document.querySelectorAll("#events-table thead th").forEach((head, n) => { columns[head.dataset.c || n] = n; });

// The words of a timeline's card: those of the event's row in the table.
function ofRow(n) {
  const row = document.getElementById("e" + n);
  if (!row) return [];
  const cell = (name) => (name in columns ? row.cells[columns[name]].textContent.trim().replace(/\s+/g, " ") : "");
  const joined = (...parts) => parts.filter(Boolean).join(" · ");
  return [
    ["name", cell("what")],
    ["", joined(cell("time").replace(/ (.+)/, " · $1 UTC"), cell("depth"), cell("many") && "how many: " + cell("many"))],
    ["soft", joined(cell("sure") && "sure: " + cell("sure"), cell("fits") && "name fits: " + cell("fits"))],
    ["said", cell("words")],
    ["soft", cell("who")],
  ];
}

// One figure: `marks`, in order, are {wide, narrow, x, y, lane, look, words}: their signs, where the narrow one stands
// (shares of the drawing, its lane too), and what is said of them.
function cards(figure, marks) {
  const card = figure.querySelector(".card"), steps = figure.querySelector(".steps"), place = steps.querySelector(".place");
  const wide = figure.querySelector("svg.wide"), narrow = figure.querySelector("svg.narrow");
  const inSight = () => marks.filter((mark) => (wide.checkVisibility() ? mark.wide : mark.narrow));
  const floats = () => getComputedStyle(card).position === "absolute";
  let shown = null;
  const ring = document.createElementNS(narrow.namespaceURI, "circle");
  ring.setAttribute("class", "here"); ring.setAttribute("r", 10);
  const light = (on) => {
    [shown?.wide, shown?.narrow].forEach((sign) => sign?.classList.toggle("on", on));
    ring.remove();
    if (!on || !shown.narrow) return;
    ring.setAttribute("cx", 100 * shown.x + "%"); ring.setAttribute("cy", 100 * shown.y + "%");
    narrow.append(ring);
  };
  const hide = () => { light(false); shown = null; card.hidden = true; place.textContent = ""; };
  const show = (mark) => {
    if (!mark || mark === shown) return;
    light(false); shown = mark; light(true);
    card.className = "card " + mark.look;
    card.replaceChildren(...mark.words().filter(([, text]) => text).map(([name, text]) => {
      const part = document.createElement("p"), inner = document.createElement(name === "said" ? "q" : "span");
      part.className = name; inner.textContent = text; part.append(inner);
      return part;
    }));
    card.hidden = false;
    if (!floats()) {
      const all = inSight();
      place.textContent = all.indexOf(mark) + 1 + " of " + all.length;
      return;
    }
    const box = figure.getBoundingClientRect(), at = mark.wide.getBoundingClientRect();
    const left = Math.min(at.left + at.width / 2 - box.left - card.offsetWidth / 2, box.width - card.offsetWidth - 4);
    const below = at.bottom - box.top + 10, above = at.top - box.top - card.offsetHeight - 10;
    card.style.left = Math.max(left, 4) + "px";
    card.style.top = (at.bottom + card.offsetHeight + 16 > innerHeight && at.top > card.offsetHeight ? above : below) + "px";
  };
  const ofWide = new Map(marks.map((mark) => [mark.wide, mark]));
  const from = (event) => ofWide.get(event.target.closest?.("a[data-n], .spot"));
  wide.addEventListener("pointerover", (event) => show(from(event)));
  wide.addEventListener("focusin", (event) => show(from(event)));
  const nearest = (event) => {
    const box = narrow.getBoundingClientRect();
    const x = (event.clientX - box.left) / box.width, y = (event.clientY - box.top) / box.height;
    let best = null, least = Infinity;
    for (const mark of inSight()) {
      const down = Math.min(Math.abs(y - mark.y), Math.abs(y - (mark.lane ?? mark.y)));
      const far = Math.hypot((x - mark.x) * box.width, down * box.height);
      if (far < least) { least = far; best = mark; }
    }
    show(best);
  };
  narrow.addEventListener("pointerdown", nearest);
  narrow.addEventListener("pointermove", (event) => { if (event.buttons) nearest(event); });
  steps.hidden = false;
  steps.addEventListener("click", (event) => {
    const by = Number(event.target.closest("button")?.dataset.step), all = inSight();
    if (by) show(all.at((shown ? all.indexOf(shown) + by : Math.min(by, 0)) % all.length));
  });
  figure.addEventListener("pointerleave", () => { if (floats()) hide(); });
  figure.addEventListener("focusout", (event) => { if (floats() && !figure.contains(event.relatedTarget)) hide(); });
  addEventListener("resize", () => { if (shown && !inSight().includes(shown)) hide(); });
  figure.addEventListener("keydown", (event) => {
    if (event.key === "Escape") return hide();
    const at = marks.indexOf(from(event)), last = marks.length - 1;
    const to = { ArrowRight: at + 1, ArrowDown: at + 1, ArrowLeft: at - 1, ArrowUp: at - 1, Home: 0, End: last }[event.key];
    if (at < 0 || !marks[to] || !marks[to].wide.hasAttribute("tabindex")) return;
    event.preventDefault();
    marks[at].wide.setAttribute("tabindex", "-1"); marks[to].wide.setAttribute("tabindex", "0"); marks[to].wide.focus();
  });
}

for (const svg of document.querySelectorAll("figure svg")) {
  // A drawing's title would come up as a tooltip everywhere: it becomes its label.
  const title = svg.querySelector(":scope > title");
  if (!title) continue;
  svg.setAttribute("aria-label", title.textContent); svg.removeAttribute("aria-labelledby"); title.remove();
}
for (const figure of document.querySelectorAll("figure.timeline")) {
  const narrow = figure.querySelector("svg.narrow"), high = Number(narrow.getAttribute("height"));
  const places = new Map();
  for (const group of narrow.querySelectorAll(".marks")) {
    group.dataset.n.split(" ").forEach((n, nth) => {
      const sign = group.children[nth], at = (name) => parseFloat(sign.getAttribute(name));
      places.set(n, { narrow: sign, x: at("x") / 100, y: at("y") / high, lane: group.dataset.y / high });
    });
  }
  const marks = [...figure.querySelectorAll("a[data-n]")].sort((a, b) => a.dataset.n - b.dataset.n).map((wide) => (
    { wide, look: wide.dataset.g || "", words: () => ofRow(wide.dataset.n), ...places.get(wide.dataset.n) }));
  if (!marks.length) continue;
  marks[0].wide.setAttribute("tabindex", "0");
  figure.addEventListener("click", (event) => {
    const all = document.getElementById("all-events");
    if (all && event.target.closest("a[data-n]")) all.open = true;
  });
  cards(figure, marks);
}
for (const figure of document.querySelectorAll("figure.chart")) {
  const { width, height } = figure.querySelector("svg.narrow").viewBox.baseVal;
  const marks = [...figure.querySelectorAll(".spot")].map((spot) => {
    const title = spot.querySelector("title"), [head, ...rest] = title.textContent.split(": ");
    title.remove();
    const [x, y] = spot.getAttribute("transform").match(/[\d.]+/g).map(Number);
    const look = [...spot.classList].find((name) => /^g\d$/.test(name));
    const words = () => [["name", head], ["", rest.join(": ")]];
    return { [spot.closest(".wide") ? "wide" : "narrow"]: spot, x: x / width, y: y / height, look, words };
  });
  if (marks.length) cards(figure, marks);
}
const field = document.getElementById("find");
if (field) {
  field.closest(".find").hidden = false;
  const rows = [...document.querySelectorAll("#events-table tbody tr")], said = document.getElementById("found");
  let texts = null;
  field.addEventListener("input", () => {
    texts = texts || rows.map((row) => row.textContent.toLowerCase());
    const wanted = field.value.trim().toLowerCase();
    let found = 0;
    rows.forEach((row, n) => { row.hidden = !texts[n].includes(wanted); found += !row.hidden; });
    said.textContent = wanted ? found + " of " + rows.length + " events" : "";
  });
}
