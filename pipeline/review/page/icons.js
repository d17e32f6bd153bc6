/** Small signs, each a shape of its own, so that colour is never alone. */
const PATHS = {
  draft: "M8 2.5 13.5 8 8 13.5 2.5 8z",
  accepted: "M2.5 8.5 6.5 12.5 13.5 4",
  changed: "M3 13l1-3.5L10.5 3 13 5.5 6.5 12z",
  rejected: "M3.5 3.5l9 9M12.5 3.5l-9 9",
  ask: "M5 5.5a3 3 0 1 1 4.2 2.8C8.3 8.8 8 9.3 8 10.2M8 13v.2",
  sending: "M3 8h.1M8 8h.1M13 8h.1",
  conflict: "M8 2.5v7M8 13v.2",
  play: "M4.5 3v10l8-5z",
  pause: "M5 3v10M11 3v10",
  back: "M11 3 6 8l5 5M4 3v10",
  on: "M5 3l5 5-5 5M12 3v10",
  loop: "M3 7a5 5 0 0 1 9-2.5M12.5 2v3h-3M13 9a5 5 0 0 1-9 2.5M3.5 14v-3h3",
  sun: "M8 5.2a2.8 2.8 0 1 0 0 5.6 2.8 2.8 0 0 0 0-5.6M8 1.5v1M8 13.5v1M1.5 8h1M13.5 8h1M3.4 3.4l.7.7M11.9 11.9l.7.7M12.6 3.4l-.7.7M4.1 11.9l-.7.7",
  moon: "M12.8 9.8A5.3 5.3 0 0 1 6.2 3.2a5.3 5.3 0 1 0 6.6 6.6z",
  auto: "M8 2.5a5.5 5.5 0 1 0 0 11zM8 2.5a5.5 5.5 0 0 1 0 11",
};

/**
 * @param {keyof typeof PATHS} name
 * @returns {SVGSVGElement}
 */
export function icon(name) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", "0 0 16 16");
  svg.setAttribute("class", `icon i-${name}`);
  svg.setAttribute("aria-hidden", "true");
  svg.setAttribute("focusable", "false");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  path.setAttribute("d", PATHS[name] || PATHS.draft);
  svg.append(path);
  return svg;
}
