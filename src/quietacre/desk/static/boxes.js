// The boxes of a form: what a part of the schema is, its control, and what the control says.
// @ts-check
import { desk } from "./desk.js";
import { numberTyped, withoutFile } from "./plain_words.js";
import { cap, el } from "./say.js";
import { dayTyped } from "./season_days.js";

let made = 0;
/** Lists of sentences, one a line: a comma parts none of them. */
const LINES = ["history"];
/** Lists that may name kinds of ground, by their words. */
const KINDS = ["keeps_out"];

/** What stands in a list, as its box shows it. @param {any} one @param {string} name */
export const shownIn = (one, name) =>
  (KINDS.includes(name) &&
    desk.start.kinds.find((/** @type {any} */ row) => row.kind === one)?.word) ||
  one;

/** @param {any} part @returns {any} */
export function resolved(part) {
  if (part.allOf) return { ...part, ...resolved(part.allOf[0]), description: part.description };
  if (part.$ref) {
    const name = part.$ref.split("/").pop();
    return {
      ...desk.words.schema.$defs[name],
      table: desk.words.tables[name],
    };
  }
  return part;
}

/** What a table is for, without how the file writes it. @param {string} about */
export const plain = (about) => cap(about.replace(/^[^:]*[[{][^:]*: /, ""));

/** What a key holds, in the words of a box. @param {any} row */
export const meantBy = (row) => (row ? cap(withoutFile(row.is, row.keys)) : "");

/** What stands under a box: what it is and why it is asked, each once. @param {any} row */
export function underBox(row) {
  if (!row) return "";
  const is = meantBy(row);
  const why = withoutFile(row.why, row.keys);
  const said = why === "as above" || is.toLowerCase().includes(why.toLowerCase());
  return `${cap(is)}.${said ? "" : ` ${cap(why)}.`}`;
}

/** What stands before a box, with its unit. @param {any} row @param {string} name */
export function labelOf(row, name) {
  if (!row) return name;
  const said = !row.unit || row.label.toLowerCase().includes(row.unit);
  return said ? row.label : `${row.label} (${row.unit})`;
}

/** The words on a key, which know those beside it. @param {any} table @param {string} name */
export function rowOf(table, name) {
  const keys = desk.words.words[table]?.keys;
  return keys?.[name] && { ...keys[name], keys };
}

/**
 * Names that a box may be filled with by typing a part of them.
 * @param {string} name
 * @returns {string[]}
 */
function choices(name) {
  const settings = desk.place.settings;
  const names = (/** @type {any[]} */ list, key = "name") =>
    (list || []).map((one) => String(one[key]));
  if (name === "mix") return names(settings.mix);
  if (name === "soil_test") return names(settings.soil_test);
  if (name === "spray") return names(settings.spray);
  if (name === "area") return names(settings.area);
  if (name === "crop") return desk.words.crops;
  if (name === "grade") return desk.words.grades;
  if (name === "vine") return desk.words.vines;
  if (name === "item") return [...desk.words.grades, ...desk.words.crops];
  return [];
}

/** What a rate of seed is of. */
const RATE_OF = /** @type {Record<string, string>} */ ({
  bulk: "bulk: seed as it is in the bag",
  pls: "PLS: pure live seed",
});

/**
 * How a choice is called on the screen.
 * @param {string} one
 * @param {string} name
 * @param {any} part
 */
function optionWord(one, name, part) {
  if (!part.enum) return one === "true" ? "yes" : "no";
  const kind = desk.start.kinds.find((/** @type {any} */ row) => row.kind === one);
  if (name === "basis") return RATE_OF[one] || one;
  return name === "kind" && kind ? kind.word : one;
}

/**
 * The control for a value.
 * @param {any} part
 * @param {any} value
 * @param {string} [name]
 * @returns {any}
 */
export function box(part, value, name = "") {
  made += 1;
  const id = `box-${made}`;
  if (part.type === "boolean" || part.enum) {
    const options = part.enum ? part.enum.map(String) : ["true", "false"];
    const node = el(
      "select",
      { id },
      el("option", { value: "", text: "(not said)" }),
      ...options.map((/** @type {string} */ one) =>
        el("option", { value: one, text: optionWord(one, name, part) }),
      ),
    );
    node.value = value === undefined ? "" : String(value);
    return node;
  }
  if (LINES.includes(name)) {
    const node = el("textarea", { id, rows: 4 });
    node.value = (value || []).join("\n");
    return node;
  }
  const kind = part.format === "date" ? "date" : "text";
  const node = el("input", {
    id,
    type: kind,
    autocomplete: "off",
    inputmode: isNumber(part) ? "decimal" : null,
  });
  const some = choices(name);
  if (some.length) {
    document.getElementById(`some-${name}`)?.remove();
    document.body.append(
      el("datalist", { id: `some-${name}` }, ...some.map((one) => el("option", { value: one }))),
    );
    node.setAttribute("list", `some-${name}`);
  }
  if (KINDS.includes(name)) node.dataset.kinds = "yes";
  node.value =
    value === undefined
      ? ""
      : Array.isArray(value)
        ? value
            .map((one) => (typeof one === "object" ? JSON.stringify(one) : shownIn(one, name)))
            .join(", ")
        : String(value);
  return node;
}

/** @param {any} part */
const isDate = (part) => part.format === "date";

/** Whether a box takes a day, or a day of every year. @param {any} part @returns {boolean} */
const takesDays = (part) =>
  [part, ...(part.anyOf || [])].some((one) => isDate(one) || isDayOfYear(one));

/** Whether a box takes a day of every year, as 05-15. @param {any} part */
const isDayOfYear = (part) => Boolean(part.pattern) && new RegExp(part.pattern).test("05-15");

/** @param {any} part */
const isNumber = (part) => part.type === "number" || part.type === "integer";

/** A day in a list; what is none stays as it was typed. @param {string} one */
function dayOrWords(one) {
  const day = dayTyped(one);
  return /^\d{4}-\d{2}-\d{2}$/.test(day) ? { day } : one;
}

/** Pairs of figures in brackets; what is none stays as it was typed. @param {string} text */
function pairsTyped(text) {
  try {
    return JSON.parse(`[${text}]`);
  } catch {
    return text;
  }
}

/**
 * What was said as the file's JSON gives it back: days as text.
 * @param {any} value @returns {any}
 */
export function asKept(value) {
  if (Array.isArray(value)) return value.map(asKept);
  return value?.day || value;
}

/** Whether a box takes something as a text by itself. @param {any} part @param {string} text */
const takesText = (part, text) =>
  (part.anyOf || [part]).some(
    (/** @type {any} */ one) => one.type === "string" && (!one.enum || one.enum.includes(text)),
  );

/** The kind that a word is of, or the word. @param {string} text */
export const kindOr = (text) =>
  desk.start.kinds.find((/** @type {any} */ row) => row.word === text.toLowerCase())?.kind || text;

/**
 * What a control says, as the settings have it; null for nothing.
 * @param {any} node
 * @param {any} part
 * @param {string} [unit] the unit in its label
 * @returns {any}
 */
export function saidBy(node, part, unit) {
  const typed = node.value.trim();
  if (typed === "") return null;
  if (node.tagName === "TEXTAREA") return typed.split(/\s*\n\s*/);
  if (part.type === "boolean") return typed === "true";
  const text = takesDays(part) ? dayTyped(typed) : typed;
  if (part.enum) return part.enum.find((/** @type {any} */ one) => String(one) === text);
  const dates = part.format === "date" || (part.anyOf || []).some(isDate);
  if (part.format === "date" || (dates && /^\d{4}-\d{2}-\d{2}$/.test(text))) return { day: text };
  if (isNumber(part)) return numberTyped(text, { unit, most: part.maximum }, desk.start.units);
  const lists =
    part.type === "array"
      ? part
      : (part.anyOf || []).find((/** @type {any} */ one) => one.type === "array");
  if (lists && (text.includes(",") || !takesText(part, text))) {
    const inner = lists.items || {};
    if (inner.type === "array" || inner.minItems) return pairsTyped(text);
    const plain = (/** @type {string} */ one) => (node.dataset.kinds ? kindOr(one) : one);
    const yearly = (/** @type {string} */ one) => (isDayOfYear(inner) ? dayTyped(one) : plain(one));
    return text
      .split(",")
      .map((/** @type {string} */ one) => one.trim())
      .filter(Boolean)
      .map((/** @type {string} */ one) =>
        isNumber(inner) ? Number(one) : isDate(inner) ? dayOrWords(one) : yearly(one),
      );
  }
  return text;
}

/**
 * Empty boxes for keys of a table; a list of tables among them begins with one.
 * @param {any} part @param {string[]} names
 * @returns {{rows: Node[], value: () => any}}
 */
export function boxesFor(part, names) {
  /** @type {Record<string, () => any>} */
  const values = {};
  const rows = names.map((name) => {
    const inner = resolved(part.properties[name]);
    const row = rowOf(part.table, name);
    if (inner.properties) {
      const all = boxesFor(inner, simpleKeys(inner));
      values[name] = () => (Object.keys(all.value()).length ? all.value() : null);
      return el("fieldset", {}, el("legend", { text: row?.label || name }), ...all.rows);
    }
    const item = inner.type === "array" ? resolved(inner.items || {}) : {};
    if (item.properties) {
      const first = boxesFor(item, simpleKeys(item));
      values[name] = () => [first.value()];
      return el("fieldset", {}, el("legend", { text: row?.label || name }), ...first.rows);
    }
    const node = box(inner, undefined, name);
    values[name] = () => saidBy(node, inner, row?.unit);
    return el(
      "div",
      { class: "field", "data-box": `${part.table}.${name}` },
      el("label", { for: node.id, text: labelOf(row, name) }),
      node,
      el("p", { class: "why", text: meantBy(row) }),
    );
  });
  const value = () =>
    Object.fromEntries(
      names.map((name) => [name, values[name]()]).filter(([, one]) => one !== null),
    );
  return { rows, value };
}

/** Keys of a table that hold no list of tables. @param {any} part @returns {string[]} */
export function wholeKeys(part) {
  return Object.keys(part.properties).filter((name) => {
    const inner = resolved(part.properties[name]);
    return !(inner.type === "array" && resolved(inner.items || {}).properties);
  });
}

/** Keys of a table that hold no table themselves. @param {any} part @returns {string[]} */
export const simpleKeys = (part) =>
  wholeKeys(part).filter((name) => !resolved(part.properties[name]).properties);
