// Parts of which screens are put together: buttons, boxes with their labels, lists of sentences.
// @ts-check
import { desk } from "./desk.js";
import { numberTyped } from "./plain_words.js";
import { el, sent } from "./say.js";

/** @typedef {[string, (event: any) => any, Record<string, any>?]} Choice words, what they do */

/** @param {string} text @param {(event: any) => any} click @param {Record<string, any>} [how] */
export const button = (text, click, how) => el("button", { text, ...how, on: { click } });

/** The button for what is done most often here. @param {string} text @param {() => any} click */
export const first = (text, click) => button(text, click, { class: "first" });

/** @param {string} text @param {string} [kind] */
export const para = (text, kind) => el("p", { text, class: kind });

/** Buttons beside each other. @param {...any} buttons */
export const tools = (...buttons) => el("p", { class: "tools" }, ...buttons);

/** What is typed, then sent. @param {() => any} send @param {string} text @param {...any} nodes */
export function form(send, text, ...nodes) {
  const end = el("button", { class: "first", type: "submit", text });
  return el("form", { on: sent(send) }, ...nodes, end);
}

/** What is seen once it is opened. @param {string} title @param {...any} nodes */
export const folded = (title, ...nodes) =>
  el("details", {}, el("summary", { text: title }), ...nodes);

/** Sentences that can be clicked, as items of a list. @param {Choice[]} rows */
export const choices = (rows) => rows.map((row) => el("li", {}, button(...row)));

/** A list of such sentences. @param {Choice[]} rows */
export const choiceList = (rows) => el("ul", { class: "sentences" }, ...choices(rows));

/** A box under its label. @param {string} label @param {any} box @param {...any} more */
export const field = (label, box, ...more) =>
  el("div", { class: "field" }, el("label", { for: box.id, text: label }), box, ...more);

/**
 * A box for a word or two, with its label.
 * @param {string} id @param {string} label @param {string | number} [value]
 * @param {Record<string, any>} [how]
 */
export function wordBox(id, label, value = "", how) {
  const input = el("input", { id, type: "text", value, autocomplete: "off", ...how });
  return { input, node: field(label, input), value: () => input.value.trim() };
}

/** A box for a number: null while empty; what is none is sent as typed, to be refused. */
export function numberBox(
  /** @type {string} */ id,
  /** @type {string} */ label,
  /** @type {number | string} */ value = "",
) {
  const box = wordBox(id, label, value, { inputmode: "decimal" });
  return {
    ...box,
    value: () =>
      box.value() ? numberTyped(box.value(), { unit: "feet" }, desk.start.units) : null,
  };
}

/** Kinds to choose from. @param {string} id @param {any[]} kinds @param {string} [chosen] */
export const kindBox = (id, kinds, chosen) =>
  el(
    "select",
    { id },
    ...kinds.map(({ kind, word }) =>
      el("option", { value: kind, text: word, selected: kind === chosen }),
    ),
  );

/** Boxes for what a new piece is called and what it is. @param {string} id @param {string} label */
export function pieceBoxes(id, label, name = "", kind = "plot") {
  const called = wordBox(id, label, name);
  const kinds = kindBox(`${id}-kind`, desk.start.kinds, kind);
  return { input: called.input, kinds, nodes: [called.node, field("What it is", kinds)] };
}
