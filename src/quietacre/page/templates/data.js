// What the page holds: the report, the layers, how it is first shown.
/**
 * @param {string} id
 * @returns {any}
 */
const $ = (id) => document.getElementById(id);
const D = column(JSON.parse($("ledger-data").textContent), 1)[0];
const R = D.report,
  Y = R.year || { tasks: [], quiet: [], past: [], trips: 0 },
  L0 = (name) => D.layers[name] || [];
const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
const small = () => innerWidth <= 760;
let metric = D.units === "metric";

// words and line colors of the kinds, and how figures are said: tables of kinds.py, figures.py
const KINDS = D.kinds,
  FIGURES = D.figures;
const FT_M = FIGURES.measures.ft.metric.factor,
  HA_AC = FIGURES.measures.ac.metric.factor,
  ACRE_M2 = FIGURES.acre_m2;
// the day it is read, but never before the day it was made
const clock = new Date(),
  two = (v) => String(v).padStart(2, "0");
const TODAY = [
  R.made_on,
  clock.getFullYear() + "-" + two(clock.getMonth() + 1) + "-" + two(clock.getDate()),
].sort()[1];
