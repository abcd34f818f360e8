// The desk: opens with its key, keeps what is known of the open place, and shows one part at a
// time.
// @ts-check
import { ask, askBytes, Brought, follow, line, Refused, tryIt } from "./ask.js";
import { begin } from "./begin.js";
import { entered, headline } from "./first.js";
import { el, letGoOnPress, say } from "./say.js";
import { showGround } from "./ground.js";
import "./half_filled.js";
import { later, loadRest } from "./later.js";
import { asOpen } from "./unfolded.js";

export { ask, askBytes, Brought, follow, Refused, tryIt };

const HERE_MS = 20000;
/** How often to look whether a desk that did not answer is there again. */
const AGAIN_MS = 2000;

/** What the page knows; screens read it and ask for more. */
export const desk = {
  /** @type {any} */ start: null,
  /** @type {any} */ place: null,
  /** @type {any} */ ground: null,
  /** @type {any} */ words: null,
  /** @type {any} why the settings of the open place cannot be read, and what can be put back */
  unread: null,
  /** @type {any} the picture that drawings begin with underneath */ under: null,
  part: "ground",
  /** Shows again what is shown. */
  redraw: async () => {},
};

/** Take a place that was opened, and show its ground. @param {any} place */
export async function opened(place) {
  desk.place = place;
  desk.unread = null;
  desk.ground = null;
  desk.under = null;
  await show("ground");
}

/** Read the open place again after a change. */
export async function again() {
  desk.place = await ask("place");
  desk.ground = null;
}

/** The words on every key, asked for once. */
export async function knownWords() {
  if (!desk.words) desk.words = await ask("words");
  return desk.words;
}

const SCREENS = {
  ground: showGround,
  settings: async () => (await later("forms")).showSettings(),
  today: async () => (await later("year")).showToday(),
  map: async () => (await later("map")).showMap(),
  work: async () => (await later("work")).showWork(),
  keep: async () => (await later("work")).showKeep(),
};

/** Show one part of the desk. @param {string} part */
export async function show(part) {
  desk.part = part;
  desk.redraw = () => show(part);
  const main = /** @type {HTMLElement} */ (document.getElementById("main"));
  const parts = /** @type {HTMLElement} */ (document.getElementById("parts"));
  parts.hidden = !desk.place;
  for (const button of parts.querySelectorAll("button"))
    button.setAttribute("aria-current", String(button.dataset.part === part));
  headline(desk.place);
  if (!desk.place) {
    main.replaceChildren(...begin());
    loadRest();
    return;
  }
  main.replaceChildren(el("p", { class: "soft", text: "One moment …" }));
  await tryIt(async () => {
    /** @type {{nodes: Node[], after?: () => any}} */
    const made = await SCREENS[/** @type {keyof SCREENS} */ (part)]();
    if (desk.part === part) main.replaceChildren(...made.nodes);
    if (desk.part === part && made.after) made.after();
  });
}

let looked = 0;

/** Whether a sum of the settings is not of what this tab knows. @param {string} sum */
const isOthers = (sum) => Boolean(desk.place && sum && sum !== desk.place.sum);

/**
 * Whether it is so a moment later too: a change of this tab's own is known to it soon.
 * @param {string} sum
 */
async function isOthersStill(sum) {
  await new Promise((done) => setTimeout(done, AGAIN_MS / 2));
  return isOthers(sum) && (await ask("here")).sum === sum;
}

/** Look now and then whether the desk still runs, and whether the files changed by another hand. */
async function here() {
  looked = performance.now();
  try {
    const now = await ask("here");
    if (line.gone) {
      line.gone = false;
      say("The desk runs again: go on where you were.");
      if (desk.place) await again();
    }
    if (isOthers(now.sum) && (await isOthersStill(now.sum))) {
      const drawing = document.querySelector(".drawing");
      say(
        drawing
          ? "This place was changed outside this tab; what is drawn here stays as it is."
          : "This place was changed outside this tab; what you see was read again.",
      );
      await again();
      if (drawing) desk.ground = await ask("ground");
      else if (!document.activeElement || !document.activeElement.closest("form, .field"))
        await asOpen(desk.redraw);
    }
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    say(problem.message, "doubts");
  }
}

async function start() {
  const found = await entered;
  if (!found) return;
  desk.start = found.start;
  desk.place = found.place;
  desk.unread = found.unread;
  await tryIt(() => show("ground"));
  letGoOnPress();
  setInterval(() => (line.gone || performance.now() - looked >= HERE_MS) && here(), AGAIN_MS);
  const parts = /** @type {HTMLElement} */ (document.getElementById("parts"));
  parts.addEventListener("click", (event) => {
    const button = /** @type {HTMLElement} */ (event.target).closest("button");
    if (button?.dataset.part) {
      say("");
      show(button.dataset.part);
    }
  });
}

start();
