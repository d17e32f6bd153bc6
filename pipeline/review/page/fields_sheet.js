/** All that a person can set on an event, as a form; only what was changed is sent. */
import { setColumns } from "./deciding.js";
import { detail, detailNow } from "./details.js";
import { el } from "./dom.js";
import { chief, closeSheet, field, sheet } from "./sheets.js";
import { currentRow, desk } from "./state.js";
import { CERTAINTY, COLUMNS, nameOf } from "./wording.js";

const RANKS = ["species", "genus", "family", "order", "class", "phylum", "kingdom"];
const ANIMAL = [
  ["taxonRank", "raise"],
  ["identificationQualifier", "text"],
  ["individualCount", "whole"],
  ["organismQuantity", "text"],
  ["organismQuantityType", ["individuals, approximate", "individuals, at least", "abundance as spoken"]],
  ["certaintyTerm", [...CERTAINTY].reverse(), true],
  ["occurrenceStatus", ["present", "absent", "detected", "notDetected"], true],
  ["sex", "text"],
  ["lifeStage", "text"],
  ["behavior", "text"],
  ["vitality", ["alive", "dead", "mixedLot", "uncertain", "notAssessed"]],
  ["colour", "text"],
  ["positionInFrame", "text"],
  ["sizeValue", "number"],
  ["sizeUnit", "text"],
  ["sizeMethod", "text"],
  ["habitat", "text"],
];
const FIELDS = {
  occurrence: ANIMAL,
  marker: [
    [
      "markerType",
      ["dive_start", "on_bottom", "off_bottom", "dive_end", "sample", "image", "highlight", "target"],
      true,
    ],
    ["markerRank", "whole"],
    ["sampleContainer", "text"],
  ],
  measurement: [
    ["measurementType", "text"],
    ["measurementValue", "text"],
    ["measurementUnit", "text"],
  ],
  substrate: [["habitat", "text"]],
};
const TIMES = [
  ["startTime", "number"],
  ["endTime", "number"],
];

function control(name, kind, row, fixed) {
  const value = row[name];
  if (kind === "raise") {
    const at = RANKS.indexOf(value);
    const higher = at < 0 ? RANKS : RANKS.slice(at + 1);
    return el(
      "select",
      { name },
      el("option", { value: value || "", text: `${value || "as it stands"}, as it stands` }),
      ...higher
        .filter((rank) => row[rank] || rank === "kingdom")
        .map((rank) => el("option", { value: rank, text: row[rank] ? `${rank}: ${row[rank]}` : rank })),
    );
  }
  if (Array.isArray(kind)) {
    const made = el(
      "select",
      { name },
      fixed ? null : el("option", { value: "", text: "not told" }),
      ...kind.map((one) => el("option", { value: one, text: one.replaceAll("_", " ") })),
    );
    made.value = value ?? "";
    return made;
  }
  const number = kind !== "text";
  return el("input", {
    type: number ? "number" : "text",
    name,
    step: number ? (kind === "whole" ? "1" : "any") : null,
    min: number ? "0" : null,
    maxlength: number ? null : 2000,
    autocomplete: "off",
    value: value ?? "",
  });
}

/** Opens the form for the event in hand. */
export async function fieldsSheet() {
  const row = currentRow();
  if (!row) return;
  const whole = detailNow(row.eventID) || (await detail(row.eventID).catch(() => null));
  if (!whole || desk.current !== row.eventID) return;
  const kinds = [...(FIELDS[row.recordKind] || []), ...TIMES];
  const controls = kinds.map(([name, kind, fixed]) => [name, kind, control(name, kind, whole.row, fixed)]);
  const send = () => {
    const set = {};
    for (const [name, kind, input] of controls) {
      if (!input.checkValidity()) return input.reportValidity();
      const text = input.value.trim();
      const value = text === "" ? null : kind === "whole" || kind === "number" ? Number(text) : text;
      if (value !== (whole.row[name] ?? null)) set[name] = value;
    }
    closeSheet();
    if (Object.keys(set).length)
      setColumns(
        set,
        Object.keys(set)
          .map((name) => COLUMNS[name] || name)
          .join(", "),
      );
  };
  sheet({
    title: `Fields of ${nameOf(row)}`,
    wide: true,
    submit: send,
    body: [
      el(
        "div",
        { class: "grid" },
        ...controls.map(([name, , input]) =>
          field(
            (COLUMNS[name] || name).replace(/^./, (c) => c.toUpperCase()),
            input,
          ),
        ),
      ),
    ],
    acts: [chief("Set what was changed")],
  });
}
