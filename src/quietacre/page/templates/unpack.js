// The data come packed by column; page/pack.py says how. Nothing here needs a page.
const SIGNS = new Uint8Array(128);
[..."ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"].forEach((c, i) => {
  SIGNS[c.charCodeAt(0)] = i;
});
/**
 * Whole numbers out of the text that packs them.
 * @param {string} text
 * @returns {number[]}
 */
function whole(text) {
  const out = [];
  for (let i = 0, v = 0, bit = 0; i < text.length; i++) {
    const d = SIGNS[text.charCodeAt(i)];
    v += (d & 31) << bit;
    bit += 5;
    if (d < 32) {
      out.push(v & 1 ? -((v + 1) / 2) : v / 2);
      v = bit = 0;
    }
  }
  return out;
}
/**
 * A column of n values, out of whichever way it is packed.
 * @param {any} c
 * @param {number} n
 * @returns {any[]}
 */
function column(c, n) {
  if (Array.isArray(c)) return c;
  if ("=" in c) return new Array(n).fill(c["="]);
  if (c.of) {
    const all = column(c.of, c.d);
    return whole(c.at).map((i) => all[i]);
  }
  if (c.in) {
    const counts = whole(c.rows),
      all = column(
        c.in,
        counts.reduce((a, k) => a + Math.max(k, 0), 0),
      );
    let at = 0;
    return counts.map((k) => {
      if (k < 0) return null;
      at += k;
      return all.slice(at - k, at);
    });
  }
  const none = new Set(whole(c.no)),
    made = /** @type {Record<string, any[]>} */ ({}),
    out = [];
  for (const k in c.keys)
    made[k] = typeof c.keys[k] === "string" ? made[c.keys[k]] : column(c.keys[k], n - none.size);
  for (let i = 0, j = 0; i < n; i++) {
    if (none.has(i)) {
      out.push(null);
      continue;
    }
    const record = /** @type {Record<string, any>} */ ({});
    for (const k in made) record[k] = made[k][j];
    out.push(record);
    j += 1;
  }
  return out;
}
// places come as steps of a millionth of a degree, each from the one before
const STEP = 1e6;
/**
 * Latitude and longitude of each point of a ring or line. [deg]
 * @param {string} text
 * @returns {[number, number][]}
 */
function run(text) {
  const out = /** @type {[number, number][]} */ ([]),
    steps = whole(text);
  for (let i = 0, x = 0, y = 0; i < steps.length; i += 2) {
    x += steps[i];
    y += steps[i + 1];
    out.push([y / STEP, x / STEP]);
  }
  return out;
}
const D2R = Math.PI / 180;
/**
 * Metres east and north of the first point, on the ellipsoid's two radii there.
 * @param {[number, number][]} pts latitude and longitude [deg]
 * @param {[number, number]} [from] the point that counts as first
 * @returns {[number, number][]}
 */
function flat(pts, from) {
  const o = from || pts[0],
    s = Math.sin(o[0] * D2R),
    e2 = 0.0066943799901413165,
    w = 1 - e2 * s * s;
  const north = ((6378137 * (1 - e2)) / w ** 1.5) * D2R,
    east = (6378137 / Math.sqrt(w)) * Math.cos(o[0] * D2R) * D2R;
  return pts.map((p) => [(p[1] - o[1]) * east, (p[0] - o[0]) * north]);
}
