// The finished map in a frame of its own. It is of no origin and may touch nothing here: what is
// ticked on it comes as a message, is looked up among the jobs of the year, and only then written.
// @ts-check
import { ask, desk, Refused, show } from "./desk.js";
import { el } from "./say.js";
import { workIn } from "./take_back.js";

const DAY = /^\d{4}-\d\d-\d\d$/;
const MOST_NAME = 60;
/** @type {HTMLIFrameElement | null} */
let frame = null;

/** @returns {Promise<{nodes: Node[]}>} */
export async function showMap() {
  const address = desk.place.papers["map.html"];
  if (!address) return { nodes: [el("p", { text: "There is no map yet: work it out first." })] };
  frame = el("iframe", {
    class: "map",
    src: address,
    sandbox: "allow-scripts allow-modals allow-downloads allow-popups",
    title: "The finished map",
  });
  return {
    nodes: [
      el(
        "p",
        {},
        el("button", { text: "Back to what is due", on: { click: () => show("today") } }),
        el("span", {
          class: "soft",
          text: " What you tick under Year, or on a piece’s card, is written into the log.",
        }),
      ),
      /** @type {HTMLIFrameElement} */ (frame),
    ],
  };
}

/**
 * The lines of the log that are jobs of the year and were not taken back, as the map has them.
 * @param {any[]} lines
 */
export const linesOfJobs = (lines) =>
  workIn(lines)
    .filter(({ back, line }) => !back && line.id?.includes("-"))
    .map(({ line }) => ({
      id: line.id,
      job: line.id.split("-")[0],
      day: line.date,
      who: line.who || "",
    }));

/**
 * Write what was ticked, or take it back. Nothing of the message goes into the log but the day,
 * the name, and which job of the year it is.
 * @param {any} said
 * @returns {Promise<{id?: string, back?: boolean, why?: string}>}
 */
async function written(said) {
  const year = await ask("year");
  const task = year.tasks.find((/** @type {any} */ one) => one.job === said.job);
  const day = DAY.test(said.day) && said.day <= desk.start.today;
  if (!task || typeof said.done !== "boolean" || typeof said.who !== "string")
    return { why: "the map is older than the plan: work it out again" };
  if (!day) return { why: "that day is still to come" };
  try {
    if (!said.done) {
      const mine = linesOfJobs((await ask("lines")).lines).some(
        (/** @type {any} */ line) => line.id === said.id && line.job === task.job,
      );
      if (!mine) return { why: "the log has no such tick" };
      await ask("log", { undo: said.id });
      return { back: true };
    }
    const kept = await ask("log", {
      task: task.log_word,
      area: task.area,
      job: task.job,
      on: said.day,
      who: said.who.slice(0, MOST_NAME).trim(),
    });
    return { id: kept.line.id };
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    return { why: problem.message };
  }
}

addEventListener("message", async (event) => {
  const to = frame?.contentWindow;
  const said = event.data;
  if (!frame?.isConnected || !to || event.source !== to || event.origin !== "null") return;
  if (typeof said !== "object" || !said) return;
  // a page of no origin can be told nothing by its name; it is this frame's own window
  if (said.quietacre === "boxes") {
    const ticks = linesOfJobs((await ask("lines")).lines);
    to.postMessage({ quietacre: "desk", ticks }, "*");
  }
  if (said.quietacre === "tick" && Number.isInteger(said.number))
    to.postMessage({ quietacre: "written", number: said.number, ...(await written(said)) }, "*");
});
