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
 * A number with d decimals; less than none round to tens and hundreds.
 * @param {number} v
 * @param {number} d
 */
function n(v, d) {
  if (d < 0) return n(Math.sign(v) * Math.round(Math.abs(v) * 10 ** d) * 10 ** -d, 0);
  ways[d] ||= new Intl.NumberFormat("en-US", {
    minimumFractionDigits: d,
    maximumFractionDigits: d,
  });
  return ways[d].format(v).replace(/^-(?=[0.,]*$)/, "");
}
// a figure has more decimals the smaller it is, where its unit does not say how many
/** @param {number} v @param {number} fewer */
function bySize(v, fewer) {
  const places = Math.max(FIGURES.sizes.filter((most) => Math.abs(v) < most).length - fewer, 0);
  return [places, places + 2].map((p) => n(v, p)).find((text) => /[1-9]/.test(text)) ?? "0";
}
/**
 * A number with so many decimals; with less than none as many as it has.
 * @param {number} v
 * @param {number} places
 */
function withPlaces(v, places) {
  if (places >= 0) return n(v, places);
  const text = n(v, FIGURES.most_places);
  return text.includes(".") ? text.replace(/\.?0+$/, "") : text;
}
/**
 * The number of a figure in the units that are shown, without their word.
 * @param {{ small: number, neverNothing: boolean, us: any, metric: any }} m
 * @param {number} v in US units
 * @param {string} [places] decimals of the US figure
 */
function numberOf(m, v, places) {
  const way = metric ? m.metric : m.us,
    told = v * way.factor + way.zero;
  if (places) return way.lead + (metric ? bySize(told, way.fewer) : withPlaces(told, +places));
  const decimals = v < m.small ? way.few : way.places;
  if (decimals == null) return way.lead + bySize(told, way.fewer);
  let text = n(told, decimals);
  if (m.neverNothing && v && text === n(0, decimals)) text = n(told, decimals + 2);
  return way.lead + text;
}
/**
 * What says figures of this unit, in the units that are shown.
 * @param {string} unit
 * @returns {(v: number) => string}
 */
function measure(unit) {
  const m = FIGURES.measures[unit];
  return (v) => numberOf(m, v) + " " + (metric ? m.metric : m.us).word;
}
const acres = measure("ac"),
  feet = measure("ft"),
  pounds = measure("lb"),
  rate = measure("lb/ac"),
  gallons = measure("gal"),
  tons = measure("tons"),
  ounces = measure("fl oz");
const FIGURE = new RegExp(FIGURES.mark, "g");
/**
 * A text with its figures in the units that are shown.
 * @param {string} text
 * @returns {string}
 */
function printed(text) {
  return text.replace(FIGURE, (all, inside) => {
    const [unit, how, ...rest] = String(inside).split(FIGURES.bar),
      m = FIGURES.measures[unit],
      [, sign, places, bare] = /^(\+?)(.*?)(\*?)$/.exec(how || "") || [];
    // somebody's own brackets
    if (!m || !rest.length || rest.some((v, i) => i % 2 === 0 && (!v || Number.isNaN(+v))))
      return all;
    if (!metric && places.startsWith(FIGURES.own_words))
      return places.slice(FIGURES.own_words.length);
    const number = (/** @type {number} */ v) => {
      const told = numberOf(m, v, places);
      return sign && /^(?!-).*[1-9]/.test(told) ? sign + told : told;
    };
    const told = rest.map((v, i) => (i % 2 ? v : number(+v))).join("");
    return bare ? told : told + " " + (metric ? m.metric : m.us).word;
  });
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
