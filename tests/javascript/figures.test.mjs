import assert from "node:assert/strict";
import { test } from "node:test";
import { cases, load } from "./load.mjs";

const NAMES = [
  "acres",
  "amount",
  "minutes",
  "money",
  "monthDay",
  "n",
  "pack",
  "printed",
  "sayDate",
];
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

test("a figure of a text is printed, names and their brackets stay", () => {
  assert.equal(us.printed("Sow ⟦lb/ac|0|12⟧ on ⟦acres|0|10⟧"), "Sow 12 lb/ac on 10 acres");
  assert.equal(metric.printed("⟦acres||10⟧"), "4.05 ha");
  assert.equal(metric.printed("“10 acres” is ⟦ac||10⟧"), "“10 acres” is 4.05 ha");
  assert.equal(metric.printed("⟦ft|0|60|-|80⟧"), "18.3-24.4 m");
  assert.equal(us.printed("⟦ft|-1|8| or |12.5⟧"), "8 or 12.5 ft");
  assert.equal(metric.printed("⟦lb|0|1000⟧"), "454 kg");
  assert.equal(us.printed("⟦lb|0*|40⟧ of ⟦in|=half an inch|0.5⟧"), "40 of half an inch");
  assert.equal(metric.printed("⟦lb|0*|40⟧ of ⟦in|=half an inch|0.5⟧"), "18.1 of 13 mm");
  assert.equal(metric.printed("⟦old gate⟧, ⟦ac|2|⟧, ⟦ac|2|x⟧"), "⟦old gate⟧, ⟦ac|2|⟧, ⟦ac|2|x⟧");
});

test("a unit is changed by the factor of Python's table", () => {
  for (const [unit, { metric: way }] of Object.entries(cases.figures.measures)) {
    const value = way.zero ? 1000 : 10, // far from where one scale's figure is nothing
      [number, ...rest] = metric.printed(`⟦${unit}|1|${value}⟧`).split(" ");
    assert.equal(rest.join(" "), way.word, unit);
    const told = Number(number.replace(way.lead, "").replaceAll(",", "")),
      meant = value * way.factor + way.zero;
    assert.ok(Math.abs(told - meant) <= 0.006 * meant, `${unit}: ${number}`);
  }
});
