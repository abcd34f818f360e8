// What the program says of the ground: where it names a box, the box can be opened from there.
// @ts-check
import { desk, knownWords, show, tryIt } from "./desk.js";
import { later } from "./later.js";
import { cap, el } from "./say.js";
import { unfoldTo } from "./unfolded.js";

/**
 * What is said, as a paragraph; boxes that it names in quotes follow as buttons.
 * @param {string} text
 * @param {string | null} [tone] its class
 * @param {string} [area] the piece of ground it is said of
 * @param {string} [tag]
 */
export function told(text, tone = null, area = "", tag = "p") {
  const node = el(tag, { class: tone, text: cap(text) });
  if (text.includes("“")) knownWords().then((known) => addBoxes(node, text, known.words, area));
  return node;
}

/** @param {HTMLElement} node @param {string} text @param {any} tables @param {string} area */
function addBoxes(node, text, tables, area) {
  const quoted = [...text.matchAll(/“([^”]+)”/g)].map((found) => found[1]);
  const whose = area || areaIn(quoted, text);
  for (const label of new Set(quoted)) {
    const boxes = Object.entries(tables).flatMap(([table, { keys }]) =>
      Object.keys(keys)
        .filter((key) => keys[key].label === label)
        .map((key) => ({ table, key })),
    );
    if (boxes.length && !nameOf(label))
      node.append(
        " ",
        el("button", {
          class: "box-link",
          text: `Open “${label}”`,
          on: { click: () => tryIt(() => openBox(boxes, whose)) },
        }),
      );
  }
}

/** The piece of ground of a name, undefined when there is none. @param {string} name */
const nameOf = (name) =>
  (desk.place.settings.area || []).find((/** @type {any} */ one) => one.name === name)?.name;

/** The piece that is spoken of, "" without one. @param {string[]} quoted @param {string} text */
function areaIn(quoted, text) {
  const names = (desk.place.settings.area || []).map((/** @type {any} */ one) => one.name);
  return quoted.find(nameOf) || names.find((/** @type {string} */ one) => text.includes(one)) || "";
}

/**
 * Show the first of some boxes that there is, the piece's before the place's.
 * @param {{table: string, key: string}[]} boxes @param {string} area
 */
async function openBox(boxes, area) {
  const { showPiece } = await later("piece");
  for (const where of area ? [() => showPiece(area), toSettings] : [toSettings]) {
    await where();
    for (const { table, key } of boxes) {
      const field = document.querySelector(`[data-box="${table}.${key}"]`);
      if (field) return reach(/** @type {HTMLElement} */ (field));
    }
  }
  (await later("forms")).openGroup(boxes.map((box) => box.table));
}

const toSettings = () => show("settings");

/** Unfold what a box stands in, and go to it. @param {HTMLElement} field */
function reach(field) {
  unfoldTo(field);
  const box = /** @type {HTMLElement} */ (field.querySelector("input, select, textarea"));
  field.scrollIntoView({ block: "center" });
  box?.focus();
}
