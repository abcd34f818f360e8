// What was unfolded on a screen stays unfolded when the screen is made anew.
// @ts-check

/** Every part of the screen that can be unfolded, by what stands on it and on those around it. */
function parts() {
  /** @type {Map<string, HTMLDetailsElement>} */
  const all = new Map();
  for (const part of /** @type {NodeListOf<HTMLDetailsElement>} */ (
    document.querySelectorAll("#main details")
  )) {
    const words = [];
    for (let one = /** @type {Element|null|undefined} */ (part); one; ) {
      words.push(one.querySelector(":scope > summary")?.textContent);
      words.push(one.closest("[data-box]")?.getAttribute("data-box"));
      one = one.parentElement?.closest("details");
    }
    const key = JSON.stringify(words);
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
