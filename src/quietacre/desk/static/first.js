// What is done first, before the other parts of the page have come: the way in, and the names of
// the open place. It waits for no other part but the two it imports.
// @ts-check
import { ask, hasKey, takeKey, tryIt } from "./ask.js";
import { el, say } from "./say.js";

/** @param {number} count */
export const pieces = (count) => (count === 1 ? "1 piece" : `${count} pieces`);

/** Say at the top which place is open. @param {any} place null for none */
export function headline(place) {
  const title = /** @type {HTMLElement} */ (document.getElementById("place-name"));
  const where = /** @type {HTMLElement} */ (document.getElementById("place-where"));
  title.textContent = place ? place.name : "quietacre";
  where.textContent = place
    ? `kept in ${place.folder}`
    : "Your ground, its amounts and its year, from plain files of your own.";
  if (place) document.title = `${place.name} · quietacre`;
}

/** The names, as the settings have them, while the ground is measured. @param {any} place */
export function unmeasured(place) {
  // unchecked: anything may stand there
  const areas = Array.isArray(place.settings.area) ? place.settings.area : [];
  return [
    el("h2", { text: areas.length ? pieces(areas.length) : "Ground" }),
    el("p", { class: "soft", text: areas.length ? "Acres are being worked out …" : "" }),
    el(
      "ul",
      { class: "list" },
      ...areas.map((/** @type {any} */ area) =>
        el("li", {}, el("strong", { class: "name", text: String(area?.name) })),
      ),
    ),
  ];
}

/**
 * What this tab begins with, null where it may not ask.
 * @returns {Promise<{start: any, place: any, unread: any} | null>}
 */
async function enter() {
  const ticket = location.hash.slice(1);
  /** @type {any} */
  let found = null;
  if (ticket) {
    history.replaceState(null, "", "/");
    await tryIt(async () => {
      found = await takeKey(ticket);
    });
  }
  if (!hasKey()) {
    if (!ticket)
      say("This tab has no key. Start the desk again, as you started it first.", "doubts");
    return null;
  }
  if (!found)
    await tryIt(async () => {
      found = await ask("enter");
    });
  // a place that cannot be read is said, and another can be opened
  if (found?.unread) say(found.unread.why, "doubts");
  if (found?.place) {
    headline(found.place);
    document.getElementById("main")?.replaceChildren(...unmeasured(found.place));
  }
  return found;
}

export const entered = enter();
