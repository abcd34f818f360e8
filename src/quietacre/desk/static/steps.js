// What is drawn: one shape at a time, never changed in place, and every step before and after.
// Needs no page.
// @ts-check
import { crossing, misplaced } from "./crossing.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./measures.js").Shape} Shape */
/** @typedef {import("./measures.js").Measures} Measures */
/** @typedef {import("./crossing.js").Fault} Fault */
/** @typedef {{part: number, ring: number, corner: number}} At one corner of a shape */
/** @typedef {{name: string, kind: string, shape: Shape}} More a further piece */
/**
 * @typedef {object} Step
 * @property {string} label what was done last
 * @property {Shape} shape
 * @property {At | null} at the corner that was changed
 * @property {number | null} ft_per_px the coarsest scale at which a hand put a corner
 * @property {More[]} more
 * @property {string[]} out areas that are taken out, as a join does
 */
/** @typedef {{done: Step[], now: Step, undone: Step[]}} Steps */
/**
 * @typedef {{do: "move", at: At, to: Corner, ft_per_px?: number}
 *   | {do: "nudge", at: At, east_ft: number, north_ft: number, ft_per_px?: number}
 *   | {do: "insert", at: At, to?: Corner, ft_per_px?: number}
 *   | {do: "delete", at: At}
 *   | {do: "ring", corners: Corner[], ft_per_px?: number}
 *   | {do: "hole", part: number, corners: Corner[], ft_per_px?: number}
 *   | {do: "become", shape: Shape, label: string, more?: More[], out?: string[],
 *      ft_per_px?: number}
 *   | {do: "undo"} | {do: "redo"}} Act
 */

/** Corners that every ring has. */
export const LEAST = 3;
/** Steps that are remembered. */
const MOST_STEPS = 200;

/** Letters of a drawing that waits; the desk takes a little more. */
const MOST_DRAFT = 900_000;

const CROSS = "Edges would cross here, so nothing was changed.";
const FEW = "An edge has three corners at least, so this one stays.";

/**
 * @param {Shape} shape
 * @param {string} [label]
 * @returns {Steps}
 */
export const begun = (shape, label = "as it stands") => ({
  done: [],
  now: { label, shape, at: null, ft_per_px: null, more: [], out: [] },
  undone: [],
});

/** The corner at a place. @param {Shape} shape @param {At} at */
export const cornerAt = (shape, at) => shape[at.part][at.ring][at.corner];

/**
 * A shape with one ring put in place of another; all the rest is shared.
 * @param {Shape} shape @param {At} at @param {Corner[]} ring
 * @returns {Shape}
 */
const withRing = (shape, at, ring) =>
  shape.map((rings, p) =>
    p === at.part ? rings.map((one, r) => (r === at.ring ? ring : one)) : rings,
  );

/** @param {Shape} shape @param {At} at @param {Corner} to */
export const moved = (shape, at, to) =>
  withRing(
    shape,
    at,
    shape[at.part][at.ring].map((corner, n) => (n === at.corner ? to : corner)),
  );

/** @param {Shape} shape @param {At} at @param {Corner} to put in after the corner */
export const inserted = (shape, at, to) => {
  const ring = shape[at.part][at.ring];
  return withRing(shape, at, [...ring.slice(0, at.corner + 1), to, ...ring.slice(at.corner + 1)]);
};

/**
 * The corner before or after another one on its ring.
 * @param {Shape} shape @param {At} at @param {number} by
 * @returns {At}
 */
export function beside(shape, at, by) {
  const count = shape[at.part][at.ring].length;
  return { ...at, corner: (((at.corner + by) % count) + count) % count };
}

/** The middle of the edge after a corner. @param {Shape} shape @param {At} at @returns {Corner} */
export function middle(shape, at) {
  const [lon, lat] = cornerAt(shape, at);
  const [lon2, lat2] = cornerAt(shape, beside(shape, at, 1));
  return [(lon + lon2) / 2, (lat + lat2) / 2];
}

/** @typedef {{shape: Shape, at: At | null, label: string, edges?: number[]}} Made */

/**
 * A shape whose ring lost its third corner: a hole is filled, a further part goes; the last edge
 * stays.
 * @param {Shape} shape @param {At} at
 * @returns {Made | Fault}
 */
function withoutRing(shape, at) {
  if (at.ring) {
    const rings = shape[at.part].filter((_, r) => r !== at.ring);
    const filled = shape.map((one, p) => (p === at.part ? rings : one));
    return { shape: filled, at: null, label: "a hole filled" };
  }
  if (shape.length === 1) return { text: FEW, at: cornerAt(shape, at) };
  const rest = shape.filter((_, p) => p !== at.part);
  return { shape: rest, at: null, label: "a part taken out" };
}

/** @param {Step} now @param {Act} act @param {Measures} measures @returns {Made | Fault} */
function make(now, act, measures) {
  const { shape } = now;
  switch (act.do) {
    case "move":
    case "nudge": {
      const { at } = act;
      const from = cornerAt(shape, at);
      const to = act.do === "move" ? act.to : measures.moved(from, act.east_ft, act.north_ft);
      const how = act.do === "move" ? `moved ${Math.round(measures.feet(from, to))} ft` : "nudged";
      const label = `corner ${at.corner + 1} ${how}`;
      return { shape: moved(shape, at, to), at, label, edges: [at.corner - 1, at.corner] };
    }
    case "insert": {
      const at = { ...act.at, corner: act.at.corner + 1 };
      const label = `a corner put in after corner ${act.at.corner + 1}`;
      const to = act.to ?? middle(shape, act.at);
      return { shape: inserted(shape, act.at, to), at, label, edges: [at.corner - 1, at.corner] };
    }
    case "delete": {
      const ring = shape[act.at.part][act.at.ring];
      if (ring.length <= LEAST) return withoutRing(shape, act.at);
      const corner = Math.max(0, act.at.corner - 1);
      return {
        shape: withRing(
          shape,
          act.at,
          ring.filter((_, n) => n !== act.at.corner),
        ),
        at: { ...act.at, corner },
        label: `corner ${act.at.corner + 1} taken out`,
        edges: [act.at.corner - 1],
      };
    }
    case "ring":
      return {
        shape: [...shape, [act.corners]],
        at: { part: shape.length, ring: 0, corner: 0 },
        label: "a new edge",
      };
    case "hole": {
      const rings = [...shape[act.part], act.corners];
      return {
        shape: shape.map((one, p) => (p === act.part ? rings : one)),
        at: { part: act.part, ring: rings.length - 1, corner: 0 },
        label: "a hole cut",
      };
    }
    default:
      throw new TypeError(act.do);
  }
}

/**
 * What follows from an act: the steps after it, or the steps as they were and why.
 * @param {Steps} steps @param {Act} act @param {Measures} measures
 * @returns {{steps: Steps, refused: Fault | null}}
 */
export function after(steps, act, measures) {
  const { done, now, undone } = steps;
  const turned = (/** @type {Steps} */ made) => ({ steps: made, refused: null });
  if (act.do === "undo") {
    const [last] = done.slice(-1);
    return turned(last ? { done: done.slice(0, -1), now: last, undone: [now, ...undone] } : steps);
  }
  if (act.do === "redo") {
    const [next, ...rest] = undone;
    return turned(next ? { done: [...done, now], now: next, undone: rest } : steps);
  }
  const scale = Math.max(now.ft_per_px ?? 0, "ft_per_px" in act ? (act.ft_per_px ?? 0) : 0);
  /** @type {Step} */
  let next;
  if (act.do === "become") {
    const { shape, label, more = now.more, out = [] } = act;
    next = { ...now, shape, label, at: null, more, out: [...now.out, ...out] };
  } else {
    const made = make(now, act, measures);
    if ("text" in made) return { steps, refused: made };
    const { shape, at, label, edges } = made;
    const where = at && crossing(shape, at.part, at.ring, edges);
    if (where) return { steps, refused: { text: CROSS, at: where } };
    const wrong = misplaced(shape);
    if (wrong) return { steps, refused: wrong };
    next = { ...now, shape, at, label };
  }
  next.ft_per_px = scale || null;
  // nudges of one corner, one after another, are one step
  const more =
    act.do === "nudge" && now.label === next.label && now.at?.ring === act.at.ring && done.length;
  return {
    steps: { done: more ? done : [...done, now].slice(-MOST_STEPS), now: next, undone: [] },
    refused: null,
  };
}

/** Whether anything was drawn. @param {Steps} steps */
export const changed = (steps) => steps.done.length > 0;

/** Whether anything was drawn or taken back. @param {Steps} steps */
export const begunOn = (steps) => steps.done.length + steps.undone.length > 0;

/**
 * A drawing as it waits: with as many steps before it as are taken in one word to the desk.
 * @param {Steps} steps @param {string | undefined} was
 */
export function draftOf(steps, was) {
  // steps are about as long as the one that stands; it is told often, so it stays short
  const fit = Math.floor(MOST_DRAFT / 3 / JSON.stringify(steps.now).length);
  for (let count = Math.max(fit, 8); ; count = Math.floor(count / 2)) {
    const done = count ? steps.done.slice(-count) : [];
    const draft = { steps: { done, now: steps.now, undone: steps.undone.slice(0, count) }, was };
    if (!count || JSON.stringify(draft).length < MOST_DRAFT) return draft;
  }
}
