// What can be done to a piece, each as a sentence under it.
// @ts-check
import { ask, desk } from "./desk.js";
import { Corners } from "./corners.js";
import { inside } from "./crossing.js";
import { Loupe } from "./loupe.js";
import { ft, isSmall, L, latLng, ROUND, sign } from "./on_map.js";
import { button, choiceList, first, numberBox, para } from "./parts.js";
import { choosePicture } from "./pictures.js";
import { takePins } from "./pins.js";
import { el } from "./say.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./stage.js").Stage} Stage */
/**
 * What it goes by, its sentence, what begins it, and when it can be done.
 * @typedef {[string, string, (stage: Stage) => any, (stage: Stage) => boolean]} Tool
 */

const whole = (/** @type {Stage} */ stage) => stage.shape().length > 0;

/** Move, put in and take out corners. @param {Stage} stage */
function moveCorners(stage) {
  const some = el("p", { class: "soft" });
  const { nudge_ft, nudge_more_ft } = stage.figures;
  const small = isSmall();
  const corners = new Corners(stage, {
    show: (at, shape) => loupe.show(at, shape),
    laid: (seen, all) => {
      const text = `${seen} of ${all} corners can be taken here; come nearer for the others.`;
      some.textContent = seen < all ? text : "";
    },
  });
  const loupe = new Loupe(stage, corners);
  stage.take({
    enable: () => {
      stage.panel(
        para(
          small
            ? "Tap a corner to choose it; drag it, or move it by the arrows."
            : "Drag a corner, or the point in the middle of an edge to put one in.",
        ),
        para(
          `With keys: Tab goes from corner to corner; arrows move it ${nudge_ft} ft, with Shift ` +
            `${nudge_more_ft} ft; Insert puts one in after it, Delete takes it out.`,
          "keys",
        ),
        some,
      );
      // on a small screen the bar stands where the thumb is, right under the map
      if (small) stage.place.after(loupe.node);
      else stage.box.append(loupe.node);
      corners.enable();
      if (small) corners.step(0);
    },
    disable: () => {
      corners.disable();
      loupe.node.remove();
    },
    changed: () => corners.lay(),
  });
}

/** @param {Stage} stage */
function split(stage) {
  const name = stage.area || "New piece";
  stage.pen({
    what: "line",
    how: "Put the line across the piece, from outside one edge to outside another.",
    done: "Split it by this line",
    take: (line) =>
      stage.operate("split", { line }, "split by a line", {
        name: (n) => `${name} ${n + 2}`,
        kind: stage.edge?.kind,
      }),
  });
}

/** @param {Stage} stage */
function hole(stage) {
  stage.pen({
    what: "ring",
    how: "Put the corners of the hole, inside the piece. It is taken off its acres.",
    done: "Cut this hole",
    take: (corners) => {
      const part = stage.shape().findIndex(([edge]) => inside(corners[0], edge));
      if (stage.act({ do: "hole", part: Math.max(part, 0), corners })) stage.leave();
    },
  });
}

/** What lies beside the piece as it is drawn, the nearest first. @param {Stage} stage */
const others = async ({ area, steps: { now } }) =>
  (await ask("beside", { area, polygons: now.shape, out: now.out })).beside;

/**
 * What is asked to choose one of them; a row says how far it is, where it does not touch.
 * @param {any[]} rows @param {string} says before its name
 * @param {string} how @param {(name: string) => any} take @param {...Node} more
 */
const chooseOther = (rows, says, how, take, ...more) => [
  para(how),
  ...more,
  choiceList(
    rows.map(({ name, ft: far }) => [
      `${says} ${name}${far ? `, ${ft(far)} away` : ""}`,
      () => take(name),
    ]),
  ),
];

/** @param {Stage} stage */
const join = (stage) =>
  stage.asksAfter(async () => {
    const rows = (await others(stage)).filter((/** @type {any} */ one) => one.joins);
    const how = rows.length
      ? "The other piece becomes part of this one and leaves the list."
      : "No other piece touches this one. Let its edge follow a neighbor’s first, then join them.";
    return chooseOther(rows, "Join with", how, (name) =>
      stage.operate("join", { areas: [name] }, `joined with ${name}`, { out: [name] }),
    );
  });

/** @param {Stage} stage */
const follow = (stage) =>
  stage.asksAfter(async () => {
    const within = numberBox("within-ft", "Only where it is nearer than (feet)", 15);
    const how = "Where this edge runs beside the neighbor’s, it is laid on it; elsewhere it stays.";
    const take = (/** @type {string} */ name) => {
      const more = { areas: [name], within_ft: within.value() };
      stage.operate("snap", more, `laid on the edge of ${name}`);
    };
    return chooseOther(await others(stage), "Follow", how, take, within.node);
  });

/** @param {Stage} stage */
async function clip(stage) {
  await stage.operate("clip", {}, "clipped to the property line");
}

/** @param {Stage} stage */
function straighten(stage) {
  const long = el("input", { id: "long-way", type: "checkbox" });
  stage.pen({
    what: "line",
    how: "Point at two corners: the edge between them becomes straight.",
    done: "Make it straight",
    most: 2,
    words: ["The first corner", "The second corner"],
    at: (place) => stage.nearest(place, stage.shape().flat(2)),
    more: [el("label", { class: "yes" }, long, "The longer way round")],
    take: async ([from, to]) => {
      const more = { from, to, long_way: long.checked };
      await stage.operate("straighten", more, "an edge straightened");
      stage.leave();
    },
  });
}

/** @param {Stage} stage */
function trim(stage) {
  const spur = numberBox("spur-ft", "Spurs narrower than (feet) are cut off", 20);
  const notch = numberBox("notch-ft", "Notches narrower than (feet) are filled", 0);
  stage.asks(
    para("A spur is a tongue of ground that sticks out; a notch runs into it."),
    spur.node,
    notch.node,
    first("Cut them off", () => {
      const more = { spur_ft: spur.value() || undefined, notch_ft: notch.value() || undefined };
      stage.operate("trim", more, "spurs and notches taken off");
    }),
  );
}

/** @param {Stage} stage */
function takeFix(stage) {
  const fixes = stage.edge.walk.aside.map((/** @type {any} */ fix) => [fix.lon, fix.lat]);
  const signs = fixes.map((/** @type {Corner} */ fix) => sign(fix, "fix", "×"));
  const shown = L.layerGroup(signs).addTo(stage.map);
  stage.map.fitBounds([...fixes, ...stage.shape().flat(2)].map(latLng), ROUND);
  stage.pen({
    what: "place",
    how: `Points left out of the walk: ${fixes.length}. Point at one: it becomes a corner.`,
    at: (place) => stage.nearest(place, fixes),
    take: async ([place]) => {
      await stage.operate("take_in", { place }, "a corner put in at a point of the walk");
      stage.leave();
    },
    gone: () => shown.remove(),
  });
}

/** A new edge, the first of a piece or a further part of it. @param {Stage} stage */
export function newRing(stage) {
  const before = stage.shape();
  stage.pen({
    what: "ring",
    how: "Put the corners one after another, round the piece; the first again closes it.",
    done: "Close the edge",
    more: before.length ? [] : [button("Take pins of a phone instead", () => takePins(stage))],
    seen: (points) => stage.show(points.length > 2 ? [...before, [points]] : before, true),
    take: (corners) => {
      if (stage.act({ do: "ring", corners })) stage.leave();
    },
    gone: () => stage.show(stage.shape(), false),
  });
}

/** A road or firebreak: a line with a width becomes a piece. @param {Stage} stage */
export function wideLine(stage) {
  const width = numberBox("line-width", "How wide it is (feet)", 12);
  stage.pen({
    what: "line",
    how: "Put the middle of the road or firebreak.",
    done: "This is its line",
    more: [width.node],
    take: (line) => {
      const width_ft = width.value();
      const ft_per_px = stage.ftPerPx();
      stage.operate("line", { line, width_ft }, `a line ${width_ft} ft wide`, { ft_per_px });
    },
  });
}

const beside = (/** @type {Stage} */ stage) =>
  whole(stage) && (desk.ground?.areas || []).length > +!!stage.area;
const lined = (/** @type {Stage} */ stage) => whole(stage) && !!desk.ground?.line;
const walked = (/** @type {Stage} */ stage) => !!stage.edge?.walk?.aside?.length;

/** @type {Tool[]} */
export const PIECE_TOOLS = [
  ["move", "Move its corners", moveCorners, whole],
  ["split", "Split it by a line", split, whole],
  ["hole", "Cut a hole", hole, whole],
  ["join", "Join with …", join, beside],
  ["clip", "Clip to the property line", clip, lined],
  ["follow", "Follow the neighbor’s edge", follow, beside],
  ["straighten", "Straighten between two corners", straighten, whole],
  ["trim", "Cut off a spur", trim, whole],
  ["fix", "Take in a point of the walk that was left out", takeFix, walked],
  ["pins", "Take pins of a phone as its corners", takePins, () => true],
  ["under", "Lay a picture under it", choosePicture, () => true],
  ["part", "Draw a further part of it", newRing, whole],
];
