// Marks on the place: a letter in a ring with its word; and taped lines with their length.
// @ts-check
import { ask, tryIt } from "./desk.js";
import { calledOf, ft, wordOf } from "./mark_layer.js";
import { Pen } from "./pen.js";
import { askWhere, home, layOut, middleOfPlace, stageAt } from "./sheet.js";
import { el, say } from "./say.js";

/** @typedef {import("./stage.js").Stage} Stage */
/** @typedef {import("./measures.js").Corner} Corner */

const TAPE = "tape";

/** Set, name, move and remove marks; or put a taped line. @param {"mark" | "tape"} what */
export async function drawMarks(what) {
  await tryIt(async () => {
    const middle = middleOfPlace();
    if (middle) await openMarks(middle, what);
    else askWhere((at) => tryIt(() => openMarks(at, what)));
  });
}

/** @param {Corner} middle @param {"mark" | "tape"} what */
async function openMarks(middle, what) {
  const stage = await stageAt(middle, []);
  const list = el("ul", { class: "list" });
  const adds = el("ul", { class: "sentences" });
  const screen = { stage, list, adds };
  layOut(stage, "Marks and taped lines", () => home(stage, ""), stage.line, stage.box, adds, list);
  stage.left = () => showMarks(screen);
  showMarks(screen);
  if (what === TAPE) tape(screen);
  else put(screen);
}

/** @typedef {{stage: Stage, list: any, adds: any}} Screen */

/** @param {Screen} screen */
function showMarks(screen) {
  const { stage, list, adds } = screen;
  stage.drawMarks();
  const sentence = (/** @type {string} */ text, /** @type {() => any} */ click) =>
    el("li", {}, el("button", { text, on: { click } }));
  adds.replaceChildren(
    sentence("Put a mark here", () => put(screen)),
    sentence("Keep the taped line", () => tape(screen)),
  );
  list.replaceChildren(...stage.marks.marks.map((/** @type {any} */ one) => row(screen, one)));
}

/** @param {Screen} screen @param {any} mark */
function row(screen, mark) {
  const { stage } = screen;
  const word = wordOf(stage.marks, mark.kind);
  const name = calledOf(stage.marks, mark);
  const size = mark.line ? `taped line, ${ft(mark.length_ft)}` : word;
  const act = (/** @type {string} */ text, /** @type {() => any} */ click) =>
    el("button", { text, "aria-label": `${text} ${name}`, on: { click } });
  return el(
    "li",
    { class: "row" },
    el("span", { class: "letter", "aria-hidden": "true", text: word[0].toUpperCase() }),
    el(
      "div",
      { class: "wide" },
      el("strong", { text: name }),
      el("div", { class: "soft", text: [size, mark.note].filter(Boolean).join(" · ") }),
    ),
    el(
      "div",
      { class: "acts" },
      mark.line ? null : act("Move", () => move(screen, mark)),
      act("Rename", () => rename(screen, mark)),
      act("Remove", () => tell(screen, { id: mark.id, remove: true }, `${name} was removed.`)),
    ),
  );
}

/**
 * Tell the desk of a mark, and show all anew.
 * @param {Screen} screen @param {any} mark @param {string} text
 */
async function tell(screen, mark, text) {
  await tryIt(async () => {
    await ask("mark", mark);
    screen.stage.marks = await ask("marks");
    screen.stage.leave();
    say(`${text} “Take back the last change” under the map of the place undoes it.`);
  });
}

/** @param {string} id @param {string} label @param {string} [value] */
function wordBox(id, label, value = "") {
  const input = el("input", { id, type: "text", value, autocomplete: "off" });
  return {
    input,
    node: el("div", { class: "field" }, el("label", { for: id, text: label }), input),
  };
}

/** @param {Screen} screen */
function put(screen) {
  const { stage } = screen;
  const name = wordBox("mark-name", "Its name, if it has one");
  const kind = el(
    "select",
    { id: "mark-kind" },
    ...stage.marks.kinds
      .filter((/** @type {any} */ one) => one.kind !== TAPE)
      .map((/** @type {any} */ one) => el("option", { value: one.kind, text: one.word })),
  );
  const asked = el(
    "div",
    { class: "field" },
    el("label", { for: "mark-kind", text: "What stands there" }),
    kind,
  );
  stage.take(
    new Pen(stage, {
      what: "place",
      how: "Say what it is, then point at where it stands.",
      done: "",
      more: [asked, name.node],
      take: ([at]) => {
        const said = name.input.value.trim();
        const word = wordOf(stage.marks, kind.value);
        tell(screen, { kind: kind.value, name: said, at }, `Kept: ${said || word}.`);
      },
    }),
  );
  leaving(screen);
}

/** @param {Screen} screen @param {any} mark */
function move(screen, mark) {
  const name = calledOf(screen.stage.marks, mark);
  screen.stage.take(
    new Pen(screen.stage, {
      what: "place",
      how: `Point at where ${name} stands.`,
      done: "",
      take: ([at]) => tell(screen, { ...mark, at }, `${name} was moved.`),
    }),
  );
  leaving(screen);
}

/** @param {Screen} screen @param {any} mark */
function rename(screen, mark) {
  const name = wordBox("mark-name", "Its name", mark.name);
  const note = wordBox("mark-note", "A note on it", mark.note || "");
  const keep = () => {
    const told = { ...mark, name: name.input.value.trim(), note: note.input.value.trim() };
    tell(screen, told, `Kept: ${told.name || wordOf(screen.stage.marks, mark.kind)}.`);
  };
  screen.stage.take({
    enable: () => {
      screen.stage.panel(
        name.node,
        note.node,
        el("button", { class: "first", text: "Keep", on: { click: keep } }),
      );
      name.input.focus();
    },
    disable: () => {},
  });
  leaving(screen);
}

/** @param {Screen} screen */
function tape(screen) {
  const { stage } = screen;
  const name = wordBox("tape-name", "What it runs along");
  const length = el("p", { class: "soft" });
  stage.take(
    new Pen(stage, {
      what: "line",
      how: "Put the tape down, point by point; its length is kept with it.",
      done: "Keep the taped line",
      more: [length, name.node],
      seen: (points) => {
        const feet = points.slice(1).map((point, n) => stage.measures.feet(points[n], point));
        length.textContent = points.length > 1 ? ft(feet.reduce((sum, one) => sum + one, 0)) : "";
      },
      take: (line) => {
        const said = name.input.value.trim();
        tell(screen, { kind: TAPE, name: said, line }, `Kept: ${said || "the taped line"}.`);
      },
    }),
  );
  leaving(screen);
}

/** While a tool is in hand, one sentence stands there: leave it. @param {Screen} screen */
function leaving({ stage, adds }) {
  const leave = el("button", { text: "Leave it (Esc)", on: { click: () => stage.leave() } });
  adds.replaceChildren(el("li", {}, leave));
}
