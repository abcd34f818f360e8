// A soil test as a laboratory's sheet: one table, with unit and method beside each figure.
// @ts-check
import { box, labelOf, resolved, rowOf, saidBy, underBox } from "./boxes.js";
import { change } from "./change.js";
import { desk } from "./desk.js";
import { field } from "./forms.js";
import { GROWS, SOIL_SHEET } from "./groups.js";
import { el, say } from "./say.js";

/**
 * Where a box of the sheet stands: its part of the schema and its words.
 * @typedef {{part: any, name: string, row: any, value: any}} Place
 */

/**
 * The boxes of one soil test.
 * @param {any} item the schema of a soil test
 * @param {any} test
 * @param {number} n which one it is in property.toml, counted from 0
 * @returns {Node[]}
 */
export function labSheet(item, test, n) {
  const place = (/** @type {string} */ name) => ({
    part: resolved(item.properties[name]),
    name,
    row: rowOf(item.table, name),
    value: test[name],
  });
  const known = new Set([
    ...SOIL_SHEET.top,
    ...SOIL_SHEET.rows.flatMap(({ lines }) => lines.flat()),
    ...SOIL_SHEET.needs,
  ]);
  const rest = Object.keys(item.properties).filter((name) => !known.has(name));
  const rows = [...SOIL_SHEET.rows, { title: "Other lines", lines: rest.map((name) => [name]) }];
  const own = (/** @type {string} */ name) => ownCell(item, place(name), n);
  return [
    el(
      "div",
      { class: "lab-top" },
      ...SOIL_SHEET.top.map((name) => {
        const { part, row, value } = place(name);
        const made = field(
          part,
          name,
          value,
          `soil_test[${n + 1}].${name}`,
          ["soil_test", n, name],
          row,
        );
        made.dataset.box = `${item.table}.${name}`;
        return made;
      }),
    ),
    countsFor(test, n),
    el(
      "table",
      { class: "lab", role: "table", "aria-label": `Soil test: ${test.name}` },
      el(
        "thead",
        { role: "rowgroup" },
        el(
          "tr",
          { role: "row" },
          ...["Test", "Result", "Unit", "Method, and what it is for"].map((text) =>
            el("th", { scope: "col", role: "columnheader", text }),
          ),
        ),
      ),
      ...rows
        .filter(({ lines }) => lines.length)
        .map(({ title, lines }) =>
          body(
            title,
            null,
            lines.map(([name, ...methods]) => line(place(name), own, methods.map(place))),
          ),
        ),
      needs(item, test, n),
    ),
  ];
}

/**
 * Lines of the sheet under a heading.
 * @param {string} title @param {HTMLElement|null} asked a box that belongs to all of them
 * @param {Node[]} lines
 */
function body(title, asked, lines) {
  return el(
    "tbody",
    { role: "rowgroup" },
    el(
      "tr",
      { role: "row", class: "heads" },
      el("th", { scope: "rowgroup", role: "rowheader", colspan: "4", text: title }, asked),
    ),
    ...lines,
  );
}

/**
 * One line: what was tested, the figure, its unit, and how it was found.
 * @param {Place} place
 * @param {(name: string) => {cell: HTMLElement, box: HTMLElement}} own makes the box of a key
 * @param {Place[]} methods keys that say how the figure was found
 * @param {string} [unit]
 */
function line(place, own, methods, unit = place.row?.unit || "") {
  const made = own(place.name);
  const [whyId, unitId] = ["why", "unit"].map((one) => `${made.box.id}-${one}`);
  made.box.setAttribute("aria-describedby", `${unitId} ${whyId}`);
  return el(
    "tr",
    { role: "row" },
    el(
      "th",
      { scope: "row", role: "rowheader" },
      el("label", { for: made.box.id, text: place.row?.label || place.name }),
    ),
    el("td", { role: "cell" }, made.cell),
    el("td", { role: "cell", class: "unit", id: unitId, text: unit }),
    el(
      "td",
      { role: "cell", class: "method" },
      ...methods.map((method) => methodCell(method, own)),
      el("p", { class: "why", id: whyId, text: underBox(place.row) }),
    ),
  );
}

/**
 * A box on how a figure was found.
 * @param {Place} place
 * @param {(name: string) => {cell: HTMLElement, box: HTMLElement}} own
 */
function methodCell({ name, row }, own) {
  const { cell, box: made } = own(name);
  const why = el("p", { class: "why", id: `${made.id}-why`, text: underBox(row) });
  made.setAttribute("aria-describedby", why.id);
  cell.prepend(el("label", { for: made.id, text: labelOf(row, name) }));
  cell.append(why);
  return cell;
}

/**
 * A box that is kept as it is left, and a line for what is wrong with it.
 * @param {string} called table and key
 * @param {Place} place
 * @param {(was: any, value: any, fault: HTMLElement, kept: (now: any) => void) => any} keep
 * @param {() => string} [unitOf] the unit of its line
 */
function cellOf(called, place, keep, unitOf = () => place.row?.unit) {
  const made = box(place.part, place.value, place.name);
  const fault = el("p", { class: "fault", role: "alert" });
  let was = place.value;
  made.addEventListener("change", () =>
    keep(was, saidBy(made, place.part, unitOf()), fault, (now) => {
      was = now;
    }),
  );
  const cell = el("div", { class: "field", "data-box": called }, made, fault);
  return { cell, box: made };
}

/** @param {any} item @param {Place} place @param {number} n */
const ownCell = (item, place, n) =>
  cellOf(`${item.table}.${place.name}`, place, (was, value, fault, kept) =>
    change(
      `soil_test[${n + 1}].${place.name}`,
      ["soil_test", n, place.name],
      was,
      value,
      false,
      fault,
      kept,
    ),
  );

/**
 * The nutrients asked for, all in one unit; the unit is chosen in the heading.
 * @param {any} item @param {any} test @param {number} n
 */
function needs(item, test, n) {
  const words = desk.words.words[item.table].keys;
  const units = SOIL_SHEET.needs;
  let unit = units.find((one) => test[one]) || units[0];
  const part = resolved(item.properties[unit]);
  const nutrients = desk.words.words[part.table].keys;
  const chosen = el(
    "select",
    { id: `needs-of-${n}` },
    ...units.map((one) => el("option", { value: one, text: words[one].label })),
  );
  chosen.value = unit;
  const fault = el("p", { class: "fault", role: "alert" });
  const unitOf = () => words[unit].label.replace(/^.*, /, "");
  const own = (/** @type {string} */ name) =>
    cellOf(
      `${part.table}.${name}`,
      {
        part: resolved(part.properties[name]),
        name,
        row: nutrients[name],
        value: test[unit]?.[name],
      },
      (was, value, bad, kept) => keepNeed(n, unit, name, was, value, bad, kept),
      unitOf,
    );
  const lines = Object.keys(part.properties).map((name) =>
    line({ part, name, row: nutrients[name], value: undefined }, own, [], unitOf()),
  );
  chosen.addEventListener("change", async () => {
    await moveNeeds(n, unit, chosen.value, fault);
    const now = desk.place.settings.soil_test[n];
    unit = fault.textContent ? units.find((one) => now[one]) || unit : chosen.value;
    chosen.value = unit;
    for (const made of lines) made.querySelector(".unit").textContent = unitOf();
  });
  const asked = el(
    "div",
    { class: "field" },
    el("label", { for: chosen.id, text: "The sheet gives" }),
    chosen,
    fault,
  );
  return body("Nutrients asked for", asked, lines);
}

/**
 * Keep one nutrient; the last one that is emptied takes the empty table with it.
 * @param {number} n @param {string} unit @param {string} name @param {any} was @param {any} value
 * @param {HTMLElement} fault @param {(now: any) => void} kept
 */
async function keepNeed(n, unit, name, was, value, fault, kept) {
  const path = ["soil_test", n, unit];
  const key = `soil_test[${n + 1}].${unit}`;
  const there = Object.keys(desk.place.settings.soil_test[n]?.[unit] || {});
  if (value === null && there.length === 1 && there[0] === name)
    await change(key, path, { [name]: was }, null, false, fault, (now) => kept(now?.[name]));
  else await change(`${key}.${name}`, [...path, name], was, value, false, fault, kept);
}

/**
 * Say the figures of a test in the other unit; they stay as they are.
 * @param {number} n @param {string} from @param {string} to @param {HTMLElement} fault
 */
async function moveNeeds(n, from, to, fault) {
  fault.textContent = "";
  const figures = desk.place.settings.soil_test[n]?.[from];
  if (!figures || from === to) return;
  const at = (/** @type {string} */ unit) => `soil_test[${n + 1}].${unit}`;
  const path = (/** @type {string} */ unit) => ["soil_test", n, unit];
  await change(at(from), path(from), figures, null, false, fault);
  if (fault.textContent || !Object.keys(figures).length) return;
  await change(at(to), path(to), undefined, figures, false, fault);
  if (!fault.textContent) say("Kept: the same figures, in the other unit. Look at each of them.");
}

/**
 * The pieces of ground that a test counts for: ticked ones name it.
 * @param {any} test @param {number} n
 */
function countsFor(test, n) {
  /** @type {any[]} */
  const areas = desk.place.settings.area || [];
  const fault = el("p", { class: "fault", role: "alert" });
  const ticks = areas.flatMap((area, at) =>
    !area.plantings && (GROWS.includes(area.kind) || area.soil_test)
      ? [tickFor(area.name, at, n, fault)]
      : [],
  );
  const names = (/** @type {any} */ one) => one?.soil_test === test.name;
  const more = areas.flatMap((area) => [
    ...(area.plantings?.some(names) ? [`${area.name}, through one of its plantings`] : []),
    ...(names(area.strip) ? [`the strip of ${area.name}`] : []),
  ]);
  const anew = () => {
    for (const tick of ticks) tick.anew();
  };
  anew();
  const none = ticks.length || more.length ? null : "No piece of ground here is sown.";
  return el(
    "fieldset",
    { class: "counts", on: { anew } },
    el("legend", { text: "Ground it counts for" }),
    ...ticks.map(({ node }) => node),
    none ? el("p", { class: "why", text: none }) : null,
    more.length ? el("p", { class: "why", text: `Also: ${more.join("; ")}.` }) : null,
    fault,
  );
}

/**
 * A tick for one piece of ground, which names one soil test at most.
 * @param {string} name @param {number} at which area of property.toml, counted from 0
 * @param {number} n which soil test
 * @param {HTMLElement} fault
 */
function tickFor(name, at, n, fault) {
  /** @type {string|undefined} */
  let seen;
  const tick = el("input", { type: "checkbox" });
  const text = el("span", {});
  const called = () => desk.place.settings.soil_test[n]?.name;
  const anew = () => {
    seen = desk.place.settings.area[at]?.soil_test;
    tick.checked = seen !== undefined && seen === called();
    text.textContent = seen && !tick.checked ? `${name} (counts “${seen}” now)` : name;
  };
  tick.addEventListener("change", async () => {
    const value = tick.checked ? called() : null;
    const path = ["area", at, "soil_test"];
    await change(`area[${at + 1}].soil_test`, path, seen, value, false, fault);
    for (const part of document.querySelectorAll(".counts")) part.dispatchEvent(new Event("anew"));
  });
  return { node: el("label", { class: "yes" }, tick, text), anew };
}
