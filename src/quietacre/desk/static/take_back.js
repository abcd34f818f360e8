// What was changed is taken back or brought again, and lines that were taken back are told apart.
// @ts-check
import { again, ask, desk, show, tryIt } from "./desk.js";
import { el, say } from "./say.js";

/**
 * The lines of a record that say something, each with whether it was taken back; those that take
 * one back are left out.
 * @param {any[]} lines @param {string} [column] what says that a line takes one back
 * @returns {{line: any, back: boolean}[]}
 */
export function workIn(lines, column = "task") {
  const takes = (/** @type {any} */ line) => String(line[column]).toLowerCase() === desk.start.undo;
  const gone = new Set(lines.filter(takes).map(({ id }) => id));
  return lines
    .filter((line) => !takes(line))
    .map((line) => ({ line, back: Boolean(line.id) && gone.has(line.id) }));
}

/** What turns: what is asked, what is said before its name, and what it is without one. */
const TURNS = /** @type {const} */ ({
  undo: ["Taken back", "the last change"],
  redo: ["Brought again", "what was taken back"],
});

/** @param {keyof typeof TURNS} way @param {string} part the screen to show again */
const turn = (way, part) =>
  tryIt(async () => {
    const [said, otherwise] = TURNS[way];
    const done = await ask(way, {});
    await again();
    await show(part);
    say(`${said}: ${done.label || done.step?.label || otherwise}.`);
  });

/** Buttons that take back the last change and bring it again. @param {string} part the screen */
export const turnButtons = (part) =>
  el(
    "p",
    { class: "row" },
    el("button", { text: "Take back the last change", on: { click: () => turn("undo", part) } }),
    el("button", { text: "Bring it again", on: { click: () => turn("redo", part) } }),
  );
