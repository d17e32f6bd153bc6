"use strict";
const columns = {};
document.querySelectorAll("#events-table thead th").forEach((head, n) => { columns[head.dataset.c || n] = n; });
// A card beside the mark that the pointer or the focus is on; arrow keys go from mark to mark in order of time.
for (const figure of document.querySelectorAll("figure.timeline")) {
  const svg = figure.querySelector("svg"), card = figure.querySelector(".card");
  const marks = [...svg.querySelectorAll("a[data-n]")].sort((a, b) => a.dataset.n - b.dataset.n);
  // The drawing's title would come up as a tooltip everywhere: it becomes its label.
  const title = svg.querySelector("title");
  if (title) { svg.setAttribute("aria-label", title.textContent); svg.removeAttribute("aria-labelledby"); title.remove(); }
  if (!marks.length) continue;
  marks[0].setAttribute("tabindex", "0");
  let shown = null;
  const line = (name, text, tag = "p") => {
    if (!text) return;
    const part = document.createElement(tag === "q" ? "p" : tag);
    part.className = name;
    if (tag === "q") { const q = document.createElement("q"); q.textContent = text; part.append(q); } else part.textContent = text;
    card.append(part);
  };
  const hide = () => { if (shown) shown.classList.remove("on"); shown = null; card.hidden = true; };
  const show = (mark) => {
    if (shown === mark) return;
    hide();
    const row = document.getElementById("e" + mark.dataset.n);
    if (!row) return;
    const cell = (name) => (name in columns ? row.cells[columns[name]].textContent.trim().replace(/\s+/g, " ") : "");
    shown = mark; mark.classList.add("on");
    card.replaceChildren(); card.className = "card " + (mark.dataset.g || "");
    line("name", cell("what"));
    line("", [cell("time").replace(/ (.+)/, " · $1 UTC"), cell("depth"), cell("many") && "how many: " + cell("many")].filter(Boolean).join(" · "));
    line("soft", [cell("sure") && "sure: " + cell("sure"), cell("fits") && "name fits: " + cell("fits")].filter(Boolean).join(" · "));
    line("", cell("words"), "q"); line("soft", cell("who"));
    card.hidden = false;
    const box = figure.getBoundingClientRect(), at = mark.getBoundingClientRect();
    const left = Math.min(Math.max(at.left + at.width / 2 - box.left - card.offsetWidth / 2, 4), box.width - card.offsetWidth - 4);
    const below = at.bottom - box.top + 10, above = at.top - box.top - card.offsetHeight - 10;
    card.style.left = Math.max(left, 4) + "px";
    card.style.top = (at.bottom + card.offsetHeight + 16 > innerHeight && at.top > card.offsetHeight ? above : below) + "px";
  };
  const from = (event) => event.target.closest && event.target.closest("a[data-n]");
  svg.addEventListener("pointerover", (event) => { const mark = from(event); if (mark) show(mark); });
  svg.addEventListener("focusin", (event) => { const mark = from(event); if (mark) show(mark); });
  figure.addEventListener("pointerleave", hide);
  figure.addEventListener("focusout", (event) => { if (!figure.contains(event.relatedTarget)) hide(); });
  figure.addEventListener("keydown", (event) => {
    if (event.key === "Escape") return hide();
    const at = marks.indexOf(from(event));
    if (at < 0) return;
    const to = { ArrowRight: at + 1, ArrowDown: at + 1, ArrowLeft: at - 1, ArrowUp: at - 1, Home: 0, End: marks.length - 1 }[event.key];
    if (to === undefined || !marks[to]) return;
    event.preventDefault();
    marks[at].setAttribute("tabindex", "-1"); marks[to].setAttribute("tabindex", "0"); marks[to].focus();
  });
  svg.addEventListener("click", (event) => {
    const mark = from(event), all = document.getElementById("all-events");
    if (mark && all) all.open = true;
  });
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
