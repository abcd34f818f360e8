import assert from "node:assert/strict";
import { test } from "node:test";
import { desk } from "./load.mjs";

const { alike } = await desk("alike.js");
const ground = () => ({
  areas: [{ name: "North", acres: 6.921846179318132 }],
  line: null,
  total: 0,
});

test("last digits make no difference, all else does", () => {
  const other = ground();
  other.areas[0].acres = 6.921846179318133;
  assert.ok(alike(ground(), other));
  const [area] = ground().areas;
  for (const changed of [
    { ...ground(), areas: [{ ...area, acres: 6.9219 }] },
    { ...ground(), areas: [{ ...area, name: "South" }] },
    { ...ground(), areas: [area, area] },
    { ...ground(), areas: { 0: area } },
    { ...ground(), line: { type: "Polygon" } },
    { ...ground(), more: null },
    { ...ground(), total: "0" },
    { areas: [area], line: null },
  ]) {
    assert.ok(!alike(ground(), changed), JSON.stringify(changed));
    assert.ok(!alike(changed, ground()), JSON.stringify(changed));
  }
});
