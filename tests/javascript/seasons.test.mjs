import assert from "node:assert/strict";
import { test } from "node:test";
import { desk } from "./load.mjs";

const days = await desk("season_days.js");
const { dayOfYear, dayTyped, months, openRuns, runsOf, sayDayOfYear, sayOpen, saySeason } = days;

const season = (start, end, more = {}) => ({
  name: "nesting",
  start,
  end,
  keeps_out: [],
  kept: true,
  ...more,
});

test("every day of a year has its place and its words", () => {
  const day = new Date(Date.UTC(2027, 0, 1));
  for (let n = 0; n < 365; n += 1) {
    const iso = day.toISOString().slice(5, 10);
    assert.equal(dayOfYear(iso), n);
    assert.equal(dayOfYear(`${day.getUTCMonth() + 1}/${day.getUTCDate()}`), n);
    const said = day.toLocaleDateString("en-US", {
      month: "long",
      day: "numeric",
      timeZone: "UTC",
    });
    assert.equal(sayDayOfYear(n), said);
    day.setUTCDate(day.getUTCDate() + 1);
  }
  assert.equal(months().length, 12);
});

test("what is no day of every year is none; February 29 is the 28th", () => {
  for (const text of [
    "",
    "5/",
    "13/1",
    "2/30",
    "04-31",
    "00-10",
    "9/25/2027",
    "Ma 5",
    "May",
    "Nod 5",
    "5-15",
  ])
    assert.equal(dayOfYear(text), null, text);
  assert.equal(dayOfYear("2/29"), dayOfYear("02-28"));
  assert.equal(dayTyped("9/5/2027"), "2027-09-05");
  for (const text of ["Sept 5", "Sep. 5", "september 5th", "5 September", "5th sep"])
    assert.equal(dayTyped(text), "09-05", text);
  for (const text of ["September 5, 2027", "sep 5 2027", "5 Sept. 2027"])
    assert.equal(dayTyped(text), "2027-09-05", text);
});

test("a season across New Year lies in two runs, and its days are counted once", () => {
  assert.deepEqual(runsOf(season("11-20", "01-31")), [
    { first: 323, last: 364 },
    { first: 0, last: 30 },
  ]);
  assert.equal(
    saySeason(season("11-20", "01-31", { keeps_out: ["every plot"] })),
    "nesting: November 20 to January 31, across New Year, 73 days, keeps work off every plot.",
  );
  assert.equal(saySeason(season("5/15", "5/15")), "nesting: May 15, 1 day, keeps all work off.");
});

test("a day that is missing or none is told, the first one first", () => {
  assert.equal(
    saySeason(season("5/", "", { kept: false })),
    "nesting: its first day reads “5/”, which is no day of the year: " +
      "type it as 9/25. Not kept yet.",
  );
  assert.equal(saySeason(season("5/1", "")), "nesting: its last day is not typed yet.");
  assert.match(
    saySeason(season("5/1", "5/2", { name: "" })),
    /^a season without a name yet: May 1/,
  );
});

test("what no season holds is told once, across New Year too", () => {
  const two = [season("05-15", "07-03"), season("07-01", "08-01")];
  assert.deepEqual(openRuns(two), [
    { first: 0, last: 133 },
    { first: 213, last: 364 },
  ]);
  assert.equal(sayOpen(two), "In no season: August 2 to May 14. That is 286 days of 365.");
  assert.equal(sayOpen([]), "No day of the year is in a quiet season.");
  assert.equal(sayOpen([season("03-02", "03-01")]), "Every day of the year is in a quiet season.");
  assert.equal(
    sayOpen([season("11-20", "01-31"), season("05-15", "07-03")]),
    "In no season: February 1 to May 14; July 4 to November 19. That is 242 days of 365.",
  );
});
