// What can be drawn on the place as a whole, each as a sentence under its map.
// @ts-check
import { tryIt } from "./ask.js";
import { later } from "./later.js";
import { choiceList } from "./parts.js";
import { el } from "./say.js";

/** @param {any} what */
const draw = async (what) => (await later("drawing")).draw(what);

const SENTENCES = /** @type {[string, () => any][]} */ ([
  ["Draw a new piece", () => draw({ tool: "ring" })],
  ["Draw a road or firebreak as a line with a width", () => draw({ tool: "line", kind: "road" })],
  ["Put a mark here", async () => (await later("marks")).drawMarks("mark")],
  ["Measure with the tape", async () => (await later("marks")).drawMarks("tape")],
  ["Lay a picture underneath", async () => (await later("pictures")).placePicture()],
  ["Type a deed or a tape table", async () => (await later("legs")).drawLegs()],
]);

/** The sentences under the map of the place. */
export const placeSentences = () =>
  el(
    "section",
    { "aria-label": "Draw on the map" },
    el("h2", { text: "Draw on the map" }),
    choiceList(SENTENCES.map(([text, begin]) => [text, () => tryIt(begin)])),
  );
