// What was unfolded on a screen stays unfolded when the screen is made anew.
// @ts-check

/** What stands on a part of the screen and on those it is folded into. @param {Element} part */
export function wordsRound(part) {
  const words = [];
  for (let one = /** @type {Element|null|undefined} */ (part); one; ) {
    words.push(one.querySelector(":scope > summary")?.textContent);
    words.push(one.closest("[data-box]")?.getAttribute("data-box"));
    one = one.parentElement?.closest("details");
  }
  return JSON.stringify(words);
}

/** Unfold all that a part of the screen is folded into. @param {Element} part */
export function unfoldTo(part) {
  for (let at = part.parentElement; at; at = at.parentElement)
    if (at instanceof HTMLDetailsElement) at.open = true;
}

/** Every part of the screen that can be unfolded, by what stands on it and on those around it. */
function parts() {
  /** @type {Map<string, HTMLDetailsElement>} */
  const all = new Map();
  for (const part of /** @type {NodeListOf<HTMLDetailsElement>} */ (
    document.querySelectorAll("#main details")
  )) {
    const key = wordsRound(part);
    if (!all.has(key)) all.set(key, part);
  }
  return all;
}

/** Make the screen anew, as far unfolded as it was. @param {() => Promise<void>} run */
export async function asOpen(run) {
  const open = [...parts()].filter(([, part]) => part.open).map(([key]) => key);
  await run();
  const now = parts();
  for (const key of open) {
    const part = now.get(key);
    if (part) part.open = true;
  }
}
