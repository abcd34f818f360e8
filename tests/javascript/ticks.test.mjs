import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const NAMES = ["csvCell", "newTickId", "readStore", "standing", "tickFile", "unlogged", "without"];
const TICKS = {
  place: "xwvtsrqpn",
  letters: "bcdfghjkmnpqrstvwxz",
  own_letters: 5,
  column: "place_id",
  undo: "undo",
  runs: ["=", "+", "-", "@"],
  quote: "'",
  logged: [],
};
const shelf = new Map();
const localStorage = {
  getItem: (/** @type {string} */ key) => shelf.get(key) ?? null,
  setItem: (/** @type {string} */ key, /** @type {string} */ text) => shelf.set(key, text),
  removeItem: (/** @type {string} */ key) => shelf.delete(key),
};
const page = load(["ticks.js"], NAMES, { D: { ticks: TICKS }, TODAY: "2027-07-04", localStorage });
const tick = (/** @type {any} */ more) => ({
  id: "a-1",
  job: "a",
  area: "Long field",
  task: "clip",
  day: "2027-07-04",
  who: "",
  saved: false,
  back: false,
  backSaved: false,
  ...more,
});

test("cells are quoted where they have to be, and none runs in a spreadsheet", () => {
  assert.equal(page.csvCell("Long field"), "Long field");
  assert.equal(page.csvCell('The "big" one, east'), '"The ""big"" one, east"');
  assert.equal(page.csvCell("=1+1"), "'=1+1");
  assert.equal(page.csvCell("''-2"), "'''-2");
  assert.equal(page.csvCell("a\nb\u2028c"), "a b c");
});

test("a file has a line for each tick, and one more for each taken back", () => {
  const text = page.tickFile([tick({ who: "Ann" }), tick({ id: "a-2", saved: true, back: true })]);
  assert.deepEqual(text.split("\r\n"), [
    "id,date,area,task,who,place_id",
    "a-1,2027-07-04,Long field,clip,Ann,xwvtsrqpn",
    "a-2,2027-07-04,Long field,clip,,xwvtsrqpn",
    "a-2,2027-07-04,Long field,undo,,xwvtsrqpn",
    "",
  ]);
});

test("what no file has is forgotten, what one has is taken back", () => {
  assert.deepEqual(page.without([tick({})], "a-1"), []);
  const [back] = page.without([tick({ saved: true })], "a-1");
  assert.equal(back.back, true);
  assert.equal(page.standing([back], "a"), undefined);
  assert.equal(page.standing([back, tick({ id: "a-3" })], "a").id, "a-3");
});

test("a tick that the log has is done with, unless it was taken back here since", () => {
  const logged = [{ id: "a-1", taken_back: false }];
  assert.deepEqual(page.unlogged([tick({})], logged), []);
  assert.equal(page.unlogged([tick({ back: true })], logged).length, 1);
  const undone = [{ id: "a-1", taken_back: true }];
  assert.deepEqual(page.unlogged([tick({}), tick({ back: true })], undone), []);
});

test("an id is the job's letters and five of its own", () => {
  assert.match(page.newTickId("bcdfghjkm"), /^bcdfghjkm-[bcdfghjkmnpqrstvwxz]{5}$/);
});

test("a store of a newer form is told from a broken one", () => {
  assert.equal(page.readStore('{"form": 2, "ticks": []}'), "newer");
  assert.equal(page.readStore("{"), "broken");
  assert.deepEqual(page.readStore(null).ticks, []);
});
