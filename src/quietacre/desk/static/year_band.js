// The quiet seasons on a band of twelve months: it follows the boxes while days are typed.
// @ts-check
import { kindOr, shownIn } from "./boxes.js";
import { desk } from "./desk.js";
import { el } from "./say.js";
import { dayTyped, months, runsOf, sayOpen, saySeason, YEAR_DAYS } from "./season_days.js";

/** @typedef {import("./season_days.js").Season} Season */

/** Where a day stands on the band, in percent of its width. @param {number} day */
const along = (day) => `${((day / YEAR_DAYS) * 100).toFixed(3)}%`;

/**
 * The seasons' boxes with a band of the year above them.
 * @param {any} item the schema of one season
 * @param {Node[]} nodes the boxes of each season, and the form for one more
 */
export function withYearBand(item, nodes) {
  const band = el("div", { class: "year-band", "aria-hidden": "true" });
  const told = el("ul", { class: "list seasons", "aria-live": "polite" });
  const whole = el("div", { class: "with-band" }, band, told, ...nodes);
  const draw = () => drawBand(band, told, typedSeasons(whole, item.table));
  for (const event of ["input", "change", "kept"]) whole.addEventListener(event, draw);
  draw();
  return whole;
}

/**
 * The seasons as their boxes say them now, kept or not.
 * @param {HTMLElement} whole @param {string} table
 * @returns {Season[]}
 */
function typedSeasons(whole, table) {
  const groups = [
    .../** @type {NodeListOf<HTMLElement>} */ (whole.querySelectorAll("[data-item]")),
  ];
  const said = (/** @type {HTMLElement} */ group, /** @type {string} */ key) => {
    const box = group.querySelector(`[data-box="${table}.${key}"] > input`);
    return /** @type {HTMLInputElement|null} */ (box)?.value.trim() || "";
  };
  return groups
    .filter(
      (group) => !group.dataset.item?.endsWith("[+]") || said(group, "start") || said(group, "end"),
    )
    .map((group, place) => {
      const now = ["name", "start", "end"].map((key) => said(group, key));
      now.push(
        asShown(
          said(group, "keeps_out")
            .split(",")
            .map((one) => kindOr(one.trim())),
        ),
      );
      const [name, start, end, out] = now;
      const file = desk.place.settings[table]?.[place];
      const there = [file?.name, file?.start, file?.end, file?.keeps_out];
      const kept = there.every((one, n) => asShown(one) === dayTyped(now[n]));
      return { name, start, end, keeps_out: outOf(out), kept };
    });
}

/** A setting as its box shows it. @param {any} one */
const asShown = (one) =>
  Array.isArray(one) ? one.map((word) => shownIn(word, "keeps_out")).join(", ") : one || "";

/** What a season keeps out of, in words; none for everything. @param {string} text */
function outOf(text) {
  if (!text || text === "all") return [];
  const words = new Map(
    desk.start.kinds.flatMap((/** @type {any} */ row) => [
      [row.kind, `every ${row.word}`],
      [row.word, `every ${row.word}`],
    ]),
  );
  return text
    .split(",")
    .map((one) => one.trim())
    .filter(Boolean)
    .map((one) => words.get(one) || one);
}

/**
 * @param {HTMLElement} band @param {HTMLElement} told @param {Season[]} seasons
 */
function drawBand(band, told, seasons) {
  const heads = months().map(({ name, first, days }) => {
    const month = el("span", { class: "month", text: name.slice(0, 3) });
    month.style.left = along(first);
    month.style.width = along(days);
    return month;
  });
  band.replaceChildren(...heads, ...seasons.map(lane));
  const lines = seasons.map((season, n) =>
    el(
      "li",
      { class: "row" },
      el("span", { class: "letter", "aria-hidden": "true", text: letter(n) }),
      el("span", { class: "wide", text: saySeason(season) }),
    ),
  );
  told.replaceChildren(...lines, el("li", { text: sayOpen(seasons) }));
}

/** @param {number} n */
const letter = (n) => String.fromCharCode(65 + (n % 26));

/** One season's line of the band. @param {Season} season @param {number} n */
function lane(season, n) {
  const runs = runsOf(season);
  const bars = runs.map(({ first, last }) => {
    const bar = el("span", { class: season.kept ? "quiet" : "quiet typed" });
    bar.style.left = along(first);
    bar.style.width = along(last - first + 1);
    return bar;
  });
  const days = runs.length ? `${short(season.start)} to ${short(season.end)}` : "no days yet";
  const label = el(
    "span",
    { class: "dates" },
    el("span", { class: "letter", text: letter(n) }),
    days,
  );
  const [from, to] = widestGap(runs);
  if (from === 0 && to < YEAR_DAYS) label.style.right = along(YEAR_DAYS - to);
  else label.style.left = along(from);
  return el("div", { class: "lane" }, ...bars, label);
}

/** A day as it is said here: 5/15. @param {string} text */
const short = (text) => text.replace(/^0?(\d+)-0?(\d+)$/, "$1/$2");

/**
 * Where the dates have most room beside the bars; over them when there is none.
 * @param {{first: number, last: number}[]} runs
 * @returns {[number, number]} first and last day of the room
 */
function widestGap(runs) {
  const inOrder = [...runs].sort((one, other) => one.first - other.first);
  const ends = [0, ...inOrder.map(({ last }) => last + 1)];
  const begins = [...inOrder.map(({ first }) => first), YEAR_DAYS];
  const gaps = ends.map((end, n) => /** @type {[number, number]} */ ([end, begins[n]]));
  const widest = gaps.reduce((one, other) => (other[1] - other[0] > one[1] - one[0] ? other : one));
  return widest[1] - widest[0] < 110 ? [0, 0] : widest;
}
