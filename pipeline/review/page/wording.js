/** What the desk calls things, and how it writes times and figures. */

export const STATES = {
  draft: "Draft, machine suggested",
  accepted: "Accepted",
  changed: "Changed",
  rejected: "Rejected",
};
export const SHORT_STATES = { draft: "draft", accepted: "accepted", changed: "changed", rejected: "rejected" };
export const CERTAINTY = ["doubtful", "possible", "probable", "certain"];
export const KINDS = {
  occurrence: "animals",
  marker: "marks of the dive",
  measurement: "readings",
  substrate: "ground",
};
export const CLAIMS = {
  observed: "said to be there",
  hedged: "said with doubt",
  asked: "asked about",
  denied: "said not to be it",
  compared: "only compared with",
  general: "talk of the kind",
  recalled: "seen earlier",
  elsewhere: "not here",
  person: "a person's name",
  figure: "a figure of speech",
};
export const STEPS = {
  named: "named it",
  refined: "said more closely",
  retreated: "went back to",
  corrected: "corrected it to",
  alternative: "or else",
  offered: "offered",
  confirmed: "confirmed",
  retracted: "took back",
};
export const ACTIONS = {
  accept: "accepted",
  change: "changed",
  reject: "rejected",
  add: "added",
  split: "split",
  merge: "merged",
  link: "linked",
  ask: "asked about",
  note: "noted on",
  reopen: "reopened",
  teach: "taught from",
  undo: "took back a decision on",
  redo: "decided again on",
};
const MARKS = {
  dive_start: "Start of the dive",
  on_bottom: "On the bottom",
  off_bottom: "Off the bottom",
  dive_end: "End of the dive",
  sample: "Sample",
  image: "Picture taken",
  highlight: "Highlight",
  target: "Target",
};
/** How a name of the checklist answers to what was typed. */
export const HOW = { prefix: "begins so", words: "its words begin so", spelling: "spelt much like it", sound: "sounds like it" };

export const COLUMNS = {
  scientificName: "name",
  taxonRank: "rank",
  identificationQualifier: "qualifier",
  individualCount: "count",
  organismQuantity: "quantity",
  organismQuantityType: "kind of quantity",
  certaintyTerm: "certainty",
  certainty: "certainty, 0 to 1",
  sex: "sex",
  lifeStage: "life stage",
  behavior: "behaviour",
  vitality: "vitality",
  colour: "colour",
  positionInFrame: "where on the picture",
  sizeValue: "size",
  sizeUnit: "unit of size",
  sizeMethod: "how measured",
  habitat: "habitat or ground",
  associatedTaxa: "on, in or with",
  occurrenceStatus: "occurrence",
  startTime: "begins, s",
  endTime: "ends, s",
  reviewStatus: "state",
  askNote: "question",
  reviewNote: "remark",
  rejectReason: "reason",
  mergedInto: "merged into",
  markerType: "mark",
  markerRank: "rank of the highlight",
  sampleContainer: "container",
  measurementType: "reading",
  measurementValue: "value",
  measurementUnit: "unit",
  nameScore: "words fit the name",
  vernacularName: "common name",
  taxonID: "taxon",
};

/** @param {number} seconds @param {number} [digits] @returns {string} like 1:02:03.4 */
export function clock(seconds, digits = 0) {
  if (!Number.isFinite(seconds)) return "";
  const whole = digits ? Math.floor(seconds) : Math.floor(seconds + 1e-9);
  const h = Math.floor(whole / 3600),
    m = Math.floor((whole % 3600) / 60),
    s = whole % 60;
  const tail = digits ? (seconds - whole).toFixed(digits).slice(1).replace(/^\.?$/, "") : "";
  return (h ? `${h}:${String(m).padStart(2, "0")}` : String(m)) + `:${String(s).padStart(2, "0")}${tail}`;
}

/** @param {number|null} value @returns {string} two digits, or a dash */
export const figure = (value) => (typeof value === "number" ? value.toFixed(2) : "–");

/** @param {number} n @param {string} one @param {string} [many] */
export const count = (n, one, many = `${one}s`) => `${n.toLocaleString("en")} ${n === 1 ? one : many}`;

/** What a row is of, in a few words. @param {Record<string, any>} row @returns {string} */
export function nameOf(row) {
  if (row.recordKind === "marker")
    return (MARKS[row.markerType] || "Mark") + (row.markerRank ? ` ${row.markerRank}` : "");
  if (row.recordKind === "measurement")
    return [capital(row.measurementType), row.measurementValue, row.measurementUnit].filter(Boolean).join(" ");
  if (row.recordKind === "substrate") return `Ground: ${row.habitat || "not told"}`;
  return row.scientificName || "No name";
}

/** Names of genera and below are in italics. @param {string|null} rank */
export const slanted = (rank) =>
  ["genus", "subgenus", "species", "subspecies", "variety", "form"].includes((rank || "").toLowerCase());

/** @param {Record<string, any>} row @returns {string} how many, as a word or figure; empty where nothing was said */
export function amount(row) {
  if (Number.isInteger(row.individualCount)) return String(row.individualCount);
  return row.organismQuantity
    ? row.organismQuantityType === "individuals, approximate"
      ? `about ${row.organismQuantity}`
      : row.organismQuantity
    : "";
}

/** @param {string|null} text */
export const capital = (text) => (text ? text[0].toUpperCase() + text.slice(1) : "");

/** @param {string} at RFC 3339 @returns {string} like 14 Jun 2031, 08:12 UTC */
export function moment(at) {
  const day = new Date(at);
  if (Number.isNaN(day.getTime())) return at || "";
  const month = day.toLocaleString("en", { month: "short", timeZone: "UTC" });
  return `${day.getUTCDate()} ${month} ${day.getUTCFullYear()}, ${String(day.getUTCHours()).padStart(2, "0")}:${String(day.getUTCMinutes()).padStart(2, "0")} UTC`;
}

/** Any value of a column as words. @param {any} value */
export function told(value) {
  if (value === null || value === undefined || value === "") return "nothing";
  if (Array.isArray(value) || typeof value === "object") return JSON.stringify(value);
  return String(value);
}
