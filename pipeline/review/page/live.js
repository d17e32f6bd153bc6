/** What others decide, as it happens. */
import { api, useKey } from "./api.js";
import { say } from "./dom.js";
import { hurry, setOnline } from "./outbox.js";
import { desk, emit, takeChanges } from "./state.js";
import { ACTIONS, nameOf } from "./wording.js";

let source = null;
let retry = 0;

/** Listens from the last decision heard of; after a silence it asks anew from there, so that nothing is missed. */
export function startLive() {
  clearTimeout(retry);
  source?.close();
  source = api.changes(desk.last);
  source.addEventListener("open", () => {
    if (!desk.online) greet();
    setOnline(true);
    hurry();
  });
  source.addEventListener("error", async () => {
    source.close();
    retry = setTimeout(startLive, 1500);
    // A stream may end for reasons of its own: only a desk that does not answer at all is gone.
    await api.run().catch((trouble) => {
      if (trouble.kind === "offline") setOnline(false);
      else if (trouble.status === 401) emit("sign-in");
    });
  });
  source.addEventListener("decisions", (event) => take(JSON.parse(event.data)));
  source.addEventListener("reviewers", (event) => {
    const told = JSON.parse(event.data);
    desk.run.reviewers = told.reviewers || [];
    desk.here = told.here || [];
    emit("reviewers");
  });
}

/** After a silence the program may be another: with another key, or on another draft. */
async function greet() {
  const run = await api.run().catch(() => null);
  if (!run) return;
  useKey(run.key);
  if (run.draft !== desk.run.draft) emit("other-draft");
}

function take(told) {
  const others = (told.decisions || []).filter((one) => one.reviewer !== desk.run.me);
  const names = new Map(others.map((one) => [one.number, [...new Set((one.changes || []).map((c) => c.eventID))]]));
  takeChanges(told);
  if (!others.length) return;
  const last = others.at(-1);
  const row = desk.events.get(names.get(last.number)?.[0]);
  const words =
    others.length === 1
      ? `${last.reviewer} ${ACTIONS[last.action] || last.action} ${row ? nameOf(row) : "an event"}`
      : `${others.length} decisions by ${[...new Set(others.map((one) => one.reviewer))].join(", ")}`;
  emit("others", words, row?.eventID || null, others);
  if (others.some((one) => (one.changes || []).some((c) => c.eventID === desk.current)))
    say(`${words}: the event in your hand`);
}
