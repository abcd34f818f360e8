// What a box says of itself, and figures as a person types them; no page.
// @ts-check

/** How the unit in a box's label may be typed behind its figure. */
const TYPED_UNITS = /** @type {Record<string, string[]>} */ ({
  pounds: ["lb", "lbs", "pound"],
  feet: ["ft", "foot"],
  inches: ["in", "inch"],
  gallons: ["gal", "gallon"],
  hours: ["hr", "hrs", "hour"],
  minutes: ["min", "minute"],
  days: ["day"],
  "miles an hour": ["mph"],
  percent: ["%"],
  dollars: ["$"],
  tons: ["ton"],
  bushels: ["bu", "bushel"],
  "parts a million": ["ppm"],
});

/**
 * A figure as a bag or a person has it, 98.5%, $0.55, 1,200 or 50 lb; what is none stays.
 * @param {string} text
 * @param {{unit?: string, most?: number}} of the box's unit, and its greatest figure
 * @returns {number | string}
 */
export function numberTyped(text, { unit = "", most } = {}) {
  const found = /^(\$?) ?(-?[\d.,]+) ?(.*)$/.exec(text.trim());
  if (!found) return text;
  const [, dollars, digits, after] = found;
  const plain = /^-?\d{1,3}(,\d{3})+(\.\d*)?$/.test(digits) ? digits.replaceAll(",", "") : digits;
  const figure = Number(plain);
  if (plain === "" || !Number.isFinite(figure)) return text;
  if (dollars && unit !== "dollars" && unit !== "") return text;
  const [whole, first] = [unit, unit.replace(/ an acre$/, "")];
  const short = [first, ...(TYPED_UNITS[first] || [])];
  const acre = first === whole ? [] : ["/ac", "/acre", " an acre", " per acre"];
  const known = [...short, ...short.flatMap((one) => acre.map((end) => one + end))];
  const word = after.trim().toLowerCase().replace(/\.$/, "");
  if (unit === "minutes" && TYPED_UNITS.hours.includes(word.replace(/s$/, ""))) return figure * 60;
  if (word === "%" && most === 1) return Number((figure / 100).toPrecision(12));
  return word === "" || known.includes(word) ? figure : text;
}

/**
 * The words on a key as a box has them, without how the file writes it.
 * @param {string} text
 * @param {Record<string, {label: string}>} [keys] the words on the table's keys
 */
export function withoutFile(text, keys = {}) {
  return text
    .replaceAll("**", "")
    .replace(/^[^:]*[[{][^:]*: /, "")
    .replace(/^true\b/, "yes")
    .replace(/; true\b/g, "; yes")
    .replace(/ \(quietacre [a-z ]+\)/g, "")
    .replace(/; quietacre [a-z ]+/g, "")
    .replace(/\[\[(\w+)\]\]/g, (_, table) => table.replaceAll("_", " "))
    .replace(/"(\d\d)-(\d\d)"/g, (_, month, day) => `${Number(month)}/${Number(day)}`)
    .replace(/\bmonth-day\b(?! such)/g, "day of the year, such as 9/25")
    .replace(/\bmonth-day such as\b/g, "day such as")
    .replace(/"([^"]+)"/g, "“$1”")
    .replace(/\b[a-z0-9]+(?:_[a-z0-9]+)+\b/g, (key) =>
      keys[key] ? `“${keys[key].label}”` : key.replaceAll("_", " "),
    );
}
