// It has not rained: a planting waits for the day that is named.
// @ts-check
import { again, ask, show, tryIt } from "./desk.js";
import { el, say, sayDay, sent } from "./say.js";

const WEEK_DAYS = 7;

/**
 * A button under a planting that is due or coming; null under any other job.
 *
 * @param {any} task a job of the year
 * @param {string} day the day it stands on
 * @param {string} today
 */
export function notRained(task, day, today) {
  if (task.task !== "plant" || task.status === "done") return null;
  return el("button", {
    text: "It has not rained …",
    "data-opens": formName(task.area),
    "aria-label": `It has not rained: ${task.area}`,
    on: {
      click: (/** @type {Event} */ event) => untilForm(event, task.area, day > today ? day : today),
    },
  });
}

/** @param {string} area */
const formName = (area) => `rain ${area}`;

/**
 * @param {Event} event @param {string} area
 * @param {string} from a week before the day that is offered
 */
function untilForm(event, area, from) {
  const item = /** @type {HTMLElement} */ (event.target).closest("li");
  if (!item || item.querySelector("form.until-form")) return;
  item.querySelector("form")?.remove(); // of its other button
  const day = new Date(`${from}T12:00:00`);
  day.setDate(day.getDate() + WEEK_DAYS);
  const until = el("input", {
    type: "date",
    id: `until-${area}`,
    value: day.toISOString().slice(0, 10),
  });
  const form = el(
    "form",
    {
      class: "until-form",
      "data-form": formName(area),
      on: sent(() => wait(area, until.value)),
    },
    el(
      "div",
      { class: "field" },
      el("label", { for: until.id, text: "The planting waits for this day" }),
      until,
    ),
    el("button", { class: "first", text: "Wait for rain" }),
  );
  item.append(form);
  if (event.isTrusted) until.focus();
}

/** @param {string} area @param {string} until */
async function wait(area, until) {
  return tryIt(async () => {
    await ask("wait", { area, until });
    await again();
    await show("today");
    say(`${area} waits until ${sayDay(until)}. Work it out, and the plan goes on from there.`);
  });
}
