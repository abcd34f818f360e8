// One piece, one day, or the jobs of a helper, printed alone or as a small page for a phone.
// @ts-check
import { ask, desk, tryIt } from "./desk.js";
import { el, say, sayDay } from "./say.js";

/**
 * Have a list or sheet made, and offer it where it was asked for.
 * @param {any} what options of quietacre list
 * @param {HTMLElement} place where the link goes
 */
async function make(what, place) {
  await tryIt(async () => {
    say("One moment: the year is worked out for it …");
    const made = await ask("list", what);
    say("");
    const link = el("a", {
      class: "button",
      href: made.address,
      target: "_blank",
      rel: "noopener",
      download: made.name.endsWith(".html") ? made.name : null,
      text: made.name.endsWith(".html") ? `Keep ${made.name} for the phone` : "Open it to print",
    });
    place.replaceChildren(link, el("p", { class: "soft", text: made.said }));
    link.focus();
  });
}

/** A button that prints one piece's sheet. @param {string} area */
export function printPiece(area) {
  const place = el("span", { "aria-live": "polite" });
  return el(
    "p",
    {},
    el("button", {
      text: "Print this one",
      "aria-label": `Print the sheet of ${area}`,
      on: { click: () => make({ sheet: true, area, form: "pdf" }, place) },
    }),
    " ",
    place,
  );
}

/** A button that prints the jobs of one day. @param {string} day */
export function printDay(day) {
  const place = el("span", { "aria-live": "polite" });
  return el(
    "div",
    {},
    el("button", {
      text: "Print this day",
      "aria-label": `Print the jobs of ${sayDay(day)}`,
      on: { click: () => make({ day, form: "pdf" }, place) },
    }),
    " ",
    place,
  );
}

/** What a helper gets: whose jobs, what by, which days. @param {any[]} tasks */
export function forHelper(tasks) {
  const open = tasks.filter((task) => task.status !== "done");
  if (!open.length) return [];
  const place = el("div", { "aria-live": "polite" });
  const names = [...new Set(open.map((task) => task.who).filter(Boolean))].sort();
  const machines = [...new Set(open.map((task) => task.machine))].sort();
  const grounds = [...new Set(open.map((task) => task.area))].sort();
  const who = el("input", {
    id: "list-who",
    type: "text",
    autocomplete: "off",
    list: "list-names",
  });
  const choice = (/** @type {string} */ id, /** @type {string[]} */ words) =>
    el(
      "select",
      { id },
      el("option", { value: "", text: "any" }),
      ...words.map((word) => el("option", { value: word, text: word })),
    );
  const machine = choice("list-machine", machines);
  const area = choice("list-area", grounds);
  const day = (/** @type {string} */ id) => el("input", { id, type: "date" });
  const first = day("list-from");
  const last = day("list-to");
  first.value = desk.start.today;
  const field = (/** @type {any} */ box, /** @type {string} */ label) =>
    el("div", { class: "field" }, el("label", { for: box.id, text: label }), box);
  const button = (/** @type {string} */ form, /** @type {string} */ text) =>
    el("button", {
      type: "button",
      text,
      on: {
        click: () =>
          make(
            {
              form,
              who: who.value.trim(),
              machine: machine.value,
              area: area.value,
              from: first.value,
              to: last.value,
            },
            place,
          ),
      },
    });
  return [
    el("h2", { text: "For a helper" }),
    el(
      "details",
      {},
      el("summary", { text: "A list for one person or one machine, for the days you choose" }),
      el("p", {
        class: "soft",
        text: names.length
          ? `Jobs are given to: ${names.join(", ")}.`
          : "Nothing says yet who does what, so a list has all jobs of its days. “Who does it” " +
            "of a task, a round or a piece of ground says it.",
      }),
      el("datalist", { id: "list-names" }, ...names.map((name) => el("option", { value: name }))),
      field(who, "Who (blank for anybody)"),
      field(machine, "What with"),
      field(area, "Where"),
      field(first, "From"),
      field(last, "To (blank: two weeks)"),
      el(
        "p",
        {},
        button("pdf", "Make a list to print"),
        " ",
        button("html", "Make a page with boxes for a phone"),
      ),
      place,
    ),
  ];
}
