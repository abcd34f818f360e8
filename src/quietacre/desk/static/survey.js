// A vine patch walked again: its new edge is brought, the old one stays.
// @ts-check
import { again, Brought, tryIt } from "./desk.js";
import { el, say, sayAcres, sayDay } from "./say.js";

/**
 * The place where the new walk of a patch is brought.
 *
 * @param {string} area the patch
 * @param {() => Promise<void>} changed shows the piece anew
 */
export function walkedAgain(area, changed) {
  const told = el("div", { "aria-live": "polite" });
  const day = el("input", { type: "date", id: "survey-on" });
  const file = el("input", {
    type: "file",
    id: "survey-file",
    on: { change: () => file.files?.[0] && take(file.files[0], area, day.value, told, changed) },
  });
  return el(
    "details",
    {},
    el("summary", { text: "It was walked again" }),
    el("p", {
      class: "why",
      text:
        "The new edge becomes the present one; the old stays as an earlier survey, and how far " +
        "the vine moved is told.",
    }),
    el(
      "div",
      { class: "field" },
      el("label", {
        for: day.id,
        text: "On which day (leave it empty when the walk has its times)",
      }),
      day,
    ),
    el(
      "div",
      { class: "field" },
      el("label", { for: file.id, text: "The new walk or drawing of it" }),
      file,
    ),
    told,
  );
}

/**
 * @param {File} file @param {string} area @param {string} on
 * @param {HTMLElement} told @param {() => Promise<void>} changed
 */
async function take(file, area, on, told, changed) {
  told.replaceChildren(el("p", { class: "soft", text: "Reading …" }));
  await tryIt(async () => {
    const brought = new Brought(file, "file");
    const read = await brought.send();
    if (!read.found) {
      told.replaceChildren(el("p", { class: "doubt", text: read.said }));
      return;
    }
    const taken = await brought.ask("survey", (token) => ({ token, area, on }));
    await again();
    await changed();
    const words = [
      `${area}: ${sayAcres(taken.acres)}, surveyed ${sayDay(taken.surveyed)}.`,
      taken.move ? `${taken.move.text[0].toUpperCase()}${taken.move.text.slice(1)}` : "",
      ...taken.crossed,
    ];
    say(words.filter(Boolean).join(" "));
  });
  if (told.querySelector(".soft")) told.replaceChildren();
}
