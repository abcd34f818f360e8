// The year turns: close the one that is over, and take the days offered for the next season.
// @ts-check
import { again, ask, show, tryIt } from "./desk.js";
import { el, say } from "./say.js";

/**
 * What is offered when a year or a season is over; nothing in between.
 * @param {any} year what the desk knows of the year
 * @returns {Node[]}
 */
export function yearTurns(year) {
  const nodes = [];
  if (year.to_close)
    nodes.push(
      el(
        "p",
        {},
        `The year ${year.to_close} is over. `,
        el("button", {
          text: `Keep ${year.to_close} as it was`,
          on: { click: () => close(year.to_close) },
        }),
      ),
    );
  const offers = (year.offers || []).filter((/** @type {any} */ one) => one.day);
  if (offers.length)
    nodes.push(
      el("h2", { text: "Sow again?" }),
      el(
        "ul",
        { class: "list" },
        ...offers.map((/** @type {any} */ one) =>
          el("li", { text: `${one.area}${one.mix ? `, ${one.mix}` : ""}: ${one.text}` }),
        ),
      ),
      el("p", {}, el("button", { text: "Set these days", on: { click: next } })),
    );
  return nodes;
}

/** @param {number} year */
const close = (year) =>
  tryIt(async () => {
    say(`One moment: ${year} is worked out and kept …`);
    const made = await ask("close", { year });
    await again();
    await show("today");
    const open = made.carried.length;
    say(
      made.new
        ? `Kept in ${made.folder}.${open ? ` ${open} open jobs stay in the plan.` : ""}`
        : `It is kept already in ${made.folder}.`,
    );
  });

const next = () =>
  tryIt(async () => {
    await ask("next", {});
    await again();
    await show("today");
    say("The days of the next season are set; the last change can be taken back.");
  });
