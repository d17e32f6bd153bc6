/** Dark, light, or as the system says; kept between visits. */
import { byId, kept, say } from "./dom.js";
import { icon } from "./icons.js";

const ORDER = ["auto", "light", "dark"];
const WORDS = { auto: "Light or dark as the system says", light: "Light", dark: "Dark" };
const SIGNS = { auto: "auto", light: "sun", dark: "moon" };

function show(theme) {
  if (theme === "auto") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
  const button = byId("theme");
  button.replaceChildren(icon(SIGNS[theme]));
  button.setAttribute("aria-label", `Colours: ${WORDS[theme]}. Press to change.`);
  button.title = WORDS[theme];
}

/** Puts the switch to work. */
export function startTheme() {
  let theme = ORDER.includes(kept.get("theme")) ? kept.get("theme") : "auto";
  show(theme);
  byId("theme").addEventListener("click", () => {
    theme = ORDER[(ORDER.indexOf(theme) + 1) % ORDER.length];
    kept.set("theme", theme);
    show(theme);
    say(WORDS[theme]);
  });
}
