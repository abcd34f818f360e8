// How figures and days are said. Nothing here needs a page, only FIGURES and metric.
const MONTHS = [
  "January",
  "February",
  "March",
  "April",
  "May",
  "June",
  "July",
  "August",
  "September",
  "October",
  "November",
  "December",
];
const DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];

// made once for each number of decimals: making one costs more than a thousand uses
/** @type {Intl.NumberFormat[]} */
const ways = [];
/**
 * A number with d decimals.
 * @param {number} v
 * @param {number} d
 */
function n(v, d) {
  ways[d] ||= new Intl.NumberFormat("en-US", {
    minimumFractionDigits: d,
    maximumFractionDigits: d,
  });
  return ways[d].format(v).replace(/^-(?=[0.,]*$)/, "");
}
/**
 * What says a measure of this name, in the units that are shown.
 * @param {string} name
 * @returns {(v: number) => string}
 */
function measure(name) {
  const m = FIGURES.measures[name];
  return (v) => {
    const way = metric ? m.metric : m.us;
    const places = v < m.small ? way.few : way.places;
    let text = n(v * way.factor, places);
    if (m.neverNothing && v && text === n(0, places)) text = n(v * way.factor, places + 2);
    return text + " " + way.word;
  };
}
const acres = measure("acres"),
  feet = measure("feet"),
  pounds = measure("pounds"),
  rate = measure("rate"),
  gallons = measure("gallons"),
  tons = measure("tons"),
  ounces = measure("fluid_ounces");
const FIGURE = new RegExp(FIGURES.sentence, "g"),
  QUOTED = new RegExp(FIGURES.quoted);
/** @param {number} v */
const figure = (v) => n(v, FIGURES.steps.filter((most) => v < most).length);
/**
 * A sentence in the units that are shown: it comes in US units. What stands in quotation marks
 * is a name and stays as it is.
 * @param {any} text
 */
function u(text) {
  if (!metric || typeof text !== "string") return text;
  return text
    .split(QUOTED)
    .map((part) =>
      part[0] === "“"
        ? part
        : part.replace(FIGURE, (_all, a, to, b, unit) => {
            const [factor, word] = FIGURES.sentences[unit],
              told = (/** @type {string} */ x) => figure(parseFloat(x.replace(/,/g, "")) * factor);
            return told(a) + (b ? to + told(b) : "") + " " + word;
          }),
    )
    .join("");
}
/** @param {?number} [v] */
const money = (v) => (v == null ? "" : "$" + n(v, 2));
/**
 * @param {number} v
 * @param {string} u
 */
function amount(v, u) {
  if (u === "fl oz") return ounces(v);
  // "lb", or pounds of something: "lb of seed"
  if (/^lb\b/.test(u)) return pounds(v) + u.slice(2);
  return n(v, 1) + " " + u;
}
/**
 * @param {number} v
 * @param {string} u
 */
const pack = (v, u) => amount(v, u).replace(".0 ", " ");
/** @param {{ acres_high: number, acres_low: number }} p */
const give = (p) => (p.acres_high - p.acres_low) / 2;
/** @param {number} v */
const minutes = (v) => (v < 90 ? n(v, 0) + " min" : n(v / 60, 1) + " h");
// a day is said one way everywhere: Sat, July 4, 2027; without its year where that stands above
/** @param {string} md */
const monthDay = (md) => MONTHS[+md.slice(0, 2) - 1] + " " + +md.slice(3);
/** @param {string} iso */
const weekDay = (iso) => DAYS[new Date(iso + "T00:00:00Z").getUTCDay()];
/** @param {string} iso */
const sayDay = (iso) => weekDay(iso) + ", " + monthDay(iso.slice(5));
/** @param {string} iso */
const sayDate = (iso) => sayDay(iso) + ", " + iso.slice(0, 4);
