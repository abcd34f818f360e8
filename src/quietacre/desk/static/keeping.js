// What is asked before a drawing is kept: names, a draft that waits, an edge that another changed.
// @ts-check
import { ask, tryIt } from "./desk.js";
import { DOUBT, L, latLngs } from "./on_map.js";
import { button, first, para, pieceBoxes } from "./parts.js";
import { el, say } from "./say.js";
import { open } from "./stage.js";

/** @typedef {import("./drawing.js").Drawing} Drawing */

/**
 * Boxes for the name and kind of a new piece.
 * @param {Drawing} drawing @param {number} n @param {string} name @param {string} kind
 */
export function askPiece(drawing, n, name, kind) {
  const id = n < 0 ? "piece-name" : `piece-name-${n}`;
  const { input, kinds, nodes } = pieceBoxes(
    id,
    n < 0 ? "Its name" : "Name of the other piece",
    drawing.names[n] ?? name,
    drawing.kinds[n] ?? kind,
  );
  input.addEventListener("input", () => {
    drawing.names[n] = input.value;
  });
  kinds.addEventListener("change", () => {
    drawing.kinds[n] = kinds.value;
  });
  return el("div", { "data-piece": n }, ...nodes);
}

/**
 * A drawing that was begun and neither kept nor let go.
 * @param {Drawing} drawing @param {any} draft */
export function offerDraft(drawing, draft) {
  const { stage } = drawing;
  const count = draft.steps.done.length;
  const old = drawing.what.edge && draft.was !== drawing.what.edge.was;
  stage.panel(
    para(
      `A drawing of it was begun and not kept: ${count} ${count === 1 ? "step" : "steps"}, ` +
        `the last “${draft.steps.now.label}”.` +
        (old ? " The piece was changed since; keeping it will show both." : ""),
    ),
    el(
      "p",
      { class: "tools" },
      first("Go on with it", () => {
        if (drawing.what.edge) drawing.what.edge.was = draft.was;
        stage.panel();
        stage.goOn(draft.steps);
        stage.sentences();
      }),
      button("Let it go", () => {
        drawing.tellDraft(null);
        stage.panel();
        if (!drawing.what.area) drawing.first();
      }),
    ),
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
    color: DOUBT,
    weight: 3,
    dashArray: "4 8",
    fill: false,
    interactive: false,
  }).addTo(stage.map);
  /** @param {() => any} then */
  const settle = (then) =>
    tryIt(async () => {
      drawing.what.edge = await ask(`edge?area=${encodeURIComponent(drawing.what.area)}`);
      stage.leave();
      await then();
    });
  say(data.why || "Another hand changed this edge meanwhile.", "doubts");
  stage.take({
    enable: () =>
      stage.panel(
        para(
          "Another hand changed this edge since you began. Yours is drawn whole, theirs " +
            "dashed; nothing was kept yet.",
        ),
        el(
          "p",
          { class: "tools" },
          first("Keep mine over it", () => settle(() => drawing.keep())),
          button("Go on from theirs", () =>
            settle(() => stage.act({ do: "become", shape: theirs, label: "theirs taken" })),
          ),
        ),
      ),
    disable: () => layer.remove(),
  });
}
