// What was ticked here: kept by the browser where it keeps things, else by the page alone, and
// at the desk by the log itself. Pages opened from disk share one store, so the place's letters
// stand in its name.
/**
 * One tick. ``saved`` and ``backSaved``: whether a file with the tick, or with its taking back,
 * was asked for.
 * @typedef {{id: string, job: string, area: string, task: string, day: string, who: string,
 *   saved: boolean, back: boolean, backSaved: boolean}} Tick
 */
/** @typedef {{form: number, since: string, who: string, ticks: Tick[]}} Store */
const TICKS = D.ticks,
  STORE = "quietacre ticks " + TICKS.place,
  FORM = 1;
/** @returns {Store} */
const emptyStore = () => ({ form: FORM, since: TODAY, who: "", ticks: [] });
/** Whether this browser keeps anything for the page. @returns {Storage | null} */
function keeper() {
  try {
    const probe = STORE + " probe";
    localStorage.setItem(probe, "1");
    const kept = localStorage.getItem(probe) === "1";
    localStorage.removeItem(probe);
    return kept ? localStorage : null;
  } catch {
    return null;
  }
}
/** "kept" by the browser, by the "page" alone, by the "desk", or "newer": not to be touched. */
let tickMode = keeper() ? "kept" : "page";
let tickTrouble = "";
/** What the page itself holds, and all there is where the browser keeps nothing. */
let held = emptyStore();
/**
 * The store out of its text.
 * @param {string | null} text
 * @returns {Store | "newer" | "broken"}
 */
function readStore(text) {
  if (!text) return emptyStore();
  try {
    const told = JSON.parse(text);
    if (told.form === FORM && Array.isArray(told.ticks)) return told;
    return told.form > FORM ? "newer" : "broken";
  } catch {
    return "broken";
  }
}
/**
 * The ticks that the log has not yet: one that it has, or that was taken back in it, is done with.
 * @param {Tick[]} ticks
 * @param {{id: string, taken_back: boolean}[]} logged
 */
function unlogged(ticks, logged) {
  const known = new Map(logged.map((one) => [one.id, one.taken_back]));
  return ticks.filter((t) => !known.has(t.id) || (t.back && !known.get(t.id)));
}
/**
 * The tick that stands for a job, the last one.
 * @param {Tick[]} ticks
 * @param {string} job
 */
const standing = (ticks, job) => ticks.filter((t) => t.job === job && !t.back).pop();
/**
 * Ticks without one. What no file has is forgotten, the rest is taken back.
 * @param {Tick[]} ticks
 * @param {string} id
 */
const without = (ticks, id) =>
  ticks
    .filter((t) => t.id !== id || t.saved)
    .map((t) => (t.id === id ? { ...t, back: true, backSaved: false } : t));
/** @param {Tick[]} ticks */
const unsaved = (ticks) => ticks.filter((t) => !t.saved || (t.back && !t.backSaved));
/**
 * A cell of the file: quoted where it has to be, never one that a spreadsheet would run.
 * @param {string} text
 */
function csvCell(text) {
  const plain = text.replace(/[\s\p{Cc}\p{Zl}\p{Zp}]+/gu, " ").trim(),
    bare = plain.replace(new RegExp("^" + TICKS.quote + "+"), ""),
    cell = TICKS.runs.some((sign) => bare.startsWith(sign)) ? TICKS.quote + plain : plain;
  return /[",;]/.test(cell) ? '"' + cell.replaceAll('"', '""') + '"' : cell;
}
/**
 * The file of some ticks: a line for each, and one more for each that was taken back.
 * @param {Tick[]} ticks
 */
function tickFile(ticks) {
  const rows = [["id", "date", "area", "task", "who", TICKS.column]];
  for (const t of ticks) {
    rows.push([t.id, t.day, t.area, t.task, t.who, TICKS.place]);
    if (t.back) rows.push([t.id, t.day, t.area, TICKS.undo, "", TICKS.place]);
  }
  return rows.map((row) => row.map(csvCell).join(",") + "\r\n").join("");
}
/** @param {string} job */
function newTickId(job) {
  const some = new Uint32Array(TICKS.own_letters);
  crypto.getRandomValues(some);
  return job + "-" + [...some].map((v) => TICKS.letters[v % TICKS.letters.length]).join("");
}
/** What is ticked, as it stands now: another tab may have ticked meanwhile. @returns {Store} */
function tickStore() {
  if (tickMode !== "kept") return held;
  const read = readStore(localStorage.getItem(STORE));
  if (read === "newer") tickMode = "newer";
  else held = read === "broken" ? emptyStore() : read;
  return held;
}
/** Change what is ticked. @param {(ticks: Tick[]) => Tick[]} how @param {string} [who] */
function retick(how, who) {
  const now = tickStore();
  held = { ...now, who: who ?? now.who, ticks: how(now.ticks) };
  if (tickMode !== "kept") return;
  try {
    localStorage.setItem(STORE, JSON.stringify(held));
  } catch {
    tickMode = "page";
    tickTrouble = "This browser has no room to keep it. ";
  }
}
/** @param {any} job a job of the year */
const tickOf = (job) => standing(held.ticks, job.job);
/** Whether a job is done, by the log or by a tick. @param {any} job */
const looksDone = (job) => job.status === "done" || Boolean(tickOf(job));

// what was kept before, without what the log has by now; a store that cannot be read is put aside
const keptBefore = tickMode === "kept" ? localStorage.getItem(STORE) : null;
if (tickMode === "kept") {
  if (keptBefore && readStore(keptBefore) === "broken") {
    localStorage.setItem(STORE + " unread", keptBefore);
    tickTrouble = "What was ticked before could not be read, and is put aside in this browser. ";
  }
  tickStore();
  retick((ticks) => unlogged(ticks, TICKS.logged));
}
