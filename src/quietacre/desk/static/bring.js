// Ground that is brought: what stands in a file is shown before any of it is kept.
// @ts-check
import { again, ask, Brought, desk, show, tryIt } from "./desk.js";
import { dropZone } from "./drop.js";
import { feetRound } from "./ground.js";
import { ringsPicture } from "./rings.js";
import { cap, el, say, sayAcres, sayRange, sent, sentences } from "./say.js";

/** The box for the name of a place that the first files begin. */
const PLACE_NAME = "name-of-place";

/** What was found in files and is neither kept nor let go, by the place's folder; "" before any. */
const waiting = /** @type {Map<string, HTMLElement>} */ (new Map());

/** What waits of the open place; what was brought before it was opened comes along. */
function waitingHere() {
  const folder = desk.place?.folder || "";
  const made = waiting.get(folder) || el("div", { "aria-live": "polite" });
  waiting.set(folder, made);
  if (folder) made.append(...(waiting.get("")?.children || []));
  return made;
}

/** The place where files are brought, and what was found in them. @returns {HTMLElement[]} */
export function bring() {
  const found = waitingHere();
  const drop = dropZone(
    {
      id: "files",
      text:
        "Drop files here, or pick them: a phone’s GPX or KML, a drawing, a " +
        "deed’s text, a tape table.",
    },
    (files) => look(files, found),
  );
  const head = el("h2", { text: "Bring ground" });
  return desk.place ? [head, drop, found] : [head, drop, placeName(), found];
}

/** @param {FileList} files @param {HTMLElement} place */
async function look(files, place) {
  for (const file of Array.from(files)) {
    const part = el(
      "section",
      {},
      el("h3", { text: file.name }),
      el("p", { class: "soft", text: "Reading …" }),
    );
    place.append(part);
    if (await tryIt(async () => part.replaceChildren(...(await looked(file, {}, part)))))
      part.remove();
  }
}

/**
 * Look into one file, and offer what can be kept of it.
 * @param {File} file @param {any} known what was answered of it @param {HTMLElement} part
 * @returns {Promise<HTMLElement[]>}
 */
async function looked(file, known, part) {
  const brought = new Brought(file, "file", { "X-Known": JSON.stringify(known) });
  const answer = await brought.send();
  const head = el("h3", { text: file.name });
  if (!answer.found) {
    const tell = (/** @type {any} */ more) =>
      tryIt(async () => part.replaceChildren(...(await looked(file, { ...known, ...more }, part))));
    return [
      head,
      el("p", { class: "doubt", text: answer.said }),
      ...answer.asks.map((/** @type {any} */ one) => asked(one, tell)),
      el("p", {}, letGo(file.name, part)),
    ];
  }
  const { areas, warnings } = answer.found;
  const rows = areas.map((/** @type {any} */ area, /** @type {number} */ n) =>
    pieceRow(area, `${answer.token}-${n}`, areas.length === 1 ? file.name : ""),
  );
  const button = el("button", {
    class: "first",
    on: { click: () => keep(brought, rows, known, part) },
  });
  const count = () => {
    const some = rows.filter((/** @type {any} */ row) => row.yes.checked).length;
    button.disabled = !some;
    button.textContent =
      some === 1 ? "Keep this piece of ground" : `Keep these ${some} pieces of ground`;
  };
  for (const row of rows) row.yes.addEventListener("change", count);
  count();
  return /** @type {HTMLElement[]} */ (
    [
      head,
      el(
        "div",
        { class: "beside" },
        el("ul", { class: "list" }, ...rows.map((/** @type {any} */ row) => row.node)),
        ringsPicture(areas),
      ),
      ...warnings.map((/** @type {string} */ text) => el("p", { class: "soft", text })),
      el("p", { class: "row" }, button, letGo(file.name, part)),
    ].filter(Boolean)
  );
}

/**
 * What a file leaves open, as buttons or a box.
 * @param {any} one @param {(more: any) => any} tell
 */
function asked(one, tell) {
  if (one.choices.length)
    return el(
      "div",
      {},
      el("p", { text: one.words }),
      ...one.choices.map((/** @type {[string, string]} */ [value, text]) =>
        el("button", { text, on: { click: () => tell({ [one.option]: value }) } }),
      ),
    );
  const id = `asked-${one.option}`;
  const box = el("input", { id, type: "text", inputmode: "decimal", autocomplete: "off" });
  return el(
    "form",
    {
      class: "field",
      on: sent(() => tell({ [one.option]: box.value.trim() })),
    },
    el("label", { for: id, text: one.words }),
    box,
    el("button", { type: "submit", text: "It is so long" }),
  );
}

/** @param {any} area @param {string} id @param {string} file its name where it holds no other */
function pieceRow(area, id, file) {
  const yes = el("input", { type: "checkbox", id: `yes-${id}`, checked: true });
  const name = el("input", { type: "text", id: `name-${id}`, value: stem(file, area.name) });
  const kind = el(
    "select",
    { id: `kind-${id}` },
    ...desk.start.kinds.map((/** @type {any} */ one) =>
      el("option", { value: one.kind, text: one.word, selected: one.kind === area.kind }),
    ),
  );
  const node = el(
    "li",
    {},
    el(
      "label",
      { class: "yes", for: yes.id },
      yes,
      el("strong", {
        text: `${area.number}. ${area.name}: ${sayRange(area)}, ${feetRound(area.perimeter_ft)}`,
      }),
    ),
    ...area.warnings.map((/** @type {string} */ text) =>
      el("div", { class: "soft", text: cap(text) }),
    ),
    el(
      "div",
      { class: "row" },
      el("div", { class: "field wide" }, el("label", { for: name.id, text: "Its name" }), name),
      el("div", { class: "field wide" }, el("label", { for: kind.id, text: "What it is" }), kind),
    ),
  );
  return { node, yes, name, kind, number: area.number };
}

/** What the place is called that the first files begin: asked once, once there are any. */
const placeName = () =>
  el(
    "div",
    { class: "field place-name" },
    el("label", { for: PLACE_NAME, text: "What do you call the whole place?" }),
    el("input", { id: PLACE_NAME, type: "text", autocomplete: "off" }),
    el("p", { class: "why", text: `It is kept as plain files in ${desk.start.home}.` }),
  );

/** A button that leaves what was found in a file out. @param {string} name @param {Element} part */
const letGo = (name, part) =>
  el("button", {
    text: "Leave this file out",
    "aria-label": `Leave ${name} out`,
    on: {
      click: () => {
        part.remove();
        say(`${name} was left out: nothing of it is kept here.`);
      },
    },
  });

/** @param {string} file @param {string} name */
const stem = (file, name) =>
  file && (name.includes(file) || name.includes("/"))
    ? file.replace(/\.[^.]*$/, "").replace(/[-_]+/g, " ")
    : name;

/** The place that the first files begin, while it is made. */
let begun = /** @type {Promise<any> | null} */ (null);

/** Begin a place under the name that was asked for, once. */
async function beginPlace() {
  const name = /** @type {HTMLInputElement | null} */ (document.getElementById(PLACE_NAME));
  begun ??= ask("open", { new: name?.value.trim() || "My place" });
  try {
    desk.place ||= await begun;
  } finally {
    begun = null;
  }
}

/**
 * Keep what is ticked of one file; what was found in others waits on.
 * @param {Brought} brought @param {any[]} rows @param {any} known @param {HTMLElement} part
 */
async function keep(brought, rows, known, part) {
  await tryIt(async () => {
    if (!desk.place) await beginPlace();
    const pieces = rows
      .filter((row) => row.yes.checked)
      .map((row) => ({ number: row.number, name: row.name.value.trim(), kind: row.kind.value }));
    const added = await brought.ask("add", (token) => ({ tokens: [token], pieces, known }));
    part.remove();
    await again();
    await show("ground");
    const left = waitingHere().querySelectorAll("section:has(.yes)").length;
    const files = left === 1 ? "one more file waits" : `${left} more files wait`;
    const kept = added.areas.map((/** @type {any} */ one) => `${one.name}, ${sayAcres(one.acres)}`);
    say(
      sentences([
        kept.length
          ? `Kept: ${kept.join("; ")}`
          : "Every edge in it is an area already; nothing was changed",
        ...(left ? [`${files} under “Bring ground” to be kept or left out`] : []),
      ]),
    );
  });
}
