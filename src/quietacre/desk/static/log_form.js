// A line of the log: its boxes, its photographs, and how it is written.
// @ts-check
import { again, ask, desk, Refused, show, tryIt } from "./desk.js";
import { numberTyped } from "./plain_words.js";
import { el, say, sayDay, sent, sentences } from "./say.js";

/**
 * Write a line into the log, and keep photographs of what was done beside it.
 * @param {any} said what the line holds @param {File[]} [photos]
 */
export async function writeLine(said, photos = []) {
  const kept = await ask("log", said);
  const told = [
    [kept.line.task, kept.line.area, sayDay(kept.line.date)].filter(Boolean).join(", "),
  ];
  let doubt = false;
  for (const photo of photos) {
    try {
      const headers = { area: kept.line.area, on: kept.line.date, who: said.who, note: said.note };
      const words = Object.entries(headers)
        .filter(([, text]) => text)
        .map(([name, text]) => [`X-${name}`, encodeURIComponent(text)]);
      await ask("photo", photo, {
        ...Object.fromEntries(words),
        "X-Name": encodeURIComponent(photo.name),
      });
      told.push(`the photograph ${photo.name} is kept`);
    } catch (problem) {
      if (!(problem instanceof Refused)) throw problem;
      doubt = true;
      told.push(`the photograph ${photo.name} was not kept: ${problem.message}`);
    }
  }
  await again();
  await show("today");
  say(sentences([`Written into the log: ${told.join("; ")}`]), doubt ? "doubts" : "tells");
}

/** Units of the boxes that take figures. */
const UNITS = /** @type {Record<string, string>} */ ({
  minutes: "minutes",
  amount: "",
  bag_lb: "pounds",
  price: "dollars",
});

/** A figure as a person types it, or words. @param {string} name @param {string} text */
const figureOr = (name, text) =>
  name in UNITS ? String(numberTyped(text, { unit: UNITS[name] }, desk.start.units)) : text;

/** A form for a line of the log. @param {any} given @param {boolean} fixed */
export function logFields(given, fixed) {
  /** @type {Record<string, any>} */
  const boxes = {};
  const field = (
    /** @type {string} */ name,
    /** @type {string} */ label,
    /** @type {any} */ how = {},
  ) => {
    boxes[name] = el("input", {
      id: `log-${name}-${fixed ? given.job : "new"}`,
      type: "text",
      autocomplete: "off",
      name,
      ...how,
    });
    boxes[name].value = given[name] || "";
    return el(
      "div",
      { class: "field" },
      el("label", { for: boxes[name].id, text: label }),
      boxes[name],
    );
  };
  const photos = el("input", {
    id: `log-photos-${fixed ? given.job : "new"}`,
    type: "file",
    accept: "image/*",
    multiple: true,
  });
  const names = (desk.place.settings.area || []).map((/** @type {any} */ one) => one.name);
  const rows = [
    field("on", "On which day", { type: "date" }),
    ...(fixed
      ? []
      : [
          field("task", "What was done, in your own words (mowed, limed, rain 0.6, bought …)"),
          field("area", `Where (${names.slice(0, 4).join(", ")} …)`, { list: "log-grounds" }),
          el(
            "datalist",
            { id: "log-grounds" },
            ...names.map((/** @type {string} */ value) => el("option", { value })),
          ),
        ]),
    field("minutes", "Minutes", { inputmode: "decimal" }),
    field("item", "What was used or bought"),
    field("amount", "How much of it", { inputmode: "decimal" }),
    field("unit", `In what (${desk.start.log_units})`),
    field("bag_lb", "Pounds in a bag, if it is not as usual", { inputmode: "decimal" }),
    field("price", "What it cost in all", { inputmode: "decimal" }),
    field("who", "Who"),
    field("note", "A note"),
  ];
  boxes.on.value = desk.start.today;
  return el(
    "form",
    {
      on: sent(() =>
        tryIt(async () => {
          const said = Object.fromEntries(
            Object.entries(boxes).map(([name, node]) => [name, figureOr(name, node.value.trim())]),
          );
          const job = fixed ? { task: given.task, area: given.area, job: given.job } : {};
          await writeLine({ ...job, ...said }, [...photos.files]);
        }),
      ),
    },
    ...rows,
    el(
      "div",
      { class: "field" },
      el("label", { for: photos.id, text: "Photographs of it" }),
      photos,
    ),
    el("button", { type: "submit", class: "first", text: "Write it into the log" }),
  );
}
