// A small picture of edges that were found in a file, each with its number.
// @ts-check
import { el } from "./say.js";

const SVG = "http://www.w3.org/2000/svg";
const WIDE = 320;
const HIGH = 240;
const MARGIN = 14;

/** @param {string} tag @param {Record<string, any>} how */
function svg(tag, how) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(how)) node.setAttribute(name, String(value));
  return node;
}

/** The polygons of a GeoJSON geometry. @param {any} edge @returns {number[][][][]} */
const polygons = (edge) => (edge.type === "Polygon" ? [edge.coordinates] : edge.coordinates);

/**
 * North is up; a picture of ground without a place is none.
 * @param {any[]} areas with ``edge`` and ``number``
 * @returns {HTMLElement | null}
 */
export function ringsPicture(areas) {
  const drawn = areas.filter((area) => area.edge);
  const corners = drawn.flatMap((area) => polygons(area.edge).flat(2));
  if (!corners.length) return null;
  const lons = corners.map(([lon]) => lon);
  const lats = corners.map(([, lat]) => lat);
  const least = (/** @type {number[]} */ some) => some.reduce((a, b) => Math.min(a, b));
  const most = (/** @type {number[]} */ some) => some.reduce((a, b) => Math.max(a, b));
  const [west, east, south, north] = [least(lons), most(lons), least(lats), most(lats)];
  const squeeze = Math.cos((((south + north) / 2) * Math.PI) / 180);
  const scale = Math.min(
    (WIDE - 2 * MARGIN) / Math.max((east - west) * squeeze, 1e-9),
    (HIGH - 2 * MARGIN) / Math.max(north - south, 1e-9),
  );
  const at = (/** @type {number[]} */ [lon, lat]) => [
    WIDE / 2 + (lon - (west + east) / 2) * squeeze * scale,
    HIGH / 2 - (lat - (south + north) / 2) * scale,
  ];
  const picture = svg("svg", {
    viewBox: `0 0 ${WIDE} ${HIGH}`,
    class: "rings",
    role: "img",
    "aria-label": `The ${drawn.length === 1 ? "edge" : `${drawn.length} edges`} in it, north up`,
  });
  for (const area of drawn) {
    const rings = polygons(area.edge).flat();
    const path = rings
      .map((ring) => `M${ring.map((corner) => at(corner).map((n) => n.toFixed(1))).join("L")}Z`)
      .join("");
    picture.append(svg("path", { d: path, "fill-rule": "evenodd" }));
    const shell = rings[0].map(at);
    const mean = (/** @type {number} */ n) =>
      shell.reduce((sum, corner) => sum + corner[n], 0) / shell.length;
    const label = svg("text", { x: mean(0).toFixed(1), y: mean(1).toFixed(1) });
    label.textContent = area.number;
    picture.append(label);
  }
  return el("div", {}, picture);
}
