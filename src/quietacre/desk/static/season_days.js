// Days of every year, as they are typed and as a year of 365 days holds them; no page.
// @ts-check

const MONTHS = /** @type {[string, number][]} */ ([
  ["January", 31],
  ["February", 28],
  ["March", 31],
  ["April", 30],
  ["May", 31],
  ["June", 30],
  ["July", 31],
  ["August", 31],
  ["September", 30],
  ["October", 31],
  ["November", 30],
  ["December", 31],
]);

export const YEAR_DAYS = 365;

/**
 * A quiet season as its boxes say it.
 * @typedef {{name: string, start: string, end: string, keeps_out: string[], kept: boolean}} Season
 */

/** The twelve months: their names, and on which day of the year each begins, counted from 0. */
export const months = () => {
  let first = 0;
  return MONTHS.map(([name, days]) => {
    const month = { name, first, days };
    first += days;
    return month;
  });
};

/**
 * A day as it is said here, 9/25/2027, 9/25, Sept 25 or 25 September 2027, as the file has it.
 * @param {string} text
 */
export function dayTyped(text) {
  const said = /^(\d{1,2})\/(\d{1,2})(?:\/(\d{4}))?$/.exec(text) || inWords(text);
  if (!said) return text;
  const [month, day] = [said[1], said[2]].map((one) => one.padStart(2, "0"));
  return said[3] ? `${said[3]}-${month}-${day}` : `${month}-${day}`;
}

/** Month, day and year of a day that names its month, or null. @param {string} text */
function inWords(text) {
  const first = /^([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?(?:,? (\d{4}))?$/i.exec(text);
  const second = /^(\d{1,2})(?:st|nd|rd|th)? ([a-z]{3,9})\.?(?:,? (\d{4}))?$/i.exec(text);
  const [word, day, year] = first
    ? first.slice(1)
    : second
      ? [second[2], second[1], second[3]]
      : [];
  const month = MONTHS.findIndex(
    ([name]) => word && name.toLowerCase().startsWith(word.toLowerCase()),
  );
  return month < 0 ? null : ["", String(month + 1), day, year];
}

/**
 * Which day of a year of 365 days is typed, counted from 0; null for none. February 29 is the 28th.
 * @param {string} text 05-15 or 5/15
 * @returns {number | null}
 */
export function dayOfYear(text) {
  const said = /^(\d\d)-(\d\d)$/.exec(dayTyped(text.trim()));
  if (!said) return null;
  const month = months()[Number(said[1]) - 1];
  const leap = said[1] === "02" && said[2] === "29";
  const day = leap ? month.days : Number(said[2]);
  if (!month || day < 1 || day > month.days) return null;
  return month.first + day - 1;
}

/** A day of the year in words. @param {number} day counted from 0 */
export function sayDayOfYear(day) {
  const begun = months().filter(({ first }) => first <= day);
  const { name, first } = begun[begun.length - 1];
  return `${name} ${day - first + 1}`;
}

/**
 * The days of a season as they lie in one year: two runs when it goes across New Year.
 * @param {Season} season
 * @returns {{first: number, last: number}[]} both ends inclusive; none when a day is missing
 */
export function runsOf({ start, end }) {
  const [first, last] = [dayOfYear(start), dayOfYear(end)];
  if (first === null || last === null) return [];
  if (first <= last) return [{ first, last }];
  return [
    { first, last: YEAR_DAYS - 1 },
    { first: 0, last },
  ];
}

/** @param {{first: number, last: number}[]} runs */
const daysIn = (runs) => runs.reduce((days, { first, last }) => days + last - first + 1, 0);

/** @param {number} count */
const sayDays = (count) => `${count} ${count === 1 ? "day" : "days"}`;

/** @param {number} first @param {number} last */
const saySpan = (first, last) =>
  first === last ? sayDayOfYear(first) : `${sayDayOfYear(first)} to ${sayDayOfYear(last)}`;

/**
 * What is wrong with a typed day, blank when nothing is.
 * @param {string} which @param {string} text
 */
function dayFault(which, text) {
  if (dayOfYear(text) !== null) return "";
  const typed = text.trim();
  if (!typed) return `its ${which} day is not typed yet`;
  return `its ${which} day reads “${typed}”, which is no day of the year: type it as 9/25`;
}

/** One season as a sentence. @param {Season} season */
export function saySeason(season) {
  const name = season.name || "a season without a name yet";
  const kept = season.kept ? "" : " Not kept yet.";
  const fault = dayFault("first", season.start) || dayFault("last", season.end);
  if (fault) return `${name}: ${fault}.${kept}`;
  const runs = runsOf(season);
  const out = season.keeps_out.length
    ? `keeps work off ${season.keeps_out.join(", ")}`
    : "keeps all work off";
  const across = runs.length > 1 ? ", across New Year" : "";
  const span = saySpan(runs[0].first, runs[runs.length - 1].last);
  return `${name}: ${span}${across}, ${sayDays(daysIn(runs))}, ${out}.${kept}`;
}

/**
 * The runs of days that are in no season; the one across New Year is told as one.
 * @param {Season[]} seasons
 * @returns {{first: number, last: number}[]}
 */
export function openRuns(seasons) {
  const quiet = Array(YEAR_DAYS).fill(false);
  for (const season of seasons)
    for (const { first, last } of runsOf(season)) quiet.fill(true, first, last + 1);
  /** @type {{first: number, last: number}[]} */
  const runs = [];
  quiet.forEach((shut, day) => {
    const run = runs[runs.length - 1];
    if (shut) return;
    if (run && run.last === day - 1) run.last = day;
    else runs.push({ first: day, last: day });
  });
  return runs;
}

/** What the seasons leave of the year, as a sentence. @param {Season[]} seasons */
export function sayOpen(seasons) {
  const runs = openRuns(seasons);
  const count = daysIn(runs);
  if (count === YEAR_DAYS) return "No day of the year is in a quiet season.";
  if (!count) return "Every day of the year is in a quiet season.";
  const whole = [...runs];
  const end = whole[whole.length - 1];
  if (whole.length > 1 && whole[0].first === 0 && end.last === YEAR_DAYS - 1) {
    end.last = /** @type {{last: number}} */ (whole.shift()).last;
  }
  const spans = whole.map(({ first, last }) => saySpan(first, last)).join("; ");
  return `In no season: ${spans}. That is ${sayDays(count)} of ${YEAR_DAYS}.`;
}
