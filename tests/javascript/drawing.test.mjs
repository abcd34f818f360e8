import assert from "node:assert/strict";
import { test } from "node:test";
import { cases, desk } from "./load.mjs";

const { Measures } = await desk("measures.js");
const { crossing, inside, meeting } = await desk("crossing.js");
const { after, begun, begunOn, beside, changed, cornerAt, draftOf } = await desk("steps.js");

const { live, rings } = cases.drawing;
const measures = new Measures(live);

/** A square of some feet about the middle of the place. */
function square(feet, east = 0, north = 0) {
  const middle = [-86.3, live.lat_deg];
  return [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ].map(([x, y]) => measures.moved(middle, east + (x * feet) / 2, north + (y * feet) / 2));
}

/** Do one act after another; each must be taken. */
function all(steps, ...acts) {
  return acts.reduce((before, act) => {
    const { steps: next, refused } = after(before, act, measures);
    assert.equal(refused, null, refused?.text);
    return next;
  }, steps);
}

const at = (corner, ring = 0, part = 0) => ({ part, ring, corner });

test("acres and feet round are Python's", () => {
  assert.ok(rings.length >= 100);
  for (const { shape, acres, perimeter_ft } of rings) {
    assert.ok(measures.holdFor(shape));
    const off = Math.abs(measures.acres(shape) / acres - 1);
    assert.ok(off < 1e-9, `${acres} ac is off by ${off}`);
    assert.ok(Math.abs(measures.perimeterFt(shape) / perimeter_ft - 1) < 1e-7);
  }
  assert.equal(measures.holdFor([[[[-86.3, live.lat_deg + 1]]]]), false);
});

test("a corner is moved by feet, and the way back is as long", () => {
  const to = measures.moved([-86.3, 33.2], 10, -1);
  const [east, north] = measures.apartFt([-86.3, 33.2], to);
  assert.ok(Math.abs(east - 10) < 1e-4 && Math.abs(north + 1) < 1e-4);
});

test("every step can be taken back and brought again, and nothing is changed in place", () => {
  const start = begun([[square(400)]]);
  const frozen = JSON.stringify(start);
  const steps = all(
    start,
    { do: "move", at: at(2), to: measures.moved(cornerAt(start.now.shape, at(2)), 30, 40) },
    { do: "insert", at: at(0) },
    { do: "nudge", at: at(1), east_ft: 0, north_ft: 10, ft_per_px: 1.5 },
    { do: "delete", at: at(3) },
    { do: "hole", part: 0, corners: square(40, -100, -90) },
  );
  assert.equal(JSON.stringify(start), frozen);
  assert.equal(steps.done[1].label, "corner 3 moved 50 ft");
  assert.equal(steps.now.ft_per_px, 1.5);
  assert.equal(steps.now.shape[0].length, 2);
  let back = steps;
  for (let n = 0; n < 5; n++) back = all(back, { do: "undo" });
  assert.equal(JSON.stringify(back.now), JSON.stringify(start.now));
  assert.equal(changed(back), false);
  for (let n = 0; n < 5; n++) back = all(back, { do: "redo" });
  assert.equal(JSON.stringify(back), JSON.stringify(steps));
});

test("nudges of one corner in a row are one step", () => {
  const push = { do: "nudge", at: at(1), east_ft: 1, north_ft: 0 };
  const steps = all(begun([[square(400)]]), push, push, push);
  assert.equal(steps.done.length, 1);
  const [east] = measures.apartFt(steps.done[0].shape[0][0][1], steps.now.shape[0][0][1]);
  assert.ok(Math.abs(east - 3) < 1e-4);
});

test("a new act forgets what was taken back", () => {
  const push = { do: "nudge", at: at(1), east_ft: 1, north_ft: 0 };
  const steps = all(begun([[square(400)]]), push, { do: "undo" }, { do: "insert", at: at(0) });
  assert.equal(steps.undone.length, 0);
});

const refusals = [
  ["a corner over another edge", { do: "move", at: at(0), to: square(400, 500)[2] }, /cross/],
  ["a corner on its neighbor", { do: "move", at: at(0), to: square(400)[1] }, /cross/],
  ["a hole outside", { do: "hole", part: 0, corners: square(40, 900) }, /outside its piece/],
  ["a hole over the edge", { do: "hole", part: 0, corners: square(40, 200) }, /cross/],
  ["a part on another", { do: "ring", corners: square(60) }, /lie on another/],
  ["a ring that crosses itself", { do: "ring", corners: twisted() }, /cross/],
];

function twisted() {
  const [a, b, c, d] = square(100, 900);
  return [a, c, b, d];
}

for (const [name, act, words] of refusals)
  test(`refused in one sentence, with its place: ${name}`, () => {
    const steps = begun([[square(400)]]);
    const { steps: same, refused } = after(steps, act, measures);
    assert.equal(same, steps);
    assert.match(refused.text, words);
    assert.match(refused.text, /^[^.]+\.$/);
    assert.ok(refused.at.every(Number.isFinite));
  });

test("the last three corners stay", () => {
  const steps = all(begun([[square(400)]]), { do: "delete", at: at(0) });
  assert.match(after(steps, { do: "delete", at: at(0) }, measures).refused.text, /three corners/);
});

test("with its third corner a hole is filled and a further part goes, and both come back", () => {
  const cut = all(
    begun([[square(400)]]),
    { do: "hole", part: 0, corners: square(40).slice(1) },
    { do: "ring", corners: square(60, 900).slice(1) },
  );
  const filled = all(cut, { do: "delete", at: at(1, 1) });
  assert.equal(filled.now.shape[0].length, 1);
  assert.equal(filled.now.label, "a hole filled");
  const alone = all(filled, { do: "delete", at: at(0, 0, 1) });
  assert.equal(alone.now.shape.length, 1);
  assert.deepEqual(all(alone, { do: "undo" }, { do: "undo" }).now, cut.now);
});

test("edges that meet, touch or lie on each other", () => {
  assert.deepEqual(meeting([0, 0], [2, 2], [0, 2], [2, 0]), [1, 1]);
  assert.equal(meeting([0, 0], [1, 0], [0, 1], [1, 1]), null);
  assert.deepEqual(meeting([0, 0], [2, 0], [1, 0], [1, 5]), [1, 0]);
  assert.ok(inside([0.5, 0.5], [[0, 0], [1, 0], [1, 1], [0, 1]])); // biome-ignore format: one ring
  const spike = [[[[0, 0], [4, 0], [4, 4], [2, 0]]]]; // biome-ignore format: one ring
  assert.ok(crossing(spike, 0, 0));
  const three = [[[[0, 0], [4, 0], [4, 4]]]]; // biome-ignore format: one ring
  assert.equal(crossing(three, 0, 0), null);
});

/** Numbers that look random and are the same each time. */
function numbers(seed) {
  let state = seed;
  return () => {
    state = (state * 1664525 + 1013904223) % 4294967296;
    return state / 4294967296;
  };
}

test("no chain of acts makes edges cross, and undo gives the same back", () => {
  for (let seed = 1; seed <= 300; seed++) {
    const next = numbers(seed);
    let steps = begun([[square(400)]]);
    const first = JSON.stringify(steps.now.shape);
    let taken = 0;
    for (let n = 0; n < 12; n++) {
      const ring = steps.now.shape[0][0];
      const place = at(Math.floor(next() * ring.length));
      const east = (next() - 0.5) * 300;
      const north = (next() - 0.5) * 300;
      const kind = next();
      const act =
        kind < 0.5
          ? { do: "move", at: place, to: measures.moved(ring[place.corner], east, north) }
          : kind < 0.8
            ? { do: "insert", at: place }
            : { do: "delete", at: place };
      const made = after(steps, act, measures);
      if (!made.refused) taken += 1;
      steps = made.steps;
      for (const [n, rings] of steps.now.shape.entries())
        for (const r of rings.keys()) assert.equal(crossing(steps.now.shape, n, r), null);
    }
    for (; taken; taken--) steps = all(steps, { do: "undo" });
    assert.equal(JSON.stringify(steps.now.shape), first);
  }
});

test("the corner after the last is the first", () => {
  assert.deepEqual(beside([[square(9)]], at(3), 1), at(0));
  assert.deepEqual(beside([[square(9)]], at(0), -1), at(3));
});

test("a drawing that waits takes as many steps along as go into one word to the desk", () => {
  const round = (corners) =>
    Array.from({ length: corners }, (_, n) => {
      const turn = (2 * Math.PI * n) / corners;
      return measures.moved([-86.3, 33.2], 2000 * Math.cos(turn), 2000 * Math.sin(turn));
    });
  for (const [corners, kept] of [
    [50, 10],
    [4000, 4],
    [9000, 1],
  ]) {
    let steps = begun([[round(corners)]]);
    for (let n = 0; n < 10; n++)
      steps = all(steps, { do: "nudge", at: at(n), east_ft: 0, north_ft: 0.1 });
    const draft = draftOf(steps, "hex");
    assert.equal(draft.was, "hex");
    assert.equal(draft.steps.done.length, kept);
    assert.equal(draft.steps.now, steps.now);
    assert.ok(JSON.stringify(draft).length < 900_000);
  }
});

test("a drawing that waits takes along what was taken back", () => {
  let steps = begun([[square(9)]]);
  for (const corner of [0, 1, 2])
    steps = all(steps, { do: "nudge", at: at(corner), east_ft: 0, north_ft: 0.1 });
  const last = steps.now;
  steps = all(steps, { do: "undo" }, { do: "undo" }, { do: "undo" });
  assert.equal(changed(steps), false);
  assert.equal(begunOn(steps), true);
  let again = JSON.parse(JSON.stringify(draftOf(steps, "hex"))).steps;
  again = all(again, { do: "redo" }, { do: "redo" }, { do: "redo" });
  assert.deepEqual(again.now, last);
});
