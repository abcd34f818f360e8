// Forms for everything property.toml holds, made from its schema and the words on its keys.
// @ts-check
import {
  box,
  boxesFor,
  labelOf,
  meantBy,
  plain,
  resolved,
  rowOf,
  saidBy,
  underBox,
  wholeKeys,
} from "./boxes.js";
import { change, takeOut } from "./change.js";
import { again, ask, desk, knownWords, tryIt } from "./desk.js";
import { GROUPS, groupsOf, ONE_OF, ROW_OF } from "./groups.js";
import { labSheet } from "./lab_sheet.js";
import { el, say, sayDay, sent } from "./say.js";
import { turnButtons } from "./take_back.js";
import { asOpen } from "./unfolded.js";
import { mapNodes } from "./word_forms.js";
import { withYearBand } from "./year_band.js";

/** @returns {Promise<{nodes: Node[]}>} */
export async function showSettings() {
  const known = await knownWords();
  const shown = new Set(GROUPS.flatMap(([, tables]) => tables));
  const rest = Object.keys(known.schema.properties).filter(
    (key) => !shown.has(key) && key !== "area" && key !== "$schema",
  );
  const groups = rest.length ? [...GROUPS, ["Other settings", rest]] : GROUPS;
  return {
    nodes: [
      el("p", {
        text:
          "Fill in what you know and leave the rest blank. Each answer is kept as " +
          "you leave its box; a form with a button below it is kept once you press that, and " +
          "waits here as it is until then. What belongs to one piece of ground stands with " +
          "that piece, under Ground.",
      }),
      ...groups.map(([title, tables]) =>
        el(
          "details",
          {},
          el("summary", { text: title }),
          .../** @type {string[]} */ (tables)
            .filter((table) => known.schema.properties[table])
            .flatMap((table) => tableNodes(table)),
        ),
      ),
      turnButtons("settings"),
    ],
  };
}

/**
 * Unfold the group of the settings that has one of some tables.
 * @param {string[]} tables @returns {Element|undefined}
 */
export function openGroup(tables) {
  const place = GROUPS.findIndex(([, inside]) => tables.some((one) => inside.includes(one)));
  const group = document.querySelectorAll("#main > details")[place];
  if (!group) return undefined;
  /** @type {HTMLDetailsElement} */ (group).open = true;
  group.querySelector("summary")?.focus();
  return group;
}

/**
 * The boxes of one table, or of each item of a list of tables.
 * @param {string} table
 * @returns {Node[]}
 */
function tableNodes(table) {
  const part = resolved(desk.words.schema.properties[table]);
  const value = desk.place.settings[table];
  if (part.type === "array") {
    const item = resolved(part.items);
    const items = (value || []).map((/** @type {any} */ one, /** @type {number} */ n) =>
      el(
        "details",
        { "data-item": `${table}[${n}]` },
        el("summary", { text: called(one, n) }),
        ...(table === "soil_test"
          ? labSheet(item, one, n)
          : fields(item, one, `${table}[${n + 1}]`, [table, n])),
        takeOut(called(one, n), `${table}[${n + 1}]`, [table, n]),
      ),
    );
    const nodes = [...items, addItem(table, item)];
    return [
      el("p", { class: "soft", text: plain(desk.words.words[item.table]?.about || "") }),
      ...(table === "quiet" ? [withYearBand(item, nodes)] : nodes),
    ];
  }
  if (part.properties && !value && part.required?.length)
    return [
      el("h2", { text: plain(desk.words.words[part.table]?.about || table) }),
      el(
        "details",
        {},
        el("summary", { text: "Fill it in" }),
        wholeForm(part, table, [table], undefined),
      ),
    ];
  if (part.properties)
    return [
      el("h2", { text: plain(desk.words.words[part.table]?.about || table) }),
      ...fields(part, value || {}, table, [table]),
      part.required?.length && table !== "property" ? takeOut(table, table, [table]) : el("span"),
    ];
  return [mapNodes(table, part, value || {})];
}

/** Unfold the last of a list of tables. @param {string} table */
function openItem(table) {
  const place = desk.place.settings[table].length - 1;
  const item = openGroup([table])?.querySelector(`[data-item="${table}[${place}]"]`);
  if (!item) return;
  /** @type {HTMLDetailsElement} */ (item).open = true;
  item.querySelector("summary")?.focus();
}

/** @param {any} one @param {number} n */
const called = (one, n) =>
  String(
    one.name ||
      one.grade ||
      one.item ||
      one.crop ||
      one.task ||
      one.spray ||
      (one.from && one.on ? `the survey of ${sayDay(one.on)}` : `number ${n + 1}`),
  );

/**
 * A form for a new item: what it must have, and what belongs to it at once.
 * @param {string} table
 * @param {any} item
 */
function addItem(table, item) {
  const asked = boxesFor(item, item.required || []);
  const made = el(
    "details",
    { "data-item": `${table}[+]` },
    el("summary", { text: `Add ${ONE_OF[table] || "one"}` }),
    el(
      "form",
      {
        on: sent(() =>
          tryIt(async () => {
            await ask("set", { key: `${table}[+]`, value: asked.value() });
            made.removeAttribute("open");
            await again();
            await asOpen(desk.redraw);
            openItem(table);
            say("Added. Its other boxes are open under its name.");
          }),
        ),
      },
      ...asked.rows,
      el("button", { type: "submit", class: "first", text: "Add it" }),
    ),
  );
  return made;
}

/**
 * The boxes of one piece of ground or other item.
 * @param {string} table
 * @param {number} place
 * @returns {Promise<Node[]>}
 */
export async function pieceForm(table, place) {
  await knownWords();
  const item = resolved(resolved(desk.words.schema.properties[table]).items);
  const value = desk.place.settings[table][place];
  const key = `${table}[${place + 1}]`;
  const groups = groupsOf(value.kind);
  const known = new Set(groups.flatMap(({ keys }) => keys));
  const rest = Object.keys(item.properties).filter((name) => !known.has(name));
  return [...groups, { title: "Other settings", keys: rest, open: false }]
    .filter(({ keys }) => keys.length)
    .map(({ title, keys, open }) =>
      el(
        "details",
        { open },
        el("summary", { text: title }),
        ...fields(item, value, key, [table, place], keys),
      ),
    );
}

/**
 * @param {any} part
 * @param {any} value
 * @param {string} key
 * @param {any[]} path
 * @param {string[]} [only]
 * @returns {Node[]}
 */
export function fields(part, value, key, path, only = Object.keys(part.properties)) {
  return only
    .filter((name) => part.properties[name] && !(ROW_OF[name] in part.properties))
    .map((name) => {
      const inner = resolved(part.properties[name]);
      const row = rowOf(part.table, name);
      const made = field(inner, name, value?.[name], `${key}.${name}`, [...path, name], row);
      made.dataset.box = `${part.table}.${name}`;
      for (const apart of Object.keys(ROW_OF))
        if (ROW_OF[apart] === name && value?.[apart])
          made.lastElementChild?.before(rowApart(part, apart, value, key, path));
      return made;
    });
}

/**
 * A row of a list that stands under a key of its own in the file.
 * @param {any} part @param {string} name @param {any} value @param {string} key
 * @param {any[]} path
 */
function rowApart(part, name, value, key, path) {
  const item = resolved(part.properties[name]);
  const made = rowOfList(item, value[name], 0, `${key}.${name}`, [...path, name]);
  made.dataset.box = `${part.table}.${name}`;
  return made;
}

/**
 * One box, or a frame of boxes.
 * @param {any} part
 * @param {string} name
 * @param {any} value
 * @param {string} key
 * @param {any[]} path
 * @param {any} row
 * @returns {HTMLElement}
 */
export function field(part, name, value, key, path, row) {
  const label = labelOf(row, name);
  if (part.properties && part.table) return frame(part, label, value, key, path, row);
  if (part.type === "array" && resolved(part.items || {}).properties)
    return listFrame(part, label, value, key, path, row);
  const node = box(part, value, name);
  const fault = el("p", { class: "fault", role: "alert" });
  node.setAttribute("aria-describedby", `${node.id}-why`);
  node.addEventListener("change", () =>
    change(key, path, value, saidBy(node, part, row?.unit), name === "kind", fault, (now) => {
      value = now;
      node.dispatchEvent(new Event("kept", { bubbles: true }));
    }),
  );
  return el(
    "div",
    { class: "field" },
    el("label", { for: node.id, text: label }),
    node,
    fault,
    el("p", {
      class: "why",
      id: `${node.id}-why`,
      text: underBox(row),
    }),
  );
}

/**
 * A table inside a table: kept whole, so that it may begin anywhere.
 * @param {any} part
 * @param {string} label
 * @param {any} value
 * @param {string} key
 * @param {any[]} path
 * @param {any} row
 */
function frame(part, label, value, key, path, row) {
  const inside = value ? fields(part, value, key, path) : [wholeForm(part, key, path, undefined)];
  return el(
    "fieldset",
    {},
    el("legend", { text: label }),
    el("p", { class: "why", text: meantBy(row) }),
    el(
      "details",
      { open: Boolean(value) },
      el("summary", { text: value ? "What it says" : "Fill it in" }),
      ...inside,
      value ? takeOut(label, key, path) : null,
    ),
  );
}

/**
 * A list of tables inside a table.
 * @param {any} part
 * @param {string} label
 * @param {any} value
 * @param {string} key
 * @param {any[]} path
 * @param {any} row
 */
function listFrame(part, label, value, key, path, row) {
  const item = resolved(part.items);
  const items = (value || []).map((/** @type {any} */ one, /** @type {number} */ n) =>
    rowOfList(item, one, n, `${key}[${n + 1}]`, [...path, n]),
  );
  return el(
    "fieldset",
    {},
    el("legend", { text: label }),
    el("p", { class: "why", text: meantBy(row) }),
    ...items,
    el(
      "details",
      {},
      el("summary", { text: `Add one to ${label.toLowerCase()}` }),
      value
        ? wholeForm(item, `${key}[+]`, [...path, value.length], undefined)
        : wholeForm(item, key, path, "list"),
    ),
  );
}

/**
 * One row of a list of tables inside a table.
 * @param {any} item @param {any} one @param {number} n @param {string} key @param {any[]} path
 */
const rowOfList = (item, one, n, key, path) =>
  el(
    "details",
    {},
    el("summary", { text: called(one, n) }),
    ...fields(item, one, key, path),
    takeOut(called(one, n), key, path),
  );

/**
 * A form for a table that is not there yet.
 * @param {any} part
 * @param {string} key
 * @param {any[]} path
 * @param {"list"|undefined} as
 */
function wholeForm(part, key, path, as) {
  const asked = boxesFor(part, wholeKeys(part));
  return el(
    "form",
    {
      on: sent(() =>
        change(key, path, undefined, as === "list" ? [asked.value()] : asked.value(), true),
      ),
    },
    ...asked.rows,
    el("button", { type: "submit", class: "first", text: "Keep it" }),
  );
}
