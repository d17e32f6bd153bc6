/** The dive as a line of soundings: one line an event, let down the further the more doubtful, taken in when decided. */
import { byId, el, inFrame } from "./dom.js";
import { waiting } from "./outbox.js";
import { currentRow, desk, goTo, on, tally } from "./state.js";
import { count } from "./wording.js";

const HIGH = 26,
  EDGE = 14;
let box,
  canvas,
  plumb,
  now,
  wide = 0,
  later = 0;
/** @type {Map<string, number>} recording -> where it begins on the line, s */
let begins = new Map();
let whole = 1;

/** Recordings one after another, as far as anything is known of their length. */
function lay() {
  const ends = new Map((desk.run?.recordings || []).map((one) => [one.recordingID, one.endTime || 0]));
  for (const row of desk.events.values())
    ends.set(row.recordingID, Math.max(ends.get(row.recordingID) || 0, row.endTime));
  begins = new Map();
  let from = 0;
  for (const [id, length] of ends) {
    begins.set(id, from);
    from += Math.max(length, 1) * 1.01;
  }
  whole = from || 1;
}

const place = (recording, seconds) => EDGE + (((begins.get(recording) || 0) + seconds) / whole) * (wide - 2 * EDGE);

function drawLines() {
  if (!wide || !begins.size) return;
  const scale = devicePixelRatio || 1;
  canvas.width = Math.round(wide * scale);
  canvas.height = Math.round(HIGH * scale);
  const pen = canvas.getContext("2d");
  pen.scale(scale, scale);
  const waits = new Set(waiting().flatMap((item) => item.events));
  const dense = desk.events.size > wide / 3;
  pen.lineWidth = dense ? 1 : 1.5;
  for (const [style, open] of [
    ["rgba(190,214,210,.5)", false],
    ["#8fd9cd", true],
  ]) {
    pen.strokeStyle = style;
    pen.globalAlpha = dense && open ? 0.55 : 0.9;
    pen.beginPath();
    for (const row of desk.events.values()) {
      if ((row.reviewStatus === "draft" && !waits.has(row.eventID)) !== open) continue;
      const left = place(row.recordingID, row.startTime);
      pen.moveTo(left, 0);
      pen.lineTo(left, open ? 6 + 13 * (row.doubt || 0) : 2.5);
    }
    pen.stroke();
  }
  pen.globalAlpha = 0.45;
  pen.fillStyle = "#eef4ef";
  for (const [id, from] of begins) if (from) pen.fillRect(place(id, 0) - 0.5, 0, 1, HIGH);
}

/** The line of the event in hand, with its plumb, over the others. */
function drawHere() {
  const row = currentRow();
  plumb.hidden = !row;
  if (row)
    plumb.style.transform = `translate(${place(row.recordingID, row.startTime)}px, ${(row.doubt || 0) * 9 - 9}px)`;
}

function label() {
  box.setAttribute(
    "aria-label",
    `The dive as a line of ${count(desk.events.size, "event")}, ${tally().draft.toLocaleString("en")} to decide. The pile has them as a list.`,
  );
}

/** Puts the soundings in the mast. */
export function startSoundings() {
  box = byId("soundings");
  box.append(
    (canvas = el("canvas", { height: HIGH })),
    (plumb = el("i", { class: "plumb", hidden: true })),
    (now = el("i", { class: "now", hidden: true })),
  );
  const all = () => {
    lay();
    label();
    drawLines();
    drawHere();
  };
  const soon = () => {
    clearTimeout(later);
    later = setTimeout(() => {
      label();
      inFrame(drawLines);
    }, 400);
  };
  on("opened", () => inFrame(all));
  on("rows", (_, other) => (other ? inFrame(all) : soon()));
  on("outbox", soon);
  on("current", () => inFrame(drawHere));
  on("time", (seconds) => {
    const row = currentRow();
    now.hidden = !row;
    if (row) now.style.transform = `translateX(${place(row.recordingID, seconds)}px)`;
  });
  new ResizeObserver(() => {
    wide = box.clientWidth;
    inFrame(drawLines);
    inFrame(drawHere);
  }).observe(box);
  box.addEventListener("click", (event) => {
    const wanted = event.clientX - box.getBoundingClientRect().left;
    let best = null,
      least = Infinity;
    for (const row of desk.events.values()) {
      const far = Math.abs(place(row.recordingID, row.startTime) - wanted);
      if (far < least) {
        least = far;
        best = row;
      }
    }
    if (best) goTo(best.eventID);
  });
}
