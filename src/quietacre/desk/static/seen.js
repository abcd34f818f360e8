// What was seen: a form, and the last lines of seen.csv.
// @ts-check
import { ask, desk, show, tryIt } from "./desk.js";
import { el, say, sayDay, sent } from "./say.js";
import { workIn } from "./take_back.js";

const KINDS = ["deer", "quail", "turkey", "browse", "something else"];

/** @param {any[]} lines the lines of seen.csv */
export function seenPart(lines) {
  const names = (desk.place.settings.area || []).map((/** @type {any} */ one) => one.name);
  /** @type {Record<string, any>} */
  const boxes = {
    on: el("input", { id: "seen-on", type: "date", max: desk.start.today }),
    kind: el(
      "select",
      { id: "seen-kind" },
      ...KINDS.map((word) => el("option", { value: word, text: word })),
    ),
    words: el("input", { id: "seen-words", type: "text", autocomplete: "off" }),
    count: el("input", { id: "seen-count", type: "text", inputmode: "decimal" }),
    area: el(
      "select",
      { id: "seen-area" },
      el("option", { value: "", text: "the place at large" }),
      ...names.map((/** @type {string} */ name) => el("option", { value: name, text: name })),
    ),
    place: el("input", { id: "seen-place", type: "text", autocomplete: "off" }),
    time: el("input", { id: "seen-time", type: "time" }),
    who: el("input", { id: "seen-who", type: "text", autocomplete: "off" }),
    note: el("input", { id: "seen-note", type: "text", autocomplete: "off" }),
  };
  boxes.on.value = desk.start.today;
  const field = (/** @type {string} */ name, /** @type {string} */ label) =>
    el("div", { class: "field" }, el("label", { for: boxes[name].id, text: label }), boxes[name]);
  const write = async () => {
    const said = Object.fromEntries(
      Object.entries(boxes).map(([name, box]) => [name, box.value.trim()]),
    );
    const other = said.kind === KINDS[KINDS.length - 1];
    const kept = await ask("seen", { ...said, words: said.words || (other ? "" : said.kind) });
    await show("today");
    say(`Written into seen.csv: ${lineWords(kept.line)}.`);
  };
  const last = workIn(lines, "what").slice(-10).reverse();
  return [
    el("h2", { text: "Seen" }),
    el(
      "details",
      {},
      el("summary", { text: "Write down what was seen" }),
      el(
        "form",
        {
          on: sent(() => tryIt(write)),
        },
        field("on", "On which day"),
        field("kind", "What"),
        field("words", "In your own words, if you like (two does, a covey …)"),
        field("count", "How many (0 when you looked and saw none)"),
        field("area", "Where"),
        field("place", "Where on it"),
        field("time", "At what time"),
        field("who", "Who saw it"),
        field("note", "A note on it"),
        el("button", { type: "submit", class: "first", text: "Write it down" }),
      ),
    ),
    last.length
      ? el(
          "ul",
          { class: "list" },
          ...last.map(({ line, back }) =>
            el(
              "li",
              {},
              el(
                "div",
                { class: "row" },
                el("div", { class: back ? "wide back" : "wide", text: lineWords(line) }),
                back ? el("span", { class: "soft", text: "taken back" }) : null,
                line.id && !back
                  ? el("button", {
                      text: "Take back",
                      "aria-label": `Take back: ${lineWords(line)}`,
                      on: { click: () => takeBack(line.id) },
                    })
                  : null,
              ),
            ),
          ),
        )
      : null,
  ];
}

/** @param {any} line */
const lineWords = (line) =>
  [
    /^\d{4}-\d\d-\d\d$/.test(line.date) ? sayDay(line.date) : line.date,
    line.area,
    [line.count, line.what].filter(Boolean).join(" "),
    line.place,
    line.who,
    line.note,
  ]
    .filter(Boolean)
    .join(" · ");

/** @param {string} id */
async function takeBack(id) {
  await tryIt(async () => {
    await ask("seen", { undo: id });
    await show("today");
    say("That line is taken back: seen.csv keeps both, and counts neither.");
  });
}
