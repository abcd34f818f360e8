// The screen round a map that is drawn on: the way back, the title, and what stands beside it.
// @ts-check
import { again, ask, desk, show, tryIt } from "./desk.js";
import { cornerOf, L } from "./on_map.js";
import { button, form, para, wordBox } from "./parts.js";
import { el, say } from "./say.js";
import { Stage } from "./stage.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./measures.js").Shape} Shape */

/** The middle of what is known of the place, null when nothing is. @returns {Corner | null} */
function middleOfPlace() {
  const areas = (desk.ground?.areas || []).map((/** @type {any} */ one) => one.edge);
  const first = [desk.ground?.line, ...areas].find(Boolean);
  if (!first) return null;
  return cornerOf(L.geoJSON(first).getBounds().getCenter());
}

/**
 * Begin something about the middle of the place; where nothing is known yet, that is asked first.
 * @param {(middle: Corner) => Promise<any>} run
 */
export async function atPlace(run) {
  await tryIt(async () => {
    const middle = middleOfPlace();
    if (middle) await run(middle);
    else askWhere((at) => tryIt(() => run(at)));
  });
}

/**
 * A stage about a place, with what the desk gives for it.
 * @param {Corner} middle @param {Shape} shape
 * @returns {Promise<Stage>}
 */
export async function stageAt(middle, shape) {
  say("");
  // marks that cannot be read are said, and hinder nothing else
  const marksOr = ask("marks").catch((problem) => {
    say(problem.message, "doubts");
    return { marks: [], kinds: [] };
  });
  const [figures, marks] = await Promise.all([ask(`figures?lat=${middle[1]}`), marksOr]);
  const chart = el("div", {
    id: "chart",
    class: "draws",
    role: "application",
    "aria-label": "Map: arrows move it, plus and minus zoom",
  });
  return new Stage(chart, { figures, marks, middle }, shape);
}

/** Begin something on an empty stage. @param {(stage: Stage) => any} run */
export const onStage = (run) => atPlace(async (middle) => run(await stageAt(middle, [])));

/**
 * Put a stage and what stands beside it into the page, and begin its map.
 * @param {Stage} stage @param {string} title @param {() => any} back @param {...Node} side
 */
export function layOut(stage, title, back, ...side) {
  const main = /** @type {HTMLElement} */ (document.getElementById("main"));
  const head = el("h2", { tabindex: "-1", text: title });
  main.replaceChildren(
    el("p", {}, button("Back to all the ground", back)),
    el(
      "div",
      { class: "beside drawing" },
      el("div", { class: "sheet" }, stage.place),
      el("section", { "aria-label": "What is drawn" }, head, ...side),
    ),
  );
  stage.begin();
  stage.sentences();
  head.focus();
  stage.see();
  const key = (/** @type {KeyboardEvent} */ event) => {
    if (!stage.place.isConnected) document.removeEventListener("keydown", key);
    else if (event.key === "Escape" && stage.tool) {
      event.preventDefault();
      stage.leave();
    } else stage.keys(event);
  };
  document.addEventListener("keydown", key);
}

/** Leave a stage for the ground, as it stands now. @param {Stage} stage @param {string} text */
export async function home(stage, text) {
  stage.end();
  await again();
  await show("ground");
  scrollTo(0, 0);
  say(text.trim());
}

/**
 * Nothing is known of the place: where it lies is typed.
 * @param {(middle: Corner) => any} then
 */
function askWhere(then) {
  const main = /** @type {HTMLElement} */ (document.getElementById("main"));
  const asked = placeForm("where", "Latitude, longitude of a place on it", "Draw there", then);
  const why = "As a phone shows it: 33.2, -86.3. West and south are below zero.";
  main.replaceChildren(el("h2", { text: "Where is it?" }), asked, para(why, "why"));
  asked.querySelector("input").focus();
}

/**
 * A box for a position that is typed.
 * @param {string} id @param {string} label @param {string} text on the button
 * @param {(at: Corner) => any} then
 */
export function placeForm(id, label, text, then) {
  const box = wordBox(id, label);
  const send = () => {
    const at = readPlace(box.value());
    if (at) then(at);
    else say("Type latitude, longitude, such as 33.2, -86.3.", "doubts");
  };
  return form(send, text, box.node);
}

/** A typed position, null when it is none. @param {string} text @returns {Corner | null} */
function readPlace(text) {
  const [lat, lon, ...more] = text
    .trim()
    .split(/[\s,;]+/)
    .map(Number);
  const good = Math.abs(lat) <= 90 && Math.abs(lon) <= 180 && !more.length;
  return good ? [lon, lat] : null;
}
