// One piece of ground: its figures, its edge, its strip, its boxes, and what was done on it.
// @ts-check
import { again, ask, desk, Refused, show, tryIt } from "./desk.js";
import { draw } from "./drawing.js";
import { pieceForm } from "./forms.js";
import { feetRound, kindOf, noteLine } from "./ground.js";
import { printPiece } from "./prints.js";
import { cap, el, say, sayDay, sayRange } from "./say.js";
import { stripOf } from "./strip.js";
import { walkedAgain } from "./survey.js";
import { workIn } from "./take_back.js";
import { told } from "./told.js";

/** Kinds of ground that a strip or a firebreak goes round. */
const STRIPS = ["patch", "burn"];

/**
 * Show one piece by itself, with its boxes even where it cannot be measured.
 * @param {string} name
 */
export async function showPiece(name) {
  let why = "";
  try {
    if (!desk.ground) desk.ground = await ask("ground");
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    why = problem.message;
  }
  const areas = desk.place.settings.area || [];
  const place = areas.findIndex((/** @type {any} */ one) => one.name === name);
  const main = /** @type {HTMLElement} */ (document.getElementById("main"));
  if (place < 0) return;
  const title = el("h2", { tabindex: "-1", text: name });
  desk.redraw = () => showPiece(desk.place.settings.area?.[place]?.name);
  await tryIt(async () => {
    const nodes = [
      el(
        "p",
        {},
        el("button", { text: "Back to all the ground", on: { click: () => show("ground") } }),
      ),
      title,
      why ? told(why, "doubt", name) : null,
      ...measuredParts(name, place),
      await recordOf(name),
      ...(await pieceForm("area", place)),
      el(
        "p",
        {},
        el("button", {
          text: `Take ${name} out`,
          on: { click: () => takeOut(name, place) },
        }),
        el("span", {
          class: "soft",
          text: " Its file stays; “Take back the last change” brings it back.",
        }),
      ),
      el(
        "p",
        {},
        el("button", { text: "This is the property line", on: { click: () => asLine(name) } }),
        el("span", {
          class: "soft",
          text:
            " It is no ground of its own then: strips are cut back to it, and pieces that reach " +
            "over it are told.",
        }),
      ),
    ];
    main.replaceChildren(.../** @type {Node[]} */ (nodes.filter(Boolean)));
    title.focus();
  });
}

/**
 * The figures of a piece and what is drawn of it; none where it was not measured.
 * @param {string} name @param {number} place
 */
function measuredParts(name, place) {
  const area = desk.ground?.areas.find((/** @type {any} */ one) => one.name === name);
  if (!area) return [];
  return [
    el("p", { text: `${sayRange(area)}, ${feetRound(area.perimeter_ft)}. ${cap(area.method)}.` }),
    ...area.notes.map((/** @type {any} */ note) => noteLine(note, name)),
    el(
      "p",
      {},
      el("button", {
        class: "first",
        text: "Draw or mend its edge",
        on: { click: () => draw({ area: name }) },
      }),
    ),
    ...(STRIPS.includes(area.kind) ? [stripOf(name, place, () => anew(name))] : []),
    ...(area.kind === "patch" ? [walkedAgain(name, () => anew(name))] : []),
    kindOf(area.kind).sheet ? printPiece(name) : null,
  ];
}

/** What the log has of a piece, the newest first. @param {string} name */
async function recordOf(name) {
  const { lines } = await ask("lines");
  const pieces = desk.place.settings.area.map((/** @type {any} */ one) => one.name.toLowerCase());
  // its strip or firebreak is called after it
  const its = (/** @type {string} */ one) =>
    one === name.toLowerCase() ||
    (one.startsWith(`${name.toLowerCase()} `) && !pieces.includes(one));
  const same = (/** @type {any} */ line) =>
    String(line.area || "")
      .split(";")
      .some((one) => its(one.trim().toLowerCase()));
  const mine = workIn(lines)
    .filter(({ line, back }) => !back && same(line))
    .map(({ line }) => line)
    .reverse();
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

/** Make the edge of a piece the property line. @param {string} name */
async function asLine(name) {
  await tryIt(async () => {
    const area = desk.ground?.areas.find((/** @type {any} */ one) => one.name === name);
    const acres = area ? ` Its ${sayRange(area)} are no ground of their own now.` : "";
    const made = await ask("line", { area: name });
    await again();
    await show("ground");
    const before = made.was && made.was !== made.file ? ` It was ${made.was}, which stays.` : "";
    const back = "“Take back the last change” brings it back.";
    say(`${name} is the property line now.${acres}${before} ${back}`);
  });
}
