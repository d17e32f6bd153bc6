/** The desk's own HTTP interface, and nothing else. Every failure is a Trouble that says what to do. */
import { capital } from "./wording.js";

/** What went wrong: kind "offline" where no answer came, else the server's own kind. */
export class Trouble extends Error {
  /** @param {string} kind @param {string} message @param {string} [remedy] @param {number} [status] @param {any} [problem] */
  constructor(kind, message, remedy = "", status = 0, problem = null) {
    super(capital(message));
    Object.assign(this, { kind, remedy: capital(remedy), status, problem });
  }
}

let key = "";

/** @param {string} value the session's key, which every write bears */
export function useKey(value) {
  if (value) key = value;
}

/** @param {string} method @param {string} path @param {any} [body] @param {AbortSignal} [signal] @param {number} [patience] ms */
async function ask(method, path, body, signal, patience = 20_000) {
  const headers = {};
  if (body !== undefined) headers["Content-Type"] = "application/json";
  if (method !== "GET") headers["X-Desk-Key"] = key;
  const limit = AbortSignal.timeout(patience);
  let answer;
  try {
    answer = await fetch(path, {
      method,
      headers,
      body: body === undefined ? undefined : JSON.stringify(body),
      credentials: "same-origin",
      signal: signal ? AbortSignal.any?.([signal, limit]) || signal : limit,
    });
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new Trouble(
      "offline",
      "The desk's program does not answer",
      "Start it again; nothing that was saved is lost",
    );
  }
  const told = await answer.json().catch(() => null);
  if (answer.ok && told !== null) return told;
  const problem = told?.problem || {};
  throw new Trouble(
    problem.kind || "error",
    problem.message || `The desk answered ${answer.status}`,
    problem.remedy || "",
    answer.status,
    problem,
  );
}

const event = encodeURIComponent;

export const api = {
  run: () => ask("GET", "/api/run"),
  events: () => ask("GET", "/api/events"),
  /** @param {string} id @param {AbortSignal} [signal] */
  event: (id, signal) => ask("GET", `/api/events/${event(id)}`, undefined, signal),
  /** @param {string} recording */
  utterances: (recording) => ask("GET", `/api/utterances/${event(recording)}`, undefined, undefined, 60_000),
  /** @param {{q: string, recordingID?: string, eventID?: string, limit?: number}} wanted @param {AbortSignal} [signal] */
  names(wanted, signal) {
    const query = new URLSearchParams();
    for (const [name, value] of Object.entries(wanted))
      if (value !== null && value !== undefined) query.set(name, value);
    return ask("GET", `/api/names?${query}`, undefined, signal);
  },
  /** @param {string} id */
  sameWords: (id) => ask("GET", `/api/same-words?eventID=${event(id)}`),
  redraft: () => ask("GET", "/api/redraft"),
  /** @param {string} path "decisions", "undo" or "redo" @param {any} body */
  write: (path, body) => ask("POST", `/api/${path}`, body),
  /** @param {number} since @returns {EventSource} */
  changes: (since) => new EventSource(`/api/changes?since=${since}`),
  signOut: () => ask("DELETE", "/api/session"),
};
