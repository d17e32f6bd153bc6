/** The film or sound of the recording: the moment of the event in hand, over and over; frame by frame; slow and fast. */
import { button, byId, el, inFrame, kept, say } from "./dom.js";
import { icon } from "./icons.js";
import { Reel } from "./reel.js";
import { currentRow, desk, emit, on, recordingOf } from "./state.js";
import { clock } from "./wording.js";

const BEFORE = 1.5,
  AFTER = 2.5;
const RATES = [0.25, 0.5, 0.75, 1, 1.5, 2, 3];
let player = null,
  reel = null,
  bar,
  shown,
  fill,
  rateShown,
  playButton,
  loopButton,
  note;
let recording = null;
let looping = true;
let wants = true;
/** @type {{from: number, to: number}} */
let span = { from: 0, to: 0 };

/** @param {number} seconds goes there, and lets the loop be where the time lies outside it */
export function moveFilm(seconds) {
  if (!player) {
    emit("time", seconds);
    return;
  }
  if (seconds < span.from || seconds > span.to) span = { from: Math.max(0, seconds - BEFORE), to: seconds + AFTER + 4 };
  go(seconds);
  emit("time", seconds);
}

/** To a time of the recording, in whichever of its files that lies; what played plays on. @param {number} seconds */
function go(seconds) {
  const plays = !player.paused;
  reel.time = seconds;
  // A player that is given another file stands still.
  if (plays && player.paused && reel.here) start();
  if (!reel.here) inFrame(draw);
}

/** @returns {number|null} */
export const filmTime = () => (player ? reel.time : null);

export function togglePlay() {
  if (!player) return say("There is no film with this recording.");
  if (!reel.here) return say(note.textContent);
  wants = player.paused;
  if (player.paused) start();
  else player.pause();
}

function start() {
  player.play().catch((error) => {
    // Stopped by another file or by the reader: only a browser that forbids it is no longer asked.
    if (error.name === "AbortError") return;
    wants = false;
    draw();
  });
}

/** @param {number} by frames; the film stands still */
export function stepFrame(by) {
  if (!player) return;
  player.pause();
  wants = false;
  const rate = recordingOf(recording)?.frameRate || 25;
  go(Math.max(0, reel.time + by / rate));
  say(clock(reel.time, 2));
}

/** @param {number} by steps of speed */
export function changeSpeed(by) {
  if (!player) return;
  const at = RATES.indexOf(player.playbackRate);
  player.playbackRate = RATES[Math.min(RATES.length - 1, Math.max(0, (at < 0 ? 3 : at) + by))];
  player.defaultPlaybackRate = player.playbackRate; // that of the files that follow
  kept.set("speed", player.playbackRate);
  draw();
  say(`Speed ${player.playbackRate}`);
}

export function toggleLoop() {
  looping = !looping;
  draw();
  say(looping ? "The moment is repeated." : "The film plays on.");
}

function load(id) {
  recording = id;
  const told = recordingOf(id);
  player?.pause();
  player?.removeAttribute("src");
  player = reel = null;
  const box = byId("film");
  box.replaceChildren();
  box.className = "film";
  const first = told?.parts?.find((part) => part.media);
  if (!first) {
    box.classList.add("none");
    box.append(
      el("p", {
        class: "quiet",
        text: "No film of this recording lies here: the words are all there is. Start the desk with --media FOLDER to see it.",
      }),
    );
    return;
  }
  const sound = (first.mediaType || "").startsWith("audio");
  player = el(sound ? "audio" : "video", {
    preload: "metadata",
    playsinline: true,
    "aria-label": sound ? "Sound of the moment" : "Film of the moment",
    tabindex: "-1",
  });
  player.playbackRate = kept.get("speed") || 1;
  player.defaultPlaybackRate = player.playbackRate;
  box.classList.toggle("sound", sound);
  box.append(
    el(
      "div",
      { class: "screen", on: { click: togglePlay } },
      player,
      (note = el("p", { class: "film-note", hidden: true })),
    ),
    controls(),
  );
  for (const kind of ["play", "pause", "ratechange", "loadedmetadata"]) player.addEventListener(kind, draw);
  player.addEventListener("timeupdate", watch);
  player.addEventListener("seeked", watch);
  player.addEventListener("ended", () => player.ended && goOn());
  player.addEventListener("error", () => {
    if (!reel?.here) return; // it was taken out
    tell(
      "This browser cannot play the film (or it is gone). MP4 with H.264 or WebM plays everywhere; the words are all here.",
    );
  });
  reel = new Reel(told.parts, player, (part) =>
    tell(part.media ? "" : `${part.name} does not lie here: of this part the words are all there is.`),
  );
  reel.time = 0;
  draw();
}

/** Words over the picture; none: the picture alone. @param {string} words */
function tell(words) {
  note.hidden = !words;
  note.textContent = words;
}

/** At the end of a file: on with the file that follows, or back to the beginning of the moment. */
function goOn() {
  if (!wants) return;
  const on = !(looping && reel.time >= span.to) && reel.next();
  if (!on && !looping) return;
  if (!on) go(span.from);
  if (reel.here) start();
}

function controls() {
  const sign = (name, words, key, act) =>
    el(
      "button",
      { type: "button", class: "plain film-key", "aria-label": words, title: `${words} (${key})`, on: { click: act } },
      icon(name),
      el("kbd", { text: key, "aria-hidden": "true" }),
    );
  playButton = sign("play", "Play or pause", "space", togglePlay);
  loopButton = sign("loop", "Repeat the moment", "z", toggleLoop);
  fill = el("i");
  bar = el(
    "div",
    {
      class: "film-bar",
      "aria-hidden": "true",
      on: {
        click: (event) => {
          const box = bar.getBoundingClientRect();
          moveFilm(span.from + ((event.clientX - box.left) / box.width) * (span.to - span.from));
        },
      },
    },
    fill,
  );
  shown = el("span", { class: "num film-time", "aria-label": "Time of the film" });
  rateShown = el("span", { class: "num film-rate" });
  return el(
    "div",
    { class: "film-foot" },
    bar,
    el(
      "div",
      { class: "film-keys" },
      playButton,
      sign("back", "A frame back", ",", () => stepFrame(-1)),
      sign("on", "A frame on", ".", () => stepFrame(1)),
      shown,
      button("−", "[", () => changeSpeed(-1), { class: "plain film-key", "aria-label": "Slower" }),
      rateShown,
      button("+", "]", () => changeSpeed(1), { class: "plain film-key", "aria-label": "Faster" }),
      loopButton,
    ),
  );
}

function watch() {
  if (!player) return;
  const now = reel.time;
  if (looping && !player.paused && now > span.to && now < span.to + 3) go(span.from);
  else if (!player.paused && !player.ended && reel.over) goOn();
  inFrame(show);
  emit("time", now);
}

function show() {
  if (!player) return;
  shown.textContent = clock(reel.time, 1);
  const part = (reel.time - span.from) / Math.max(span.to - span.from, 0.1);
  fill.style.transform = `scaleX(${Math.min(1, Math.max(0, part))})`;
}

function draw() {
  if (!player) return;
  playButton.firstChild.replaceWith(icon(player.paused ? "play" : "pause"));
  playButton.setAttribute("aria-label", player.paused ? "Play" : "Pause");
  loopButton.setAttribute("aria-pressed", String(looping));
  rateShown.textContent = `${player.playbackRate}×`;
  show();
}

/** Puts the player on the desk. */
export function startFilm() {
  wants = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  on("current", (id) => {
    const row = id && currentRow();
    if (!row) {
      player?.pause();
      // A run without events still has its film.
      const [first] = desk.run?.recordings || [];
      if (recording === null && first) {
        span = { from: 0, to: first.endTime || 60 };
        load(first.recordingID);
      }
      return;
    }
    if (row.recordingID !== recording) load(row.recordingID);
    span = { from: Math.max(0, row.startTime - BEFORE), to: Math.max(row.endTime + AFTER, row.startTime + 4) };
    if (!player) return;
    go(span.from);
    if (wants && reel.here) start();
    inFrame(show);
  });
}
