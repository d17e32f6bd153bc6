/** Opens the desk: the run and its events are asked for at once, everything else when it is looked at. */
import { api, useKey } from "./api.js";
import { startCard } from "./card.js";
import { button, byId, el } from "./dom.js";
import { startFilm } from "./film.js";
import { startFoot } from "./foot.js";
import { startKeys } from "./keys.js";
import { startLive } from "./live.js";
import { startOutbox } from "./outbox.js";
import { startPicking } from "./picking.js";
import { firstOpen, layPile, startPile } from "./pile.js";
import { lastInHand } from "./queue.js";
import { startSoundings } from "./soundings.js";
import { desk, emit, goTo, takeEvents } from "./state.js";
import { startTalk } from "./talk.js";
import { startTheme } from "./theme.js";
import { startTray } from "./tray.js";

const asked = Promise.all([api.run(), api.events()]);
asked.catch(() => null);
startTheme();
for (const start of [
  startFoot,
  startSoundings,
  startPile,
  startCard,
  startFilm,
  startTalk,
  startPicking,
  startTray,
  startKeys,
])
  start();
open(asked);

async function open(answers) {
  try {
    const [run, events] = await answers;
    desk.run = run;
    desk.last = run.last || 0;
    useKey(run.key || document.querySelector("meta[name=desk-key]").content);
    takeEvents(events);
    startOutbox();
    emit("opened");
    layPile();
    const wanted = decodeURIComponent(location.hash.slice(1)) || lastInHand();
    goTo(desk.events.has(wanted) ? wanted : firstOpen());
    document.body.classList.remove("opening");
    startLive();
  } catch (trouble) {
    if (trouble.status === 401) return location.assign("/sign-in");
    document.body.classList.remove("opening");
    byId("card").className = "card bare";
    byId("card").replaceChildren(
      el("h2", { class: "standing", text: "The desk could not be opened" }),
      el("p", { class: "trouble", text: `${trouble.message}. ${trouble.remedy || ""}` }),
      button(
        "Try again",
        null,
        () => {
          byId("card").replaceChildren(el("p", { class: "quiet", text: "Opening the desk …" }));
          open(Promise.all([api.run(), api.events()]));
        },
        { class: "chief" },
      ),
    );
    if (!trouble.kind) throw trouble;
  }
}
