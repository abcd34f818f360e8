// What is due, what was done, and the last lines of the log.
// @ts-check
import { ask, desk, show, tryIt } from "./desk.js";
import { bringTicks, paperSheet } from "./field.js";
import { logFields, writeLine } from "./log_form.js";
import { linesOfJobs } from "./map.js";
import { forHelper, printDay } from "./prints.js";
import { el, say, sayDay, titled } from "./say.js";
import { seenPart } from "./seen.js";
import { workIn } from "./take_back.js";
import { told } from "./told.js";
import { yearsKept, yearTurns } from "./turn.js";
import { notRained } from "./waiting.js";

const SOON_DAYS = 45;

/** @returns {Promise<{nodes: Node[]}>} */
export async function showToday() {
  const [year, log, seen] = await Promise.all([ask("year"), ask("lines"), ask("sightings")]);
  const today = desk.start.today;
  const soon = new Date(`${today}T12:00:00`);
  soon.setDate(soon.getDate() + SOON_DAYS);
  const until = soon.toISOString().slice(0, 10);
  const written = new Set(linesOfJobs(log.lines).map((/** @type {any} */ line) => line.job));
  const planned = year.tasks.filter(
    (/** @type {any} */ task) => task.status !== "done" && dayOf(task),
  );
  const open = planned.filter((/** @type {any} */ task) => !written.has(task.job));
  const since = planned.length - open.length;
  const late = open.filter((/** @type {any} */ task) => dayOf(task) < today);
  const due = open.filter(
    (/** @type {any} */ task) => dayOf(task) >= today && dayOf(task) <= until,
  );
  const later = open
    .filter((/** @type {any} */ task) => dayOf(task) > until)
    .sort((/** @type {any} */ a, /** @type {any} */ b) => (dayOf(a) < dayOf(b) ? -1 : 1));
  const old = year.made_on
    ? year.old
      ? "Something changed since the year was last worked out, so days may move."
      : ""
    : "The year has not been worked out yet.";
  return {
    nodes: [
      old
        ? el(
            "p",
            { class: "doubt" },
            `${old} `,
            el("button", { text: "Work it out", on: { click: () => show("work") } }),
          )
        : null,
      ...yearTurns(year),
      ...(!year.made_on ? [] : year.tasks.length ? dueJobs(late, due, until) : [nothingMeant()]),
      since
        ? el("p", {
            class: "done",
            text:
              `${since} of the year’s jobs ${since === 1 ? "is" : "are"} written into the log ` +
              "since it was worked out.",
          })
        : null,
      ...(later.length ? laterJobs(later) : []),
      desk.place.papers["map.html"]
        ? el(
            "p",
            {},
            el("button", { text: "Tick jobs on the map", on: { click: () => show("map") } }),
          )
        : null,
      ...bringTicks(),
      ...paperSheet(open),
      ...forHelper(year.tasks),
      ...seenPart(seen.lines),
      seen.why ? el("p", { class: "doubt", text: seen.why }) : null,
      ...logForm(),
      ...lines(log.lines),
      ...yearsKept(year.kept),
    ].filter(Boolean),
  };
}

/** What to do where no job comes out of what was said. */
const nothingMeant = () =>
  el("p", {
    text:
      "No job is planned yet. Say under Ground what is sown on a piece and on which day, or " +
      "under “Everything about it” which jobs come round, and work it out again.",
  });

/** What waits and what comes. @param {any[]} late @param {any[]} due @param {string} until */
const dueJobs = (late, due, until) => [
  el("h2", { text: `Waiting since before today: ${late.length}` }),
  jobs(late),
  el("h2", { text: `Coming by ${sayDay(until)}: ${due.length}` }),
  jobs(due),
];

/** What comes after that: in one line, and as a list once it is unfolded. @param {any[]} later */
function laterJobs(later) {
  const list = el("div", {});
  const fold = el("details", {}, el("summary", { text: `The later jobs: ${later.length}` }), list);
  fold.addEventListener("toggle", () => list.childElementCount || list.append(jobs(later, false)));
  return [
    el("p", {
      class: "soft",
      text:
        `${later.length} more later. ` +
        `The next is ${later[0].label}, ${later[0].area}, ${sayDay(dayOf(later[0]))}.`,
    }),
    fold,
  ];
}

/** @param {any[]} tasks @param {any} task */
const firstOfDay = (tasks, task) => tasks.find((one) => one.scheduled === task.scheduled) === task;

/** @param {any} task */
const dayOf = (task) => task.scheduled || task.latest;

/** @param {any[]} tasks @param {boolean} [soon] whether it may be rain that they wait for */
function jobs(tasks, soon = true) {
  if (!tasks.length) return el("p", { class: "soft", text: "Nothing." });
  return el(
    "ul",
    { class: "list" },
    ...tasks.map((task) =>
      el("li", {}, el("div", { class: "row job" }, ...jobButtons(tasks, task, soon))),
    ),
  );
}

let folds = 0;

/**
 * What is said of a job and its buttons: the tick first, and what is done less often beside it
 * where there is room, else behind a sentence.
 * @param {any[]} tasks @param {any} task @param {boolean} soon
 */
function jobButtons(tasks, task, soon) {
  const job = `${task.label}, ${task.area}, ${sayDay(dayOf(task))}`;
  folds += 1;
  const rest = el(
    "div",
    { class: "rest", id: `rest-${folds}` },
    el("button", {
      text: "Done, with more …",
      "data-opens": formOfJob(task.job),
      "aria-label": `Done: ${job}`,
      on: { click: (/** @type {Event} */ event) => doneForm(event, task) },
    }),
    soon ? notRained(task, dayOf(task), desk.start.today) : null,
    task.scheduled && firstOfDay(tasks, task) ? printDay(task.scheduled) : null,
  );
  const opener = el("button", {
    class: "box-link opens",
    text: "Or otherwise …",
    "aria-label": `Or otherwise: ${job}`,
    "aria-expanded": "false",
    "aria-controls": rest.id,
    on: {
      click: () => {
        const open = rest.classList.toggle("open");
        opener.setAttribute("aria-expanded", String(open));
      },
    },
  });
  const tick = el("button", {
    text: "Done today",
    "aria-label": `Done today: ${job}`,
    on: { click: () => doneToday(task) },
  });
  return [el("div", { class: "ticks" }, tick, opener), jobText(task), rest];
}

/** What is said of a job. @param {any} task */
const jobText = (task) =>
  titled(
    `${task.label}: ${task.area}`,
    `${sayDay(dayOf(task))} · about ${Math.round(task.minutes)} ` +
      `minutes${task.who ? `, ${task.who}` : ""}` +
      (task.state && task.state !== "planned" ? ` · ${task.state}` : ""),
    ...(task.amounts || []).map((/** @type {string} */ text) => el("div", { text })),
    ...(task.notes || []).map((/** @type {string} */ text) =>
      told(text, "doubt", task.area, "div"),
    ),
  );

/** @param {string} job */
const formOfJob = (job) => `done ${job}`;

/** One tick: the job was done today. @param {any} task */
const doneToday = (task) =>
  tryIt(() =>
    writeLine({
      task: task.log_word,
      area: task.area,
      job: task.job,
      on: desk.start.today,
      who: task.who,
    }),
  );

/**
 * Ask for the day and what else there is to say, under the job.
 * @param {Event} event
 * @param {any} task
 */
function doneForm(event, task) {
  const item = /** @type {HTMLElement} */ (event.target).closest("li");
  if (!item || item.querySelector("form.done-form")) return;
  item.querySelector("form")?.remove(); // of its other button
  const form = logFields(
    { task: task.log_word, area: task.area, job: task.job, minutes: "" },
    true,
  );
  form.classList.add("done-form");
  form.dataset.form = formOfJob(task.job);
  item.append(form);
  if (event.isTrusted) /** @type {HTMLElement} */ (form.querySelector("input")).focus();
}

function logForm() {
  return [
    el("h2", { text: "Something else was done" }),
    el("details", {}, el("summary", { text: "Write a line into the log" }), logFields({}, false)),
  ];
}

/** @param {any[]} log */
function lines(log) {
  const last = workIn(log).slice(-20).reverse();
  if (!last.length) return [];
  const some = last.some(({ line }) => line.id);
  return [
    el("h2", { text: "The last lines of the log" }),
    el(
      "div",
      { class: "across", tabindex: "0", role: "region", "aria-label": "The last lines of the log" },
      el(
        "table",
        {},
        el(
          "thead",
          {},
          el(
            "tr",
            {},
            ...["Day", "Ground", "What", ...(some ? ["A mistake?"] : [])].map((text) =>
              el("th", { scope: "col", text }),
            ),
          ),
        ),
        el(
          "tbody",
          {},
          ...last.map(({ line, back }) =>
            el(
              "tr",
              { class: back ? "back" : null },
              el("td", { text: line.date || "" }),
              el("td", { text: line.area || "" }),
              el("td", { text: line.said }),
              el(
                "td",
                {},
                back ? "taken back" : null,
                line.id && !back
                  ? el("button", {
                      text: "Take back",
                      "aria-label": `Take back ${line.task} of ${line.date}`,
                      on: { click: () => undoLine(line.id) },
                    })
                  : null,
              ),
            ),
          ),
        ),
      ),
    ),
  ];
}

/** @param {string} id */
async function undoLine(id) {
  await tryIt(async () => {
    await ask("log", { undo: id });
    await show("today");
    say("That line is taken back: the log keeps both, and counts neither.");
  });
}
