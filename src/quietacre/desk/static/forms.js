// Forms for everything property.toml holds, made from its schema and the words on its keys.
// @ts-check
import { again, ask, desk, Refused, show, tryIt } from "./desk.js";
import { el, say } from "./say.js";

/** What belongs together, grouped by hand; every table of property.toml stands in one group. */
export const GROUPS = [
  ["The place", ["property", "map", "weather"]],
  ["Days: quiet seasons, work days, jobs that come round", ["quiet", "work", "round", "task", "lags", "crop", "log_words"]],
  ["What is sown", ["mix"]],
  ["Soil tests", ["soil_test"]],
  ["What you buy and have", ["product", "stock", "buying"]],
  ["Sprays, from your own label", ["spray"]],
  ["Machines", ["equipment"]],
  ["Deer to feed", ["forage"]],
  ["Parts of other packages", ["use"]],
];
/** The table of words for a part of the schema, where its name is another. */
const WORDS_OF = {
  PropertyInfo: "property", Quiet: "quiet", Equipment: "equipment", Previous: "previous", StripSettings: "strip",
  Feed: "feed", Harvest: "harvest", Area: "area", PlacedCorner: "placed", Seed: "seed", Mix: "mix", NeedLbAc: "nutrients",
  SoilTest: "soil_test", Product: "product", Stock: "stock", Spray: "spray", Buying: "buying", Clips: "clips",
  Forage: "forage", TaskRule: "task", Lags: "lags", CropRule: "crop", Round: "round", Work: "work", Weather: "weather", MapSettings: "map", Use: "use",
};
/** The boxes of a piece of ground, grouped by hand; the first group is open. Others follow. */
export const PIECE_GROUPS = [
  ["What it is and what is meant for it", ["name", "kind", "mix", "plant", "soil_test", "fertilizer", "note"], () => true],
  ["The vine and its strip", ["vine", "surveyed", "previous", "strip"], (/** @type {string} */ kind) => kind === "patch" || kind === "burn"],
  ["More on planting and feeding", ["topdress_n_lb_ac", "topdress_on", "nitrogen_on_legumes", "max_products", "harvest", "feed", "residue", "tasks"], () => true],
  ["Its edge", ["from", "feature", "over", "walked_inside_ft", "walked_outside_ft", "sky", "edge_pm_ft", "map_scale"], () => true],
  ["Pins, tape and deed", ["corners", "order", "placed", "declination_deg", "pace_ft", "vara_ft"], () => true],
  ["For the next person", ["history", "was"], () => true],
];
let made = 0;

async function words() {
  if (!desk.words) desk.words = await ask("words");
  return desk.words;
}

/** @param {any} part @returns {any} */
function resolved(part) {
  if (part.allOf) return { ...part, ...resolved(part.allOf[0]), description: part.description };
  if (part.$ref) {
    const name = part.$ref.split("/").pop();
    return { ...desk.words.schema.$defs[name], table: WORDS_OF[/** @type {keyof WORDS_OF} */ (name)] };
  }
  return part;
}

/** @returns {Promise<{nodes: Node[]}>} */
export async function showSettings() {
  const known = await words();
  const shown = new Set(GROUPS.flatMap(([, tables]) => tables));
  const rest = Object.keys(known.schema.properties).filter((key) => !shown.has(key) && key !== "area" && key !== "$schema");
  const groups = rest.length ? [...GROUPS, ["Other settings", rest]] : GROUPS;
  return {
    nodes: [
      el("p", { text: "Each answer is kept as you leave its box, in property.toml, with the same checks as the file’s. What no box knows stays as it is. Pieces of ground have their boxes under Ground." }),
      ...groups.map(([title, tables]) => el("details", {}, el("summary", { text: title }),
        ...(/** @type {string[]} */ (tables)).filter((table) => known.schema.properties[table]).flatMap((table) => tableNodes(table)))),
      el("p", {}, el("button", { text: "Take back the last change", on: { click: takeBack } })),
    ],
  };
}

async function takeBack() {
  await tryIt(async () => {
    await ask("undo", {});
    await again();
    await show("settings");
    say("The last change was taken back.");
  });
}

/** The boxes of one table, or of each item of a list of tables. @param {string} table @returns {Node[]} */
function tableNodes(table) {
  const part = resolved(desk.words.schema.properties[table]);
  const value = desk.place.settings[table];
  if (part.type === "array") {
    const item = resolved(part.items);
    return [
      el("p", { class: "soft", text: desk.words.words[item.table]?.about || "" }),
      ...(value || []).map((/** @type {any} */ one, /** @type {number} */ n) =>
        el("details", {}, el("summary", { text: called(one, n) }),
          ...fields(item, one, `${table}[${n + 1}]`, [table, n]),
          el("button", { text: `Take ${called(one, n)} out`, on: { click: () => change(`${table}[${n + 1}]`, [table, n], one, null, true) } }))),
      addItem(table, item),
    ];
  }
  if (part.properties)
    return [el("h3", { text: desk.words.words[part.table]?.about || table }), ...fields(part, value || {}, table, [table])];
  return [mapNodes(table, part, value || {})];
}

/** A table whose keys are the person's own words. @param {string} table @param {any} part @param {any} value */
function mapNodes(table, part, value) {
  const inner = resolved(part.additionalProperties || {});
  return el("div", {},
    ...Object.keys(value).map((key) => el("details", {}, el("summary", { text: `${table}: ${key}` }),
      ...(inner.properties ? fields(inner, value[key], `${table}.${JSON.stringify(key)}`, [table, key])
        : [field({ type: "string", description: "" }, key, value[key], `${table}.${JSON.stringify(key)}`, [table, key], null)]))));
}

/** @param {any} one @param {number} n */
const called = (one, n) => String(one.name || one.grade || one.item || one.crop || one.task || one.spray || `number ${n + 1}`);

/** A form for a new item: what it must have, and what belongs to it at once. @param {string} table @param {any} item */
function addItem(table, item) {
  const title = desk.words.words[item.table]?.keys.name ? "Add one" : `Add to ${table}`;
  const asked = boxesFor(item, item.required || []);
  return el("details", {}, el("summary", { text: title }),
    el("form", { on: { submit: (/** @type {Event} */ event) => {
      event.preventDefault();
      tryIt(async () => {
        await ask("set", { key: `${table}[+]`, value: asked.value() });
        await again();
        await show("settings");
        say("Added. Its other boxes are open under its name.");
      });
    } } }, ...asked.rows, el("button", { type: "submit", class: "first", text: "Add it" })));
}

/**
 * Empty boxes for keys of a table; a list of tables among them begins with one.
 * @param {any} part @param {string[]} names
 * @returns {{rows: Node[], value: () => any}}
 */
function boxesFor(part, names) {
  /** @type {Record<string, () => any>} */
  const values = {};
  const rows = names.map((name) => {
    const inner = resolved(part.properties[name]);
    const row = desk.words.words[part.table]?.keys[name];
    const item = inner.type === "array" ? resolved(inner.items || {}) : {};
    if (item.properties) {
      const first = boxesFor(item, simpleKeys(item));
      values[name] = () => [first.value()];
      return el("fieldset", {}, el("legend", { text: row?.label || name }), ...first.rows);
    }
    const node = box(inner, undefined, name);
    values[name] = () => valueOf(node, inner);
    return el("div", { class: "field" }, el("label", { for: node.id, text: labelOf(row, name) }), node,
      el("p", { class: "why", text: row ? cap(row.is) : "" }));
  });
  const value = () => Object.fromEntries(names.map((name) => [name, values[name]()]).filter(([, one]) => one !== null));
  return { rows, value };
}

/** Keys of a table that hold no table themselves. @param {any} part @returns {string[]} */
function simpleKeys(part) {
  return Object.keys(part.properties).filter((name) => {
    const inner = resolved(part.properties[name]);
    return !inner.properties && !(inner.type === "array" && resolved(inner.items || {}).properties);
  });
}

/** The boxes of one piece of ground or other item. @param {string} table @param {number} place @returns {Promise<Node[]>} */
export async function pieceForm(table, place) {
  await words();
  const item = resolved(resolved(desk.words.schema.properties[table]).items);
  const value = desk.place.settings[table][place];
  const key = `${table}[${place + 1}]`;
  const known = new Set(PIECE_GROUPS.flatMap(([, keys]) => keys));
  const rest = Object.keys(item.properties).filter((name) => !known.has(name));
  return [...PIECE_GROUPS, ["Other settings", rest, () => rest.length > 0]]
    .filter(([, , fits]) => (/** @type {any} */ (fits))(value.kind))
    .map(([title, keys], n) => el("details", { open: n === 0 }, el("summary", { text: title }),
      ...fields(item, value, key, [table, place], /** @type {string[]} */ (keys))));
}

/** @param {any} part @param {any} value @param {string} key @param {any[]} path @param {string[]} [only] @returns {Node[]} */
function fields(part, value, key, path, only = Object.keys(part.properties)) {
  return only.filter((name) => part.properties[name]).map((name) => {
    const inner = resolved(part.properties[name]);
    const row = desk.words.words[part.table]?.keys[name];
    return field(inner, name, value?.[name], `${key}.${name}`, [...path, name], row);
  });
}

/** One box, or a frame of boxes. @param {any} part @param {string} name @param {any} value @param {string} key @param {any[]} path @param {any} row @returns {Node} */
function field(part, name, value, key, path, row) {
  const label = labelOf(row, name);
  if (part.properties && part.table) return frame(part, label, value, key, path, row);
  if (part.type === "array" && resolved(part.items || {}).properties) return listFrame(part, label, value, key, path, row);
  const node = box(part, value, name);
  const fault = el("p", { class: "fault", role: "alert" });
  node.setAttribute("aria-describedby", `${node.id}-why`);
  node.addEventListener("change", () => change(key, path, value, valueOf(node, part), false, fault, (now) => { value = now; }));
  return el("div", { class: "field" }, el("label", { for: node.id, text: label }), node, fault,
    el("p", { class: "why", id: `${node.id}-why`, text: row ? `${cap(row.is)}. ${cap(row.why)}.` : "" }));
}

/** What stands before a box, with its unit. @param {any} row @param {string} name */
const labelOf = (row, name) => (row ? `${row.label}${row.unit ? ` (${row.unit})` : ""}` : name);

/** @param {string} text */
const cap = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** A table inside a table: kept whole, so that it may begin anywhere. @param {any} part @param {string} label @param {any} value @param {string} key @param {any[]} path @param {any} row */
function frame(part, label, value, key, path, row) {
  const inside = value ? fields(part, value, key, path) : [wholeForm(part, key, path, undefined)];
  return el("fieldset", {}, el("legend", { text: label }), el("p", { class: "why", text: row ? cap(row.is) : "" }),
    el("details", { open: Boolean(value) }, el("summary", { text: value ? "What it says" : "Fill it in" }), ...inside,
      value ? el("button", { text: `Take ${label} out`, on: { click: () => change(key, path, value, null, true) } }) : null));
}

/** A list of tables inside a table. @param {any} part @param {string} label @param {any} value @param {string} key @param {any[]} path @param {any} row */
function listFrame(part, label, value, key, path, row) {
  const item = resolved(part.items);
  const items = (value || []).map((/** @type {any} */ one, /** @type {number} */ n) =>
    el("details", {}, el("summary", { text: called(one, n) }),
      ...fields(item, one, `${key}[${n + 1}]`, [...path, n]),
      el("button", { text: `Take ${called(one, n)} out`, on: { click: () => change(`${key}[${n + 1}]`, [...path, n], one, null, true) } })));
  return el("fieldset", {}, el("legend", { text: label }), el("p", { class: "why", text: row ? cap(row.is) : "" }), ...items,
    el("details", {}, el("summary", { text: `Add one to ${label.toLowerCase()}` }),
      wholeForm(item, value ? `${key}[+]` : key, path, value ? undefined : "list")));
}

/** A form for a table that is not there yet. @param {any} part @param {string} key @param {any[]} path @param {"list"|undefined} as */
function wholeForm(part, key, path, as) {
  const asked = boxesFor(part, simpleKeys(part));
  return el("form", { on: { submit: (/** @type {Event} */ event) => {
    event.preventDefault();
    change(key, path, undefined, as === "list" ? [asked.value()] : asked.value(), true);
  } } }, ...asked.rows, el("button", { type: "submit", class: "first", text: "Keep it" }));
}

/** Names that a box may be filled with by typing a part of them. @param {string} name @returns {string[]} */
function choices(name) {
  const settings = desk.place.settings;
  const names = (/** @type {any[]} */ list, key = "name") => (list || []).map((one) => String(one[key]));
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

/** The control for a value. @param {any} part @param {any} value @param {string} [name] @returns {any} */
function box(part, value, name = "") {
  made += 1;
  const id = `box-${made}`;
  if (part.type === "boolean" || part.enum) {
    const options = part.enum ? part.enum.map(String) : ["true", "false"];
    const node = el("select", { id }, el("option", { value: "", text: "(not said)" }),
      ...options.map((/** @type {string} */ one) => el("option", { value: one, text: part.enum ? one : one === "true" ? "yes" : "no" })));
    node.value = value === undefined ? "" : String(value);
    return node;
  }
  const kind = part.format === "date" ? "date" : "text";
  const node = el("input", { id, type: kind, autocomplete: "off", inputmode: isNumber(part) ? "decimal" : null });
  const some = choices(name);
  if (some.length) {
    document.getElementById(`some-${name}`)?.remove();
    document.body.append(el("datalist", { id: `some-${name}` }, ...some.map((one) => el("option", { value: one }))));
    node.setAttribute("list", `some-${name}`);
  }
  node.value = value === undefined ? "" : Array.isArray(value) ? value.map((one) => (typeof one === "object" ? JSON.stringify(one) : one)).join(", ") : String(value);
  return node;
}

/** @param {any} part */
const isNumber = (part) => part.type === "number" || part.type === "integer";

/** What a control says, as the settings have it; null for nothing. @param {any} node @param {any} part @returns {any} */
function valueOf(node, part) {
  const text = node.value.trim();
  if (text === "") return null;
  if (part.type === "boolean") return text === "true";
  if (part.enum) return part.enum.find((/** @type {any} */ one) => String(one) === text);
  if (part.format === "date") return { day: text };
  if (isNumber(part)) return Number.isFinite(Number(text)) ? Number(text) : text;
  const lists = part.type === "array" ? part : (part.anyOf || []).find((/** @type {any} */ one) => one.type === "array");
  if (lists && (part.type === "array" || text.includes(","))) {
    const inner = lists.items || {};
    if (inner.type === "array" || inner.minItems) return JSON.parse(`[${text}]`);
    return text.split(",").map((/** @type {string} */ one) => one.trim()).filter(Boolean)
      .map((/** @type {string} */ one) => (isNumber(inner) ? Number(one) : inner.format === "date" ? { day: one } : one));
  }
  return text;
}

/**
 * Keep one change, or say why not beside its box; another hand's change meanwhile is shown.
 * @param {string} key @param {any[]} path @param {any} was @param {any} value @param {boolean} redraw
 * @param {HTMLElement} [fault] @param {(now: any) => void} [kept]
 */
async function change(key, path, was, value, redraw, fault, kept) {
  if (fault) fault.textContent = "";
  try {
    await ask("set", { key, path, value, was: was === undefined ? null : was });
    const part = desk.part;
    await again();
    if (kept) kept(value && value.day ? value.day : value === null ? undefined : value);
    if (redraw) await show(part);
    say("Kept. “Take back the last change” undoes it.");
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    if (problem.data.clash) {
      const theirs = JSON.stringify(problem.data.theirs);
      const text = `Changed by another hand meanwhile: the file says ${theirs} now, and yours was not kept. Nothing is lost: leave it, or answer again.`;
      await again();
      if (kept) kept(problem.data.theirs === null ? undefined : problem.data.theirs);
      if (fault) fault.textContent = text;
      else say(text, "doubts");
      return;
    }
    if (fault) fault.textContent = problem.message;
    else say(problem.message, "doubts");
  }
}
