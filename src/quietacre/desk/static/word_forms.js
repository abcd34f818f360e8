// Forms for tables whose keys are the person's own words: crops, words of the log.
// @ts-check
import { box, boxesFor, plain, resolved, saidBy, simpleKeys } from "./boxes.js";
import { change, takeOut } from "./change.js";
import { desk, Refused, tryIt } from "./desk.js";
import { field, fields } from "./forms.js";
import { cap, el, sent } from "./say.js";

/**
 * A table whose keys are the person's own words.
 * @param {string} table
 * @param {any} part
 * @param {any} value
 */
export function mapNodes(table, part, value) {
  const inner = resolved(part.additionalProperties || {});
  const about = plain(desk.words.words[part.table || inner.table || table]?.about || table);
  const title = about.split(/[,:;.]/)[0];
  const more = about.slice(title.length).replace(/^[,:;.]\s*/, "");
  return el(
    "div",
    {},
    el("h2", { text: title }),
    more ? el("p", { class: "soft", text: cap(more) }) : null,
    ...Object.keys(value).map((key) =>
      el(
        "details",
        {},
        el("summary", { text: `${table}: ${key}` }),
        ...(inner.properties
          ? fields(inner, value[key], `${table}.${JSON.stringify(key)}`, [table, key])
          : [
              field(
                { type: "string", description: "" },
                key,
                value[key],
                `${table}.${JSON.stringify(key)}`,
                [table, key],
                null,
              ),
            ]),
        takeOut(key, `${table}.${JSON.stringify(key)}`, [table, key]),
      ),
    ),
    addWord(table, inner),
  );
}

/**
 * A form for a new word of the person's own.
 * @param {string} table @param {any} inner
 */
function addWord(table, inner) {
  const id = `word-${table}`;
  const word = el("input", { id, type: "text", autocomplete: "off" });
  const asked = inner.properties ? boxesFor(inner, simpleKeys(inner)) : oneBox(inner, table);
  return el(
    "details",
    {},
    el("summary", { text: "Add one" }),
    el(
      "form",
      {
        on: sent(() => {
          const name = word.value.trim();
          if (name)
            return change(
              `${table}.${JSON.stringify(name)}`,
              [table, name],
              desk.place.settings[table]?.[name],
              asked.value(),
              true,
            );
          return tryIt(() => Promise.reject(new Refused({ why: "say the word first" }, 0)));
        }),
      },
      el("div", { class: "field" }, el("label", { for: id, text: "The word" }), word),
      ...asked.rows,
      el("button", { type: "submit", class: "first", text: "Keep it" }),
    ),
  );
}

/** One box for what a word stands for. @param {any} inner @param {string} table */
function oneBox(inner, table) {
  const node = box(inner, undefined, table);
  const row = el(
    "div",
    { class: "field" },
    el("label", { for: node.id, text: "What it stands for" }),
    node,
  );
  return { rows: [row], value: () => saidBy(node, inner) };
}
