// The year turns: close the one that is over, and take the days offered for the next season.
// @ts-check
import { again, ask, show, tryIt } from "./desk.js";
import { el, say, sayDay } from "./say.js";

const MOST_JOBS = 12;

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
        "section",
        { "aria-label": `The year ${year.to_close}` },
        el("h2", { text: `The year ${year.to_close} is over` }),
        el("p", {
          text:
            "Write down first what is still missing of it. What it came to, its map, lists and " +
            "papers are then kept for good; jobs that are still open stay in the plan.",
        }),
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

/**
 * Years that are kept, each with its map; the newest of a year can be kept again.
 * @param {any[]} kept the newest first
 * @returns {Node[]}
 */
export function yearsKept(kept) {
  if (!kept.length) return [];
  const newest = (/** @type {any} */ one) => kept.find((other) => other.year === one.year) === one;
  return [
    el("h2", { text: "Years that are kept" }),
    el(
      "details",
      {},
      el("summary", { text: `Look at a year again, or correct it: ${kept.length}` }),
      el("p", {
        class: "soft",
        text:
          "A kept year stays as it is. Where its log was wrong, write or take back the line, " +
          "and keep the year again: the corrected one stands beside it, and counts.",
      }),
      el(
        "ul",
        { class: "list" },
        ...kept.map((one) =>
          el(
            "li",
            {},
            el(
              "div",
              { class: "row" },
              el("strong", {
                class: "wide",
                text: one.corrected
                  ? `${one.year}, corrected ${sayDay(one.corrected)}`
                  : `${one.year}`,
              }),
              one.map
                ? el("a", {
                    class: "button",
                    href: one.map,
                    target: "_blank",
                    rel: "noopener",
                    text: "Its map",
                    "aria-label": `The map of ${one.name}`,
                  })
                : null,
              newest(one)
                ? el("button", {
                    text: `Keep ${one.year} again`,
                    on: { click: () => close(one.year) },
                  })
                : null,
            ),
          ),
        ),
      ),
    ),
  ];
}

/** @param {number} year */
const close = (year) =>
  tryIt(async () => {
    say(`One moment: ${year} is worked out and kept …`);
    const made = await ask("close", { year });
    await again();
    await show("today");
    if (!made.new) {
      say(`${year} is kept already, and nothing of it has changed since.`);
      return;
    }
    document.getElementById("main")?.prepend(cameTo(made, year));
    const how = made.corrects ? `${year} is kept, corrected` : `${year} is kept as it was`;
    say(
      `${how}, in the folder ${made.folder}. “Take back the last change” takes back what you ` +
        "changed before that, not a year that is kept.",
    );
  });

/** What a year came to, and what was left of it. @param {any} made @param {number} year */
function cameTo(made, year) {
  const open = made.record.open_jobs;
  return el(
    "section",
    { "aria-label": `What ${year} came to` },
    el("h2", { text: `What ${year} came to` }),
    el("ul", {}, ...made.came_to.map((/** @type {string} */ text) => el("li", { text }))),
    ...jobsLeft(
      "Still open, and in the plan",
      open.filter((/** @type {any} */ job) => job.carried),
    ),
    ...jobsLeft(
      "Missed",
      open.filter((/** @type {any} */ job) => !job.carried),
    ),
    made.moved_on.length
      ? el("p", {
          text:
            `Planned for a later year already, so what ${year} was planned to be is not kept ` +
            `of it: ${made.moved_on.join(", ")}.`,
        })
      : null,
    el(
      "p",
      {},
      "Worked out again, it stands beside the new year on the map and the papers. ",
      el("button", { text: "Work it out", on: { click: () => show("work") } }),
    ),
  );
}

/** @param {string} title @param {any[]} jobs */
function jobsLeft(title, jobs) {
  if (!jobs.length) return [];
  const more = jobs.length - MOST_JOBS;
  return [
    el("p", { text: `${title}: ${jobs.length}` }),
    el(
      "ul",
      {},
      ...jobs
        .slice(0, MOST_JOBS)
        .map((job) => el("li", { text: `${job.area}: ${job.label}, by ${sayDay(job.latest)}` })),
      more > 0 ? el("li", { text: `and ${more} more` }) : null,
    ),
  ];
}

const next = () =>
  tryIt(async () => {
    await ask("next", {});
    await again();
    await show("today");
    say("The days of the next season are set; the last change can be taken back.");
  });
