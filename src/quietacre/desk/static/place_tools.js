// What can be drawn on the place as a whole, each as a sentence under its map.
// @ts-check
import { draw } from "./drawing.js";
import { drawLegs } from "./legs.js";
import { drawMarks } from "./marks.js";
import { choiceList } from "./parts.js";
import { placePicture } from "./pictures.js";
import { el } from "./say.js";

const SENTENCES = /** @type {[string, () => any][]} */ ([
  ["Draw a new piece", () => draw({ tool: "ring" })],
  ["Draw a road or firebreak as a line with a width", () => draw({ tool: "line", kind: "road" })],
  ["Put a mark here", () => drawMarks("mark")],
  ["Measure with the tape", () => drawMarks("tape")],
  ["Lay a picture underneath", placePicture],
  ["Type a deed or a tape table", () => drawLegs()],
]);

/** The sentences under the map of the place. */
export const placeSentences = () =>
  el(
    "section",
    { "aria-label": "Draw on the map" },
    el("h2", { text: "Draw on the map" }),
    choiceList(SENTENCES),
  );
