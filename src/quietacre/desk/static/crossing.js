// Whether edges cross, and where: what a drawn piece must not do. Needs no page.
// @ts-check

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./measures.js").Shape} Shape */
/** @typedef {{text: string, at: Corner}} Fault why a change is not taken, and where */

/** Above 0 where c lies left of a to b. @param {Corner} a @param {Corner} b @param {Corner} c */
const side = (a, b, c) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);

/** @param {Corner} one @param {Corner} other */
export const same = (one, other) => one[0] === other[0] && one[1] === other[1];

/** Whether c, on the line through a and b, lies between them. */
const between = (/** @type {Corner} */ a, /** @type {Corner} */ b, /** @type {Corner} */ c) =>
  Math.min(a[0], b[0]) <= c[0] &&
  c[0] <= Math.max(a[0], b[0]) &&
  Math.min(a[1], b[1]) <= c[1] &&
  c[1] <= Math.max(a[1], b[1]);

/**
 * Where two edges meet, null where they do not.
 * @param {Corner} a @param {Corner} b @param {Corner} c @param {Corner} d
 * @returns {Corner | null}
 */
export function meeting(a, b, c, d) {
  const c1 = side(a, b, c);
  const d1 = side(a, b, d);
  const a2 = side(c, d, a);
  const b2 = side(c, d, b);
  if (c1 * d1 < 0 && a2 * b2 < 0) {
    const along = c1 / (c1 - d1);
    return [c[0] + along * (d[0] - c[0]), c[1] + along * (d[1] - c[1])];
  }
  if (c1 === 0 && between(a, b, c)) return c;
  if (d1 === 0 && between(a, b, d)) return d;
  if (a2 === 0 && between(c, d, a)) return a;
  if (b2 === 0 && between(c, d, b)) return b;
  return null;
}

/** Whether a place lies inside a ring. @param {Corner} place @param {Corner[]} ring */
export function inside(place, ring) {
  let within = false;
  for (let n = 0, last = ring.length - 1; n < ring.length; last = n++) {
    const a = ring[n];
    const b = ring[last];
    if (a[1] > place[1] !== b[1] > place[1]) {
      const lon = a[0] + ((place[1] - a[1]) / (b[1] - a[1])) * (b[0] - a[0]);
      if (place[0] < lon) within = !within;
    }
  }
  return within;
}

/** Whether two edges that share a corner lie on each other. */
const folded = (
  /** @type {Corner} */ from,
  /** @type {Corner} */ corner,
  /** @type {Corner} */ to,
) => {
  const ahead = (to[0] - corner[0]) * (from[0] - corner[0]);
  const up = (to[1] - corner[1]) * (from[1] - corner[1]);
  return side(from, corner, to) === 0 && ahead + up > 0;
};

/**
 * Where edges of a ring cross other edges of the shape.
 * @param {Shape} shape @param {number} part @param {number} ring
 * @param {number[]} [changed] edges to look at, each by its first corner; all when not given
 * @returns {Corner | null}
 */
export function crossing(shape, part, ring, changed) {
  const mine = shape[part][ring];
  const count = mine.length;
  for (const n of changed ?? mine.keys()) {
    const first = ((n % count) + count) % count;
    const a = mine[first];
    const b = mine[(first + 1) % count];
    if (same(a, b)) return a;
    for (const polygon of shape)
      for (const other of polygon)
        for (let m = 0; m < other.length; m++) {
          const c = other[m];
          const d = other[(m + 1) % other.length];
          if (other === mine) {
            if (m === first) continue;
            if ((m + 1) % count === first) {
              if (folded(c, a, b)) return a;
              if (count > 3 || !same(c, b)) continue;
            }
            if ((first + 1) % count === m) {
              if (folded(a, b, d)) return b;
              continue;
            }
          }
          const at = meeting(a, b, c, d);
          if (at) return at;
        }
  }
  return null;
}

/**
 * A hole that is no longer inside its piece, or a part inside another part.
 * @param {Shape} shape
 * @returns {Fault | null}
 */
export function misplaced(shape) {
  for (const [edge, ...holes] of shape) {
    for (const hole of holes) {
      if (!inside(hole[0], edge))
        return {
          text: "The hole would lie outside its piece, so nothing was changed.",
          at: hole[0],
        };
      const round = holes.find((other) => other !== hole && inside(hole[0], other));
      if (round)
        return { text: "One hole would lie in another, so nothing was changed.", at: hole[0] };
    }
  }
  for (const [n, [edge]] of shape.entries())
    for (const [m, [other, ...holes]] of shape.entries())
      if (n !== m && inside(edge[0], other) && !holes.some((hole) => inside(edge[0], hole)))
        return { text: "One part would lie on another, so nothing was changed.", at: edge[0] };
  return null;
}
