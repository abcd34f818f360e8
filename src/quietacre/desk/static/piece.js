// One piece of ground: its figures, its edge, its strip, its boxes, and what was done on it.
// @ts-check
import { cap } from "./boxes.js";
import { again, ask, desk, show, tryIt } from "./desk.js";
import { draw } from "./drawing.js";
import { pieceForm } from "./forms.js";
import { feetRound, kindOf, noteLine } from "./ground.js";
import { printPiece } from "./prints.js";
import { el, say, sayDay, sayRange } from "./say.js";
import { stripOf } from "./strip.js";
import { walkedAgain } from "./survey.js";

/** Kinds of ground that a strip or a firebreak goes round. */
const STRIPS = ["patch", "burn"];

/** Show one piece by itself. @param {string} name */
export async function showPiece(name) {
  if (!desk.ground) desk.ground = await ask("ground");
  const area = desk.ground.areas.find((/** @type {any} */ one) => one.name === name);
  const main = /** @type {HTMLElement} */ (document.getElementById("main"));
  if (!area) return;
  const place = desk.place.settings.area.findIndex((/** @type {any} */ one) => one.name === name);
  const title = el("h2", { tabindex: "-1", text: area.name });
  await tryIt(async () => {
    const nodes = [
      el(
        "p",
        {},
        el("button", { text: "Back to all the ground", on: { click: () => show("ground") } }),
      ),
      title,
      el("p", { text: `${sayRange(area)}, ${feetRound(area.perimeter_ft)}. ${cap(area.method)}.` }),
      ...area.notes.map((/** @type {any} */ note) => noteLine(note, name)),
      el(
        "p",
        {},
        el("button", {
          class: "first",
          text: "Draw or mend its edge",
          on: { click: () => draw({ area: area.name }) },
        }),
      ),
      ...(STRIPS.includes(area.kind) ? [stripOf(name, place, () => anew(name))] : []),
      ...(area.kind === "patch" ? [walkedAgain(name, () => anew(name))] : []),
      kindOf(area.kind).sheet ? printPiece(area.name) : null,
      await recordOf(name),
      ...(await pieceForm("area", place)),
      el(
        "p",
        {},
        el("button", {
          text: `Take ${area.name} out`,
          on: { click: () => takeOut(area.name, place) },
        }),
        el("span", {
          class: "soft",
          text: " Its file stays; “Take back the last change” brings it back.",
        }),
      ),
    ];
    main.replaceChildren(.../** @type {Node[]} */ (nodes.filter(Boolean)));
    title.focus();
  });
}

/** What the log has of a piece, the newest first. @param {string} name */
async function recordOf(name) {
  const { lines } = await ask("lines");
  const same = (/** @type {any} */ line) =>
    String(line.area || "")
      .split(";")
      .some((one) => one.trim().toLowerCase() === name.toLowerCase());
  const mine = lines.filter(same).reverse();
  return el(
    "details",
    { class: "record" },
    el("summary", { text: `What was done here: ${mine.length || "nothing yet"}` }),
    el(
      "ul",
      {},
      ...mine.map((/** @type {any} */ line) =>
        el("li", {
          text: [
            /^\d{4}-\d\d-\d\d$/.test(line.date) ? sayDay(line.date) : line.date,
            line.task,
            [line.item, line.amount, line.unit].filter(Boolean).join(" "),
            line.minutes && `${line.minutes} minutes`,
            line.who,
            line.photo,
            line.note,
          ]
            .filter(Boolean)
            .join(" · "),
        }),
      ),
    ),
  );
}

/** Show a piece again, measured anew. @param {string} name */
async function anew(name) {
  desk.ground = await ask("ground");
  await showPiece(name);
}

/** @param {string} name @param {number} place */
async function takeOut(name, place) {
  await tryIt(async () => {
    await ask("set", { key: `area[${place + 1}]`, value: null });
    await again();
    await show("ground");
    say(`${name} was taken out. “Take back the last change” brings it back.`);
  });
}
