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
    if (name.parentElement) name.parentElement.style.visibility = covers ? "hidden" : "visible";
    if (!covers) kept.push(box);
  }
}
