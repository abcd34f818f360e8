// Marks of the place as they are shown on every map that is drawn on.
// @ts-check
import { el } from "./say.js";

/** @typedef {import("./measures.js").Corner} Corner */

/** @type {any} */
const L = /** @type {any} */ (window).L;

/** @param {any} marks as the desk gives them @param {string} kind */
export const wordOf = (marks, kind) =>
  marks.kinds.find((/** @type {any} */ one) => one.kind === kind)?.word || kind;

/** @param {any} marks @param {any} mark */
export const calledOf = (marks, mark) => mark.name || wordOf(marks, mark.kind);

/** @param {number} feet */
export const ft = (feet) => `${Math.round(feet).toLocaleString("en-US")} ft`;

/**
 * All marks as a layer: a letter in a ring with its word, a taped line with its length.
 * @param {any} marks
 * @param {string} [pane] of the map that it goes on
 */
export function marksLayer(marks, pane = "overlayPane") {
  const layer = L.layerGroup();
  const shown = { pane, interactive: false };
  for (const mark of marks.marks) {
    const text = calledOf(marks, mark);
    if (mark.line) {
      const line = mark.line.map((/** @type {Corner} */ [lon, lat]) => [lat, lon]);
      const label = el("span", { text: `${text}, ${ft(mark.length_ft)}` });
      L.polyline(line, { ...shown, color: "#22261f", weight: 2, dashArray: "1 6" })
        .bindTooltip(label, { permanent: true, direction: "center", className: "faint" })
        .addTo(layer);
      continue;
    }
    const letter = el("span", { class: "letter", text: wordOf(marks, mark.kind)[0].toUpperCase() });
    const html = el("span", {}, letter, el("span", { class: "mark-word", text }));
    const icon = L.divIcon({ className: "mark", html, iconSize: null });
    L.marker([mark.at[1], mark.at[0]], { icon, interactive: false, keyboard: false }).addTo(layer);
  }
  return layer;
}
