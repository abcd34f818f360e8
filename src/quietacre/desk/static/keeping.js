// What is asked before a drawing is kept: names, a draft that waits, an edge that another changed.
// @ts-check
import { ask, desk, tryIt } from "./desk.js";
import { el, say } from "./say.js";
import { latLngs, open } from "./stage.js";

/** @typedef {import("./drawing.js").Drawing} Drawing */

/** @type {any} */
const L = /** @type {any} */ (window).L;

/**
 * Boxes for the name and kind of a new piece.
 * @param {Drawing} drawing @param {number} n @param {string} name @param {string} kind
 */
export function askPiece(drawing, n, name, kind) {
  const id = n < 0 ? "piece-name" : `piece-name-${n}`;
  const input = el("input", { id, type: "text", value: drawing.names[n] ?? name });
  input.addEventListener("input", () => {
    drawing.names[n] = input.value;
  });
  const kinds = el(
    "select",
    { id: `${id}-kind` },
    ...desk.start.kinds.map((/** @type {any} */ one) =>
      el("option", {
        value: one.kind,
        text: one.word,
        selected: one.kind === (drawing.kinds[n] ?? kind),
      }),
    ),
  );
  kinds.addEventListener("change", () => {
    drawing.kinds[n] = kinds.value;
  });
  return el(
    "div",
    { class: "field", "data-piece": n },
    el("label", { for: id, text: n < 0 ? "Its name" : "Name of the other piece" }),
    input,
    el("label", { for: `${id}-kind`, text: "What it is" }),
    kinds,
  );
}

/**
 * A drawing that was begun and neither kept nor let go.
 * @param {Drawing} drawing @param {any} draft */
export function offerDraft(drawing, draft) {
  const { stage } = drawing;
  const count = draft.steps.done.length;
  const old = drawing.what.edge && draft.was !== drawing.what.edge.was;
  stage.panel(
    el("p", {
      text:
        `A drawing of it was begun and not kept: ${count} ${count === 1 ? "step" : "steps"}, ` +
        `the last “${draft.steps.now.label}”.` +
        (old ? " The piece was changed since; keeping it will show both." : ""),
    }),
    el("button", {
      class: "first",
      text: "Go on with it",
      on: {
        click: () => {
          if (drawing.what.edge) drawing.what.edge.was = draft.was;
          stage.panel();
          stage.goOn(draft.steps);
          drawing.sentences();
        },
      },
    }),
    " ",
    el("button", {
      text: "Let it go",
      on: {
        click: () => {
          drawing.tellDraft(null);
          stage.panel();
          if (!drawing.what.area) drawing.first();
        },
      },
    }),
  );
}

/**
 * Another hand changed this edge: both are shown, nothing is lost.
 * @param {Drawing} drawing @param {any} data */
export function showClash(drawing, data) {
  const { stage } = drawing;
  const theirs = open(data.theirs);
  const layer = L.polygon(latLngs(theirs), {
    pane: "drawn",
    color: "#8a2c0d",
    weight: 3,
    dashArray: "4 8",
    fill: false,
    interactive: false,
  }).addTo(stage.map);
  const settle = async () => {
    layer.remove();
    drawing.what.edge = await ask(`edge?area=${encodeURIComponent(drawing.what.area)}`);
    stage.panel();
    drawing.sentences();
  };
  say(data.why || "Another hand changed this edge meanwhile.", "doubts");
  stage.take({
    enable: () =>
      stage.panel(
        el("p", {
          text:
            "Another hand changed this edge since you began. Yours is drawn whole, theirs " +
            "dashed; nothing was kept yet.",
        }),
        el("button", {
          class: "first",
          text: "Keep mine over it",
          on: {
            click: () =>
              tryIt(async () => {
                await settle();
                await drawing.keep();
              }),
          },
        }),
        " ",
        el("button", {
          text: "Go on from theirs",
          on: {
            click: () =>
              tryIt(async () => {
                await settle();
                stage.act({ do: "become", shape: theirs, label: "theirs taken" });
                stage.leave();
              }),
          },
        }),
      ),
    disable: () => layer.remove(),
  });
  drawing.sentences();
}
