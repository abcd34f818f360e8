// Parts of the page that the first screen does without: each comes when it is first needed, and
// all of them once that screen stands there, so that nothing is waited for later.
// @ts-check
import { gone } from "./ask.js";

const PARTS = {
  drawing: () => import("./drawing.js"),
  forms: () => import("./forms.js"),
  legs: () => import("./legs.js"),
  map: () => import("./map.js"),
  marks: () => import("./marks.js"),
  pictures: () => import("./pictures.js"),
  piece: () => import("./piece.js"),
  work: () => import("./work.js"),
  year: () => import("./year.js"),
};

/**
 * A part of the page, loaded if it was not.
 * @template {keyof typeof PARTS} Name
 * @param {Name} name
 * @returns {Promise<Awaited<ReturnType<typeof PARTS[Name]>>>}
 */
export async function later(name) {
  try {
    return /** @type {any} */ (await PARTS[name]());
  } catch {
    throw gone();
  }
}

/** Load all that was not needed yet; what does not come now is asked for again when it is. */
export const loadRest = () => Promise.allSettled(Object.values(PARTS).map((load) => load()));
