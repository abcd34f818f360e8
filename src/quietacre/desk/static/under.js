// A picture under the map, laid by its four corners; it is turned and stretched by the browser.
// @ts-check
import { latLng } from "./on_map.js";

/** @typedef {import("./measures.js").Corner} Corner */

/**
 * A picture and where its upper left, upper right, lower right and lower left lie.
 * @typedef {{image: HTMLImageElement, corners: Corner[], width: number, height: number,
 *   picture: string, was?: string}} Under
 */

/**
 * Lay a picture under the map, and tell the stage that it lies there.
 * @param {import("./stage.js").Stage} stage @param {Under} under
 * @returns {() => void} take it off again
 */
export function layUnder(stage, under) {
  const { map } = stage;
  const { image, width, height } = under;
  image.className = "leaflet-zoom-hide under";
  image.alt = "";
  image.width = width;
  image.height = height;
  const place = () => {
    const [a, b, , d] = under.corners.map((one) => map.latLngToLayerPoint(latLng(one)));
    const turn = [b.x - a.x, b.y - a.y].map((some) => some / width);
    const fall = [d.x - a.x, d.y - a.y].map((some) => some / height);
    image.style.transform = `matrix(${[...turn, ...fall, a.x, a.y].join(",")})`;
  };
  map.getPane("under").append(image);
  map.on("zoomend viewreset", place);
  place();
  stage.unders.push(under);
  stage.picture = under.picture;
  return () => {
    map.off("zoomend viewreset", place);
    image.remove();
    stage.unders = stage.unders.filter((/** @type {Under} */ one) => one !== under);
    if (stage.picture === under.picture) stage.picture = null;
  };
}
