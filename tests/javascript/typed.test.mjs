import assert from "node:assert/strict";
import { test } from "node:test";
import { cases, desk } from "./load.mjs";

const { numberTyped: typed, withoutFile } = await desk("plain_words.js");
/** @param {string} text @param {{unit?: string, most?: number}} box */
const numberTyped = (text, box) => typed(text, box, cases.units);

test("figures are taken as a bag, a tag or a laboratory has them", () => {
  const part = { most: 1 };
  assert.equal(numberTyped("98.5%", part), 0.985);
  assert.equal(numberTyped("7 %", part), 0.07);
  assert.equal(numberTyped("0.985", part), 0.985);
  assert.equal(numberTyped("85", part), 85);
  assert.equal(numberTyped("$0.55", { unit: "dollars" }), 0.55);
  assert.equal(numberTyped("$1,240.50", { unit: "dollars" }), 1240.5);
  assert.equal(numberTyped("50 lb.", { unit: "pounds" }), 50);
  assert.equal(numberTyped("1.5 tons", { unit: "tons an acre" }), 1.5);
  assert.equal(numberTyped("1.5 tons/acre", { unit: "tons an acre" }), 1.5);
  assert.equal(numberTyped("40 lbs per acre", { unit: "pounds an acre" }), 40);
  assert.equal(numberTyped("5%", { unit: "percent" }), 5);
  assert.equal(numberTyped("1.5 hours", { unit: "minutes" }), 90);
  assert.equal(numberTyped("-3", { unit: "degrees" }), -3);
});

test("what is no figure in the unit of its box stays as it was typed", () => {
  const pounds = { unit: "pounds" };
  for (const text of ["50 kg", "1,5", "1,2,3", "$5", "5%", "five", "4-5", "1.2.3", "50 lb/ac", ""])
    assert.equal(numberTyped(text, pounds), text, text);
  assert.equal(numberTyped("5 ft", { unit: "inches" }), "5 ft");
});

test("the words on a key have no spelling of the file in a box", () => {
  const keys = { rate_lb_ac: { label: "Pounds an acre" } };
  assert.equal(
    withoutFile("one of three, beside rate_lb_ac", keys),
    "one of three, beside “Pounds an acre”",
  );
  assert.equal(
    withoutFile('a date, or a month-day such as "09-25"'),
    "a date, or a day such as 9/25",
  );
  assert.equal(withoutFile("the name of a [[soil_test]]"), "the name of a soil test");
  assert.equal(withoutFile('[ { spray = "…", share = 0.5 } ]: foliar feed'), "foliar feed");
  assert.equal(withoutFile("true when it is kept bare"), "yes when it is kept bare");
  assert.equal(
    withoutFile("a crop of the table (quietacre crops), or your own"),
    "a crop of the table, or your own",
  );
});

test("no word on a table or a key speaks of how the file spells it", () => {
  // columns of a person's own table of temperatures, and where a tile service has its numbers
  const theirs = /\b(low|high)_[cf]\b|\{[xyz]\}/g;
  const ofTheFile =
    /[{}[\]=]|[a-z0-9]_[a-z0-9]|property\.toml|\.(csv|ics)\b|quietacre|\bkeys?\b|^true\b/;
  for (const { about, keys } of cases.words)
    for (const text of [about, ...Object.values(keys).flatMap((row) => [row.is, row.why])]) {
      const shown = withoutFile(text, keys).replace(theirs, "");
      assert.doesNotMatch(shown, ofTheFile);
    }
});
