/** All there is to know of an event, fetched ahead for those that come next. */
import { api, Trouble } from "./api.js";
import { setOnline } from "./outbox.js";
import { desk, emit, on } from "./state.js";

const KEEP = 80;
/** @type {Map<string, {version: number, told: any, asking: Promise<any>|null}>} */
const held = new Map();

/** What is already here of an event; null where it has still to be fetched. @param {string} id */
export function detailNow(id) {
  const one = held.get(id);
  return one && one.told ? one.told : null;
}

/** @param {string} id @returns {Promise<any>} */
export function detail(id) {
  const version = desk.events.get(id)?.version ?? 0;
  const one = held.get(id);
  if (one && one.version >= version && (one.told || one.asking)) return one.asking || Promise.resolve(one.told);
  const asking = api.event(id).then(
    (told) => {
      // The name that stands comes first, whatever order they were told in.
      const stands = (name) => name.taxonID === told.row?.taxonID;
      told.candidates = [
        ...(told.candidates || []).filter(stands),
        ...(told.candidates || []).filter((name) => !stands(name)),
      ];
      held.delete(id);
      held.set(id, { version: Math.max(told.version ?? 0, version), told, asking: null });
      while (held.size > KEEP) held.delete(held.keys().next().value);
      emit("detail", id, told);
      return told;
    },
    (trouble) => {
      held.delete(id);
      if (trouble instanceof Trouble && trouble.kind === "offline") setOnline(false);
      emit("detail-failed", id, trouble);
      throw trouble;
    },
  );
  held.set(id, { version, told: one?.told || null, asking });
  return asking;
}

/** @param {(string|null|undefined)[]} ids fetched one after another, quietly */
export async function fetchAhead(ids) {
  for (const id of ids) if (id && desk.events.has(id)) await detail(id).catch(() => null);
}

on("rows", (ids) => {
  for (const id of ids) {
    const one = held.get(id);
    if (!one) continue;
    if (!desk.events.has(id)) held.delete(id);
    else if (one.version < desk.events.get(id).version && id === desk.current) detail(id).catch(() => null);
    else if (one.version < desk.events.get(id).version) held.delete(id);
  }
});
