// Names on a map that do not lie on each other.
// @ts-check

/**
 * Hide each name that would lie on one before it; coming nearer shows it again.
 *
 * @param {HTMLElement[]} names
 */
export function thinNames(names) {
  const kept = /** @type {DOMRect[]} */ ([]);
  for (const name of names) {
    const box = name.getBoundingClientRect();
    const covers = kept.some(
      (other) =>
        box.left < other.right &&
        other.left < box.right &&
        box.top < other.bottom &&
        other.top < box.bottom,
    );
    const whole = name.closest(".leaflet-tooltip") || name;
    /** @type {HTMLElement} */ (whole).style.visibility = covers ? "hidden" : "visible";
    if (!covers) kept.push(box);
  }
}

/** Thin all names on a map; those of marks and taped lines come first. @param {any} map */
export function thinAll(map) {
  const all = (/** @type {string} */ what) => [...map.getContainer().querySelectorAll(what)];
  thinNames([...all(".mark-word"), ...all(".leaflet-tooltip > span")]);
}
