// What a box says of itself, and figures as a person types them; no page.
// @ts-check

/**
 * A figure as a bag or a person has it, 98.5%, $0.55, 1,200 or 50 lb; what is none stays.
 * @param {string} text
 * @param {{unit?: string, most?: number}} of the box's unit, and its greatest figure
 * @param {Record<string, Record<string, number>>} units what may be typed for each unit
 * @returns {number | string}
 */
export function numberTyped(text, { unit = "", most }, units) {
  const found = /^(\$?) ?(-?[\d.,]+) ?(.*)$/.exec(text.trim());
  if (!found) return text;
  const [, dollars, digits, after] = found;
  const plain = /^-?\d{1,3}(,\d{3})+(\.\d*)?$/.test(digits) ? digits.replaceAll(",", "") : digits;
  const figure = Number(plain);
  if (plain === "" || !Number.isFinite(figure)) return text;
  if (dollars && unit !== "dollars" && unit !== "") return text;
  const word = after.trim().toLowerCase().replace(/\.$/, "");
  if (word === "%" && most === 1) return Number((figure / 100).toPrecision(12));
  if (word === "") return figure;
  return units[unit]?.[word] ? figure * units[unit][word] : text;
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
    .replace(/, as a part of 1(: 98 % is 0\.98)?/, ", such as 85% or 0.85")
    .replace(/^true\b/, "yes")
    .replace(/; true\b/g, "; yes")
    .replace(/ \(quietacre [a-z ]+\)/g, "")
    .replace(/; quietacre [a-z ]+/g, "")
    .replace(/\[\[(\w+)\]\]/g, (_, table) => table.replaceAll("_", " "))
    .replace(/"(\d\d)-(\d\d)"/g, (_, month, day) => `${Number(month)}/${Number(day)}`)
    .replace(/\bmonth-day\b(?! such)/g, "day of the year, such as 9/25")
    .replace(/\bmonth-day such as\b/g, "day such as")
    .replace(/"([^"]+)"/g, "“$1”")
    .replace(/\b[a-z0-9]+(?:_[a-z0-9]+)+\b/g, (key) => (keys[key] ? `“${keys[key].label}”` : key));
}
