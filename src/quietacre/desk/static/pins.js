// Pins of a phone as the corners of a piece: all of them, straight or curved, or some in turn.
// @ts-check
import { ask, tryIt } from "./desk.js";
import { L, latLngs, letter, ROUND, sign } from "./on_map.js";
import { choiceList, field, para } from "./parts.js";
import { el, say, sayRange, sentences } from "./say.js";
import { open } from "./stage.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./stage.js").Stage} Stage */

/** Ask for the file that has the pins. @param {Stage} stage */
export function takePins(stage) {
  const pick = el("input", {
    type: "file",
    id: "pins-file",
    accept: ".gpx,.kml,.kmz,.geojson",
    on: { change: () => pick.files[0] && tryIt(() => bring(stage, pick.files[0])) },
  });
  stage.asks(
    para("Pins are places that were marked on a phone, one at each corner; nothing is kept yet."),
    field("The phone’s file (GPX, KML, KMZ or GeoJSON)", pick),
  );
}

/** The name of a pin, where its number does not say it. @param {any} pin @param {number} n */
const wordOf = (pin, n) => (pin.name === String(n + 1) ? "" : pin.name);

/** @param {Stage} stage @param {File} file */
async function bring(stage, file) {
  const found = await ask("pins", file, { "X-Name": encodeURIComponent(file.name) });
  const { pins, ways } = found;
  const places = /** @type {Corner[]} */ (pins.map((/** @type {any} */ pin) => pin.at));
  const signs = pins.map((/** @type {any} */ pin, /** @type {number} */ n) =>
    sign(pin.at, "mark", letter(n + 1), el("span", { class: "mark-word", text: wordOf(pin, n) })),
  );
  const shown = L.layerGroup(signs).addTo(stage.map);
  stage.map.fitBounds(latLngs([[places]])[0][0], ROUND);
  const take = (
    /** @type {any} */ shape,
    /** @type {string} */ label,
    /** @type {number} */ ft_per_px = found.ft_per_px,
  ) => {
    if (!stage.act({ do: "become", shape, label, ft_per_px })) return;
    stage.leave();
    stage.map.fitBounds(stage.drawn.getBounds(), ROUND);
  };
  const count = `${pins.length} pins`;
  say(sentences([`${count} in ${file.name}`, ...found.said]));
  stage.pen({
    what: "ring",
    before: [
      para(
        ways.length
          ? "Does the edge run straight between its pins, or in a curve?"
          : sentences([`There is no edge through all of them: ${found.why}`]),
      ),
      choiceList(
        ways.map((/** @type {any} */ one) => [
          `It runs ${one.way} between them: ${sayRange(one)}`,
          () => take(open(one.polygons), `${count}, ${one.way} between them`, one.ft_per_px),
        ]),
      ),
    ],
    how: "Or point at those pins, one after another, that are its corners.",
    done: "Close the edge",
    at: (place) => stage.nearest(place, places),
    seen: (points) => stage.show(points.length > 2 ? [[points]] : stage.shape(), true),
    take: (corners) => take([[corners]], `an edge by ${corners.length} pins`),
    gone: () => {
      shown.remove();
      stage.show(stage.shape(), false);
    },
  });
}
