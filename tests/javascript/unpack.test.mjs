import assert from "node:assert/strict";
import { test } from "node:test";
import { cases, load } from "./load.mjs";

const { column, flat, run, whole } = load(["unpack.js"], ["column", "flat", "run", "whole"]);

test("whole numbers come back, negative ones and large ones too", () => {
  for (const [text, numbers] of cases.whole) assert.deepEqual(whole(text), numbers);
  assert.deepEqual(whole(""), []);
});

test("records come back as they were packed, with null for a key that one has not", () => {
  assert.ok(cases.packed.length > 3);
  for (const [packed, records] of cases.packed)
    assert.deepEqual(column(packed, records.length), records);
});

test("a line comes back to a millionth of a degree, latitude first", () => {
  for (const [text, points] of cases.lines) {
    const back = run(text);
    assert.equal(back.length, points.length);
    back.forEach(([lat, lon], i) => {
      assert.ok(Math.abs(lon - points[i][0]) <= 6e-7 && Math.abs(lat - points[i][1]) <= 6e-7);
    });
  }
});

test("metres east and north are those of the ellipsoid, within a part in ten thousand", () => {
  for (const { from, to, east, north } of cases.metres) {
    const [[zeroEast, zeroNorth], [e, n]] = flat([from, to]);
    assert.deepEqual([zeroEast, zeroNorth], [0, 0]);
    assert.ok(Math.abs(e - east) <= 1e-4 * Math.abs(east) + 1e-3, `${e} east, not ${east}`);
    assert.ok(Math.abs(n - north) <= 1e-4 * Math.abs(north) + 1e-3, `${n} north, not ${north}`);
  }
  assert.deepEqual(flat([[34, -87]], [34, -87]), [[0, 0]]);
});
