// The desk: opens with its key, keeps what is known of the open place, and shows one part at a
// time.
// @ts-check
import { begin } from "./begin.js";
import { el, say } from "./say.js";
import { showGround } from "./ground.js";
import { showSettings } from "./forms.js";
import { showMap } from "./map.js";
import { showKeep, showWork } from "./work.js";
import { showToday } from "./year.js";

const KEY = "quietacre-key";
const HERE_MS = 20000;
/** How often to look whether a desk that did not answer is there again. */
const AGAIN_MS = 2000;

/** What the page knows; screens read it and ask for more. */
export const desk = {
  /** @type {any} */ start: null,
  /** @type {any} */ place: null,
  /** @type {any} */ ground: null,
  /** @type {any} */ words: null,
  /** @type {any} the picture that drawings begin with underneath */ under: null,
  part: "ground",
};

/** An answer of the server that is not what was asked for. */
export class Refused extends Error {
  /** @param {any} data @param {number} status */
  constructor(data, status) {
    super(data.why || "the desk did not answer");
    this.data = data;
    this.status = status;
  }
}

/**
 * Ask or tell the server.
 * @param {string} path
 * @param {any} [body] JSON to tell, or a File; nothing to ask
 * @param {Record<string, string>} [headers]
 */
export async function ask(path, body, headers = {}) {
  const key = sessionStorage.getItem(KEY) || "";
  const file = body instanceof Blob;
  let answer;
  try {
    answer = await fetch(`/api/${path}`, {
      method: body === undefined ? "GET" : "POST",
      headers: { "X-Quietacre-Key": key, ...headers },
      body: body === undefined ? undefined : file ? body : JSON.stringify(body),
      cache: "no-store",
    });
  } catch {
    gone = true;
    throw new Refused(
      { why: "the desk is not running any more: start it again; what was kept is kept" },
      0,
    );
  }
  const type = answer.headers.get("content-type") || "";
  const data = type.includes("json") ? await answer.json() : { why: await answer.text() };
  if (!answer.ok) throw new Refused(data, answer.status);
  return data;
}

/** The bytes of something that is shown. @param {string} path @returns {Promise<Blob>} */
export async function askBytes(path) {
  const answer = await fetch(`/api/${path}`, {
    headers: { "X-Quietacre-Key": sessionStorage.getItem(KEY) || "" },
    cache: "no-store",
  });
  if (!answer.ok) throw new Refused({ why: await answer.text() }, answer.status);
  return answer.blob();
}

/** The events of a build. @param {(line: any) => void} tell */
export async function follow(tell) {
  const answer = await fetch("/api/steps", {
    headers: { "X-Quietacre-Key": sessionStorage.getItem(KEY) || "" },
  });
  if (!answer.ok || !answer.body) return;
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    rest += value;
    const parts = rest.split("\n\n");
    rest = parts.pop() || "";
    for (const part of parts) tell(JSON.parse(part.replace(/^data: /, "")));
  }
}

/** Run something for a click: say why when it is refused. @param {() => Promise<void>} run */
export async function tryIt(run) {
  try {
    await run();
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    say(problem.message, "doubts");
  }
}

/** Take a place that was opened, and show its ground. @param {any} place */
export async function opened(place) {
  desk.place = place;
  desk.ground = null;
  desk.under = null;
  await show("ground");
}

/** Read the open place again after a change. */
export async function again() {
  desk.place = await ask("place");
  desk.ground = null;
}

const SCREENS = {
  ground: showGround,
  settings: showSettings,
  today: showToday,
  map: showMap,
  work: showWork,
  keep: showKeep,
};

/** Show one part of the desk. @param {string} part */
export async function show(part) {
  desk.part = part;
  const main = /** @type {HTMLElement} */ (document.getElementById("main"));
  const parts = /** @type {HTMLElement} */ (document.getElementById("parts"));
  const title = /** @type {HTMLElement} */ (document.getElementById("place-name"));
  const where = /** @type {HTMLElement} */ (document.getElementById("place-where"));
  parts.hidden = !desk.place;
  for (const button of parts.querySelectorAll("button"))
    button.setAttribute("aria-current", String(button.dataset.part === part));
  if (!desk.place) {
    title.textContent = "quietacre";
    where.textContent = "Your ground, its amounts and its year, from plain files of your own.";
    main.replaceChildren(...begin());
    return;
  }
  title.textContent = desk.place.name;
  where.textContent = `kept in ${desk.place.folder}`;
  document.title = `${desk.place.name} · quietacre`;
  main.replaceChildren(el("p", { class: "soft", text: "One moment …" }));
  await tryIt(async () => {
    /** @type {{nodes: Node[], after?: () => any}} */
    const made = await SCREENS[/** @type {keyof SCREENS} */ (part)]();
    if (desk.part === part) main.replaceChildren(...made.nodes);
    if (desk.part === part && made.after) made.after();
  });
}

/** Whether the desk did not answer when it was last asked. */
let gone = false;
let looked = 0;

/** Look now and then whether the desk still runs, and whether the files changed by another hand. */
async function here() {
  looked = performance.now();
  try {
    const now = await ask("here");
    if (gone) {
      gone = false;
      say("The desk runs again: go on where you were.");
      if (desk.place) await again();
    }
    if (desk.place && now.sum && now.sum !== desk.place.sum) {
      const drawing = document.querySelector(".drawing");
      say(
        drawing
          ? "This place was changed outside this tab; what is drawn here stays as it is."
          : "This place was changed outside this tab; what you see was read again.",
      );
      await again();
      if (drawing) desk.ground = await ask("ground");
      else if (!document.activeElement || !document.activeElement.closest("form, .field"))
        await show(desk.part);
    }
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    say(problem.message, "doubts");
  }
}

async function start() {
  const ticket = location.hash.slice(1);
  if (ticket) {
    history.replaceState(null, "", "/");
    await tryIt(async () => sessionStorage.setItem(KEY, (await ask("key", { ticket })).key));
  }
  if (!sessionStorage.getItem(KEY)) {
    if (!ticket)
      say(
        "This tab has no key. Start the desk again from its starter, or type: quietacre open",
        "doubts",
      );
    return;
  }
  await tryIt(async () => {
    desk.start = await ask("start");
    // a place that cannot be read is said, and another can be opened
    if (desk.start.open)
      await tryIt(async () => {
        desk.place = await ask("place");
      });
    await show("ground");
    setInterval(() => (gone || performance.now() - looked >= HERE_MS) && here(), AGAIN_MS);
  });
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
