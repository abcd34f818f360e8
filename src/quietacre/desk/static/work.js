// Working it out, what was worked out, and keeping a copy.
// @ts-check
import { toBuy } from "./amounts.js";
import { again, ask, desk, follow, show, tryIt } from "./desk.js";
import { el, say, sayDay, sent } from "./say.js";
import { told } from "./told.js";

const PAPERS = [
  ["map.html", "The map, for any browser and for the phone"],
  ["field-sheets.pdf", "Field sheets to print"],
  ["phone.gpx", "Edges and marks for the phone (GPX)"],
  ["phone.kml", "Edges and marks for the phone (KML)"],
  ["calendar.ics", "The calendar, for a phone or a computer"],
  ["shopping.csv", "The shopping list, as a table"],
  ["plan.csv", "The year as a table"],
  ["areas.gpkg", "All layers, for a mapping program on a computer"],
];

/** @returns {Promise<{nodes: Node[], after?: () => void}>} */
export async function showWork() {
  const steps = el("ul", { class: "steps", "aria-live": "polite" });
  const start = el("button", {
    class: "first",
    text: "Work it out now",
    on: { click: () => tryIt(() => work(steps, start, stop)) },
  });
  const stop = el("button", {
    text: "Stop",
    hidden: true,
    on: {
      click: () =>
        tryIt(async () => {
          await ask("stop", {});
        }),
    },
  });
  const now = await ask("here");
  return {
    nodes: [
      el("p", {
        text:
          "Acres, strips, amounts, the shopping list and the year are worked " +
          "out together. You can go on with other things meanwhile; what stood " +
          "before stays until it is done.",
      }),
      el("p", {}, start, " ", stop),
      steps,
      ...toBuy(),
      el("h2", { text: "What was worked out" }),
      ...papers(),
      el("p", {
        class: "soft",
        text:
          "Amounts and dates are arithmetic on what you typed: the label, the " +
          "operator’s manual, your state’s offices and licensed people decide.",
      }),
    ],
    after: () => now.building && tryIt(() => watch(steps, start, stop)),
  };
}

function papers() {
  const there = PAPERS.filter(([name]) => desk.place.papers[name]);
  if (!there.length) return [el("p", { class: "soft", text: "Nothing yet." })];
  return [
    el(
      "ul",
      { class: "list" },
      ...there.map(([name, text]) =>
        el(
          "li",
          {},
          el("a", {
            class: "button",
            href: desk.place.papers[name],
            target: "_blank",
            rel: "noopener",
            text,
          }),
        ),
      ),
    ),
  ];
}

/** @param {HTMLElement} steps @param {any} start @param {any} stop */
async function work(steps, start, stop) {
  await ask("build", {});
  await watch(steps, start, stop);
}

/** @param {HTMLElement} steps @param {any} start @param {any} stop */
async function watch(steps, start, stop) {
  steps.replaceChildren();
  start.disabled = true;
  stop.hidden = false;
  let code = null;
  await follow((line) => {
    if ("end" in line) code = line.end;
    else if (line.step) steps.append(el("li", { text: line.step, class: "step" }));
    else steps.append(told(line.said, null, "", "li"));
  });
  start.disabled = false;
  stop.hidden = true;
  await again();
  if (desk.part === "work") {
    const kept = [...steps.childNodes];
    await show("work");
    document.querySelector("ul.steps")?.replaceChildren(...kept);
  }
  say(
    code === 0
      ? "Worked out."
      : code && code < 0
        ? "Stopped; what stood before stays."
        : "It could not be worked out: the last line says why.",
    code === 0 ? "tells" : "doubts",
  );
}

/** @returns {Promise<{nodes: Node[]}>} */
export async function showKeep() {
  const to = el("input", { id: "copy-to", type: "text", autocomplete: "off" });
  const drives = desk.start.drives;
  const last = desk.place.last_copy;
  return {
    nodes: [
      el("h2", { text: "Keep a copy" }),
      el("p", {
        text:
          "One file with everything of this place (settings, walks, drawings, " +
          "log, photographs), read back and compared before it is called kept. " +
          "Put it on another drive, in another house.",
      }),
      el("p", {
        class: last ? null : "doubt",
        text: last
          ? `The last copy made here is of ${sayDay(last.on)}: ${last.copy}.`
          : "No copy was made from this desk yet.",
      }),
      el(
        "form",
        {
          class: "field",
          on: sent(() =>
            tryIt(async () => {
              const kept = await ask("copy", to.value.trim() ? { to: to.value.trim() } : {});
              await again();
              await show("keep");
              say(`Kept: ${kept.copy}.`);
            }),
          ),
        },
        el("label", { for: "copy-to", text: "Folder to keep it in" }),
        to,
        ...drives.map((/** @type {string} */ drive) =>
          el("button", {
            type: "button",
            text: `On ${drive}`,
            on: {
              click: () => {
                to.value = drive;
              },
            },
          }),
        ),
        el("p", {
          class: "why",
          text: `Left blank: ${desk.start.home}/copies. A plugged-in drive is better.`,
        }),
        el("button", { type: "submit", class: "first", text: "Keep a copy" }),
      ),
      el("p", {
        class: "soft",
        text:
          "To go on with it on another computer, bring the file there, open the desk, and pick " +
          "it under “Open a folder or a copy that was kept”.",
      }),
      el("h2", { text: "Another place" }),
      el("button", {
        text: "Close this place",
        on: {
          click: () =>
            tryIt(async () => {
              desk.start = await ask("start");
              desk.place = null;
              desk.unread = null;
              say("");
              await show("ground");
            }),
        },
      }),
      el("h2", { text: "Leave" }),
      el("p", {
        text:
          "Close the tab: everything you kept is in the folder. The desk ends " +
          "by itself some minutes after its last tab.",
      }),
    ],
  };
}
