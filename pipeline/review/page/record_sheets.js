/** Sheets that tell: the history of an event, a conflict, what a newer draft says. */
import { api } from "./api.js";
import { changeLines, historyLine } from "./card_parts.js";
import { detail } from "./details.js";
import { button, el, say } from "./dom.js";
import { putAway, send } from "./outbox.js";
import { closeSheet, sheet } from "./sheets.js";
import { currentRow, desk, goTo } from "./state.js";
import { clock, COLUMNS, count, moment, nameOf, slanted, STATES, told as asWords } from "./wording.js";

/** Every decision on the event in hand, with what it changed. */
export async function historySheet() {
  const row = currentRow();
  if (!row) return;
  const box = el("div", { class: "history" }, el("p", { class: "quiet", text: "Fetching the history …" }));
  sheet({ title: `History of ${nameOf(row)}`, wide: true, body: [box] });
  try {
    const whole = await detail(row.eventID);
    const list = [...(whole.history || [])].reverse();
    box.replaceChildren(
      list.length
        ? el(
            "ol",
            { class: "long-history" },
            ...list.map((one) => {
              const line = historyLine(one, row.eventID, whole);
              const change = (one.changes || []).find((other) => other.eventID === row.eventID);
              line.append(el("ul", { class: "before-after" }, ...(change ? changeLines(change) : [])));
              return line;
            }),
          )
        : el("p", { text: "No person has decided on it yet." }),
      whole.draft
        ? el("p", {
            class: "quiet",
            text: `Drafted as ${nameOf(whole.draft)} by the machine, version ${whole.draft.softwareVersion}; names from ${whole.draft.checklistName}.`,
          })
        : el("p", { class: "quiet", text: "Added by a person: no draft has it." }),
      whole.row.previousIdentifications
        ? el("p", { class: "quiet", text: `Names before: ${whole.row.previousIdentifications}` })
        : "",
    );
  } catch (trouble) {
    box.replaceChildren(el("p", { class: "trouble", text: `${trouble.message}. ${trouble.remedy || ""}` }));
  }
}

/** What was wanted beside what stands; nothing is overwritten unless it is decided again. @param {{item: any, problem: any}} one */
export function openConflict(one) {
  const { item, problem } = one;
  const targets = item.body.targets || [];
  const events = problem.events || [];
  const stands = (event) => event.row || desk.events.get(event.eventID) || {};
  const standing = events.map((event) =>
    el(
      "section",
      { class: "stands-now" },
      el("h3", { text: `What stands now: decided by ${event.by || "somebody"}, ${moment(event.at)}` }),
      el(
        "p",
        null,
        el("b", { class: slanted(stands(event).taxonRank) ? "slant" : "", text: nameOf(stands(event)) }),
        ` · ${STATES[stands(event).reviewStatus] || ""}`,
      ),
      el(
        "ul",
        { class: "before-after" },
        ...(event.decision?.changes || []).filter((change) => change.eventID === event.eventID).flatMap(changeLines),
      ),
    ),
  );
  const away = () => {
    putAway(one);
    closeSheet();
  };
  const look = targets[0]?.eventID || events[0]?.eventID || item.back;
  const again = () => {
    const body = structuredClone(item.body);
    for (const target of body.targets || [])
      target.version = desk.events.get(target.eventID)?.version ?? target.version;
    away();
    send(item.path, body, item.words, item.back);
    say(`Sent again: ${item.words}.`);
  };
  sheet({
    title: problem.kind === "conflict" ? "Two people decided on this" : "This could not be saved",
    wide: true,
    body: [
      el(
        "section",
        { class: "yours" },
        el("h3", { text: "What you wanted, not saved" }),
        el("p", null, el("b", { text: item.words })),
      ),
      ...(standing.length
        ? standing
        : [el("p", { class: "trouble", text: `${problem.message}. ${problem.remedy || ""}` })]),
    ],
    acts: [
      button(problem.kind === "conflict" ? "Leave theirs" : "Put it away", "t", away, {
        class: "chief",
        data: { first: "" },
      }),
      targets.length && targets.every((target) => desk.events.has(target.eventID))
        ? button("Decide it again, on top of theirs", "d", again)
        : null,
      look && desk.events.has(look)
        ? button("Look at the event first", "l", () => {
            closeSheet();
            goTo(look);
          })
        : null,
    ].filter(Boolean),
    onKey: (event) => {
      const act = {
        t: away,
        d: targets.length ? again : null,
        l: () => {
          closeSheet();
          if (look) goTo(look);
        },
      }[event.key];
      if (act) act();
      return Boolean(act);
    },
  });
}

/** @returns {Promise<any>} what a newer draft says of decided events, or null where there is none */
export async function askRedraft() {
  const told = await api.redraft().catch(() => null);
  return told && (told.changed?.length || told.gone?.length || told.new?.length) ? told : null;
}

/** A newer draft beside what people decided. @param {any} told */
export function redraftSheet(told) {
  const leap = (id, words) =>
    desk.events.has(id)
      ? button(
          words,
          null,
          () => {
            closeSheet();
            goTo(id);
          },
          { class: "plain small" },
        )
      : el("span", { text: words });
  const named = (id) => {
    const row = desk.events.get(id);
    return row ? `${clock(row.startTime)} ${nameOf(row)}` : id;
  };
  const differences = (told.changed || []).length;
  const idOf = (one) => (typeof one === "string" ? one : one.eventID);
  const part = (title, hint, items) =>
    items.length
      ? el(
          "section",
          null,
          el("h3", { text: `${title}: ${items.length}` }),
          el("p", { class: "quiet", text: hint }),
          el("ul", { class: "redraft-list" }, ...items.slice(0, 200)),
        )
      : null;
  sheet({
    title: "The draft is newer than your decisions",
    wide: true,
    body: [
      el("p", {
        text: `Every decision stands as it was made. The newer draft says something else in ${count(differences, "place")}.`,
      }),
      part(
        "Another value in the draft",
        "Your value stays unless you set another.",
        (told.changed || []).map((one) =>
          el(
            "li",
            null,
            leap(one.eventID, named(one.eventID)),
            el(
              "span",
              null,
              ` ${COLUMNS[one.column] || one.column}: `,
              el("b", { text: asWords(one.decided) }),
              " decided, ",
              el("span", { text: `${asWords(one.draft)} in the draft` }),
            ),
          ),
        ),
      ),
      part(
        "No longer in the draft",
        "Decided events that the newer draft does not have; they stay.",
        (told.gone || []).map((one) => el("li", null, leap(idOf(one), named(idOf(one))))),
      ),
      part(
        "New in the draft",
        "To be decided like any other.",
        (told.new || []).map((one) => el("li", null, leap(idOf(one), named(idOf(one))))),
      ),
    ],
    acts: [
      button("Back to the desk", "Esc", closeSheet, {
        class: "chief",
      }),
    ],
  });
}
