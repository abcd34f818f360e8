// What goes on a map: places as Leaflet has them, and marks that are only looked at.
// @ts-check
import { el } from "./say.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./measures.js").Shape} Shape */

/** @type {any} */
export const L = /** @type {any} */ (window).L;
export const INK = "#22261f";
/** What may be off, or is another's. */
export const DOUBT = "#8a2c0d";
/** An edge that is drawn. */
export const DRAWN = { pane: "drawn", color: INK, weight: 3, interactive: false };
/** How a map is laid round what is looked at, clear of the buttons at its left. */
export const ROUND = {
  paddingTopLeft: [64, 24],
  paddingBottomRight: [24, 24],
  maxZoom: 20,
  animate: false,
};

/** @param {number[]} corner */
export const latLng = ([lon, lat]) => [lat, lon];

/** @param {Shape} shape as Leaflet has it */
export const latLngs = (shape) => shape.map((rings) => rings.map((ring) => ring.map(latLng)));

/** @param {any} place of Leaflet @returns {Corner} */
export const cornerOf = ({ lng, lat }) => [lng, lat];

/** @param {number} some */
export const whole = (some) => Math.round(some).toLocaleString("en-US");

/** @param {number} feet */
export const ft = (feet) => `${whole(feet)} ft`;

/** A sign on the map. @param {number[]} at @param {string} kind @param {...any} inside */
export function sign(at, kind, ...inside) {
  const icon = L.divIcon({ className: kind, html: el("span", {}, ...inside), iconSize: null });
  return L.marker(latLng(at), { icon, interactive: false, keyboard: false });
}

/** A letter or number in a ring. @param {any} text @param {Record<string, any>} [how] */
export const letter = (text, how) => el("span", { class: "letter", text, ...how });

/** Words on what is drawn. @param {any} layer @param {string} text @param {string} [kind] */
export const labelled = (layer, text, kind = "") =>
  layer.bindTooltip(el("span", { text }), {
    permanent: true,
    direction: "center",
    className: kind,
  });

/** Whether the screen is as narrow as a phone's, where the words stand under the map. */
export const isSmall = () => matchMedia("(max-width: 40rem)").matches;
