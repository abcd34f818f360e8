// Marks on the place: a letter in a ring with its word; and taped lines with their length.
// @ts-check
import { ask, tryIt } from "./desk.js";
import { calledOf, wordOf } from "./mark_layer.js";
import { ft, letter } from "./on_map.js";
import { button, field, first, kindBox, para, wordBox } from "./parts.js";
import { home, layOut, onStage } from "./sheet.js";
import { el, say, titled } from "./say.js";

/** @typedef {import("./stage.js").Stage} Stage */
/** @typedef {import("./measures.js").Corner} Corner */

const TAPE = "tape";

/** Set, name, move and remove marks; or put a taped line. @param {"mark" | "tape"} what */
export const drawMarks = (what) =>
  onStage((stage) => {
    const list = el("ul", { class: "list" });
    const screen = { stage, list };
    layOut(
      stage,
      "Marks and taped lines",
      () => home(stage, ""),
      stage.line,
      stage.box,
      stage.list,
      list,
    );
    stage.can = () => [
      ["Put a mark here", () => put(screen)],
      ["Measure with the tape", () => tape(screen)],
    ];
    stage.left = () => showMarks(screen);
    showMarks(screen);
    if (what === TAPE) tape(screen);
    else put(screen);
  });

/** @typedef {{stage: Stage, list: any}} Screen */

/** @param {Screen} screen */
function showMarks(screen) {
  const { stage, list } = screen;
  stage.drawMarks();
  list.replaceChildren(...stage.marks.marks.map((/** @type {any} */ one) => row(screen, one)));
}

/** @param {Screen} screen @param {any} mark */
function row(screen, mark) {
  const { stage } = screen;
  const word = wordOf(stage.marks, mark.kind);
  const name = calledOf(stage.marks, mark);
  const size = mark.line ? `taped line, ${ft(mark.length_ft)}` : word;
  const act = (/** @type {string} */ text, /** @type {() => any} */ click) =>
    button(text, click, { "aria-label": `${text} ${name}` });
  return el(
    "li",
    { class: "row" },
    letter(word[0].toUpperCase(), { "aria-hidden": "true" }),
    titled(name, [size, mark.note].filter(Boolean).join(" · ")),
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

/** @param {Screen} screen */
function put(screen) {
  const { stage } = screen;
  const name = wordBox("mark-name", "Its name, if it has one");
  const kinds = stage.marks.kinds.filter((/** @type {any} */ one) => one.kind !== TAPE);
  const kind = kindBox("mark-kind", kinds);
  stage.pen({
    what: "place",
    how: "Say what it is, then point at where it stands.",
    more: [field("What stands there", kind), name.node],
    take: ([at]) => {
      const mark = { kind: kind.value, name: name.value(), at };
      tell(screen, mark, `Kept: ${calledOf(stage.marks, mark)}.`);
    },
  });
}

/** @param {Screen} screen @param {any} mark */
function move(screen, mark) {
  const name = calledOf(screen.stage.marks, mark);
  screen.stage.pen({
    what: "place",
    how: `Point at where ${name} stands.`,
    take: ([at]) => tell(screen, { ...mark, at }, `${name} was moved.`),
  });
}

/** @param {Screen} screen @param {any} mark */
function rename(screen, mark) {
  const name = wordBox("mark-name", "Its name", mark.name);
  const note = wordBox("mark-note", "A note on it", mark.note || "");
  const keep = () => {
    const told = { ...mark, name: name.value(), note: note.value() };
    tell(screen, told, `Kept: ${calledOf(screen.stage.marks, told)}.`);
  };
  screen.stage.asks(name.node, note.node, first("Keep", keep));
  name.input.focus();
}

/** @param {Screen} screen */
function tape(screen) {
  const { stage } = screen;
  const name = wordBox("tape-name", "What it runs along");
  const length = para("", "soft");
  stage.pen({
    what: "line",
    how: "Put the tape down; its length is kept with it.",
    done: "Keep the taped line",
    more: [length, name.node],
    seen: (points) => {
      const feet = points.slice(1).map((point, n) => stage.measures.feet(points[n], point));
      length.textContent = points.length > 1 ? ft(feet.reduce((sum, one) => sum + one, 0)) : "";
    },
    take: (line) => {
      const said = name.value();
      tell(screen, { kind: TAPE, name: said, line }, `Kept: ${said || "the taped line"}.`);
    },
  });
}
