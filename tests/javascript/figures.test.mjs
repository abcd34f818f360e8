import assert from "node:assert/strict";
import { test } from "node:test";
import { cases, load } from "./load.mjs";

const NAMES = ["acres", "amount", "minutes", "money", "monthDay", "n", "pack", "sayDate", "u"];
const say = (metric) => load(["figures.js"], NAMES, { FIGURES: cases.figures, metric });
const us = say(false);
const metric = say(true);

test("a day is said one way", () => {
  assert.equal(us.sayDate("2027-07-04"), "Sun, July 4, 2027");
  assert.equal(us.sayDate("2028-02-29"), "Tue, February 29, 2028");
  assert.equal(us.monthDay("09-01"), "September 1");
});

test("numbers have their commas and decimals, and no nothing below nothing", () => {
  assert.equal(us.n(1234567.891, 2), "1,234,567.89");
  assert.equal(us.n(-0.001, 2), "0.00");
  assert.equal(us.n(-0.5, 1), "-0.5");
  assert.equal(us.money(null), "");
  assert.equal(us.money(1234.5), "$1,234.50");
  assert.equal(us.minutes(89), "89 min");
  assert.equal(us.minutes(90), "1.5 h");
  assert.equal(us.pack(50, "lb"), "50 lb");
  assert.equal(us.amount(227.9, "lb of seed"), "228 lb of seed");
  assert.equal(metric.amount(100, "lb of seed"), "45.4 kg of seed");
  assert.equal(us.amount(2, "bags"), "2.0 bags");
});

test("sentences turn to metric, names in quotation marks stay", () => {
  assert.equal(us.u("Sow 12 lb/ac on 10 acres"), "Sow 12 lb/ac on 10 acres");
  assert.equal(metric.u("10 acres"), "4.05 ha");
  assert.equal(metric.u("“10 acres” is 10 acres"), "“10 acres” is 4.05 ha");
  assert.equal(metric.u("60-80 ft"), "18.3-24.4 m");
  assert.equal(metric.u("1,000 lb"), "454 kg");
  assert.equal(metric.u("1 in deep, 3 inside"), "25.4 mm deep, 3 inside");
  assert.equal(metric.u("12 lbs and 3 feet"), "12 lbs and 3 feet");
  assert.equal(metric.u(7), 7);
});

test("a unit is changed by the factor of Python's table", () => {
  for (const [unit, [factor, word]] of Object.entries(cases.figures.sentences)) {
    if (unit === "in") continue; // "in" alone is a word more often than a unit
    const [number, ...rest] = metric.u(`10 ${unit}`).split(" ");
    assert.equal(rest.join(" "), word, unit);
    const value = Number(number.replaceAll(",", ""));
    assert.ok(Math.abs(value - 10 * factor) <= 0.006 * 10 * factor, `${unit}: ${number}`);
  }
});
