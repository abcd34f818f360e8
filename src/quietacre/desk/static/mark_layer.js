// Marks of the place as they are shown on every map that is drawn on.
// @ts-check
import { ft, INK, L, labelled, latLng, letter, sign } from "./on_map.js";
import { el } from "./say.js";

/** @param {any} marks as the desk gives them @param {string} kind */
export const wordOf = (marks, kind) =>
  marks.kinds.find((/** @type {any} */ one) => one.kind === kind)?.word || kind;

/** @param {any} marks @param {any} mark */
export const calledOf = (marks, mark) => mark.name || wordOf(marks, mark.kind);

/**
 * All marks as a layer: a letter in a ring with its word, a taped line with its length.
 * @param {any} marks
 * @param {string} [pane] of the map that it goes on
 */
export function marksLayer(marks, pane = "overlayPane") {
  const layer = L.layerGroup();
  const style = { pane, interactive: false, color: INK, weight: 2, dashArray: "1 6" };
  for (const mark of marks.marks) {
    const text = calledOf(marks, mark);
    const first = letter(wordOf(marks, mark.kind)[0].toUpperCase());
    const shown = mark.line
      ? labelled(
          L.polyline(mark.line.map(latLng), style),
          `${text}, ${ft(mark.length_ft)}`,
          "faint",
        )
      : sign(mark.at, "mark", first, el("span", { class: "mark-word", text }));
    shown.addTo(layer);
  }
  return layer;
}
