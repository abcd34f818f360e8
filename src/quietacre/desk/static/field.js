// What comes home from the field: tick files of phones, and paper sheets filled in by hand.
// @ts-check
import { again, ask, desk, Refused, show, tryIt } from "./desk.js";
import { dropZone } from "./drop.js";
import { countLines, el, say, sayDay, sent } from "./say.js";

/** Where tick files are dropped or picked. */
export function bringTicks() {
  const told = el("div", { "aria-live": "polite" });
  const drop = dropZone(
    {
      id: "tick-files",
      accept: ".csv,text/csv",
      text: "Drop the files that “Keep what I ticked” made on a phone here, or pick them.",
    },
    (files) => takeAll(files, told),
  );
  return [
    el("h2", { text: "Ticks from a phone" }),
    el("p", {
      class: "soft",
      text: "Each tick is written once, however many phones and however often its file comes.",
    }),
    drop,
    told,
  ];
}

/** @param {FileList} files @param {HTMLElement} told */
async function takeAll(files, told) {
  for (const file of Array.from(files)) await tryIt(() => take(file, told, false));
}

/** @param {File} file @param {HTMLElement} told @param {boolean} anyPlace */
async function take(file, told, anyPlace) {
  const part = el("section", {}, el("h3", { text: file.name }));
  told.append(part);
  /** @type {Record<string, string>} */
  const headers = { "X-Name": encodeURIComponent(file.name) };
  if (anyPlace) headers["X-Any-Place"] = "yes";
  try {
    const came = await ask("ticks", file, headers);
    const known = came.files.reduce((/** @type {number} */ n, /** @type {any} */ f) => {
      return n + f.known + f.alike + f.changed;
    }, 0);
    part.append(
      el("p", {
        text: `${countLines(came.lines.length)} written into the log, ${known} in it before.`,
      }),
      el("ul", {}, ...came.lines.map(tickLine)),
    );
    if (came.said) part.append(el("p", { class: "soft", text: came.said }));
    await again();
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    part.append(el("p", { class: "doubt", text: problem.message }));
    if (problem.data.other_place)
      part.append(
        el("button", {
          text: "They are of this place: write them all the same",
          on: {
            click: () => {
              part.remove();
              tryIt(() => take(file, told, true));
            },
          },
        }),
      );
  }
}

/** @param {any} line */
function tickLine(line) {
  const what =
    line.task === desk.start.undo
      ? "a tick taken back again"
      : `${line.task}, ${sayDay(line.date)}${line.who ? `, ${line.who}` : ""}`;
  const gone =
    line.planned === false && line.task !== desk.start.undo
      ? "; no such job is planned now, so the line stands by its name and day"
      : "";
  return el("li", { text: `${line.area ? `${line.area}: ` : ""}${what}${gone}` });
}

const CELLS = [
  ["date", "Day", "date", ""],
  ["minutes", "Minutes", "text", "decimal"],
  ["amount", "Amount", "text", "decimal"],
  ["unit", "Unit", "text", ""],
  ["who", "Who", "text", ""],
];

/** A printed sheet's jobs as a table to fill in. @param {any[]} tasks */
export function paperSheet(tasks) {
  const open = tasks.filter((task) => task.status !== "done");
  if (!open.length) return [];
  const grounds = [...new Set(open.map((task) => task.area))].sort();
  const body = el("tbody");
  const table = el(
    "table",
    { class: "sheet" },
    el(
      "thead",
      {},
      el(
        "tr",
        {},
        el("th", { scope: "col", text: "Job" }),
        ...CELLS.map(([, word]) => el("th", { scope: "col", text: word })),
      ),
    ),
    body,
  );
  const which = el(
    "select",
    { id: "sheet-of", on: { change: () => fill() } },
    ...grounds.map((name) => el("option", { value: name, text: name })),
  );
  // a row that is filled in stays so while another sheet is shown
  const rows = new Map(open.map((task) => [task, row(task)]));
  const fill = () =>
    body.replaceChildren(
      ...open.filter((task) => task.area === which.value).map((task) => rows.get(task)),
    );
  fill();
  return [
    el("h2", { text: "A paper sheet that was filled in" }),
    el(
      "details",
      {},
      el("summary", { text: "Type a whole sheet as one table" }),
      el(
        "form",
        {
          on: sent(() => tryIt(() => writeSheet(body))),
        },
        el(
          "div",
          { class: "field" },
          el("label", { for: "sheet-of", text: "The sheet of" }),
          which,
          el("p", { class: "why", text: "Leave the day blank where nothing was done." }),
        ),
        el(
          "div",
          { class: "across", tabindex: "0", role: "region", "aria-label": "The sheet as a table" },
          table,
        ),
        el("button", { type: "submit", class: "first", text: "Write the filled rows as one" }),
      ),
    ),
  ];
}

/** @param {any} task */
function row(task) {
  const made = el(
    "tr",
    { "data-of": `${task.area} ${task.job}` },
    el("th", { scope: "row", text: task.label }),
    ...CELLS.map(([name, word, type, mode]) =>
      el(
        "td",
        {},
        el("input", {
          type,
          name,
          inputmode: mode || null,
          autocomplete: "off",
          max: type === "date" ? desk.start.today : null,
          "aria-label": `${word}: ${task.label}`,
        }),
      ),
    ),
  );
  made.task = task;
  return made;
}

/** @param {HTMLElement} body */
async function writeSheet(body) {
  const rows = [];
  for (const made of /** @type {any} */ (body.children)) {
    const cells = Object.fromEntries(
      [...made.querySelectorAll("input")].map((input) => [input.name, input.value.trim()]),
    );
    const { task } = made;
    if (cells.date) rows.push({ ...cells, job: task.job, task: task.log_word, area: task.area });
    else if (cells.minutes || cells.amount || cells.who) {
      made.querySelector("input").focus();
      throw new Refused({ why: `${task.label} has no day: give it one, or clear its row.` }, 0);
    }
  }
  if (!rows.length) throw new Refused({ why: "No row has a day yet." }, 0);
  const kept = await ask("sheet", { rows });
  await again();
  await show("today");
  say(`${countLines(kept.lines.length)} written into the log as one change. `);
  document.getElementById("said")?.append(
    el("button", {
      text: "Take them back",
      on: {
        click: () =>
          tryIt(async () => {
            await ask("undo", {});
            await again();
            await show("today");
            say("The sheet’s lines are taken back.");
          }),
      },
    }),
  );
}
