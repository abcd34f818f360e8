// What is asked before a drawing is kept: names, a draft that waits, an edge that another changed.
// @ts-check
import { ask, tryIt } from "./desk.js";
import { DOUBT, DRAWN, L, latLngs } from "./on_map.js";
import { button, first, para, tools } from "./parts.js";
import { say } from "./say.js";
import { open } from "./stage.js";

/** @typedef {import("./drawing.js").Drawing} Drawing */

/**
 * A drawing that was begun and neither kept nor let go.
 * @param {Drawing} drawing @param {any} draft */
export function offerDraft(drawing, draft) {
  const { stage } = drawing;
  const { done, undone, now } = draft.steps;
  const steps = (/** @type {any[]} */ some) => `${some.length} step${some.length === 1 ? "" : "s"}`;
  const old = drawing.what.edge && draft.was !== drawing.what.edge.was;
  stage.panel(
    para(
      `A drawing of it was begun and not kept: ${steps(done)}, the last “${now.label}”` +
        `${undone?.length ? `; ${steps(undone)} taken back can be brought again` : ""}.` +
        (old ? " The piece was changed since; keeping it will show both." : ""),
    ),
    tools(
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
  const style = { ...DRAWN, color: DOUBT, dashArray: "4 8", fill: false };
  const layer = L.polygon(latLngs(theirs), style).addTo(stage.map);
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
        tools(
          first("Keep mine over it", () => settle(() => drawing.keep())),
          button("Go on from theirs", () =>
            settle(() => stage.act({ do: "become", shape: theirs, label: "theirs taken" })),
          ),
        ),
      ),
    disable: () => layer.remove(),
  });
}
