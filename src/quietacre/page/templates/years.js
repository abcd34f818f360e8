// Last year beside this one: the whole first, each piece behind a word.
const YEAR_UNITS = {
  ac: (v) => acres(v),
  lb: (v) => pounds(v),
  $: (v) => money(v),
  days: (v) => n(v, 0),
  h: (v) => n(v, 1),
  in: measure("in"),
  "of 10": (v) => n(v, 1) + " of 10",
};
const yearFigure = (v, unit) => (v == null ? "not known" : YEAR_UNITS[unit](v));
function yearTable(ground, y) {
  return table(
    ["what", "#" + y.before, "#" + y.year],
    ground.rows.map((r) => [r.what, yearFigure(r.last, r.unit), yearFigure(r.this, r.unit)]),
  );
}
function lastYear() {
  const y = R.years?.beside,
    earlier = R.years?.earlier;
  if (!y) return [];
  return [
    el("h2", {}, y.before + " beside " + y.year),
    ...bothYears(y),
    earlier
      ? el(
          "details",
          {},
          el("summary", {}, earlier.before + " beside " + earlier.year),
          ...bothYears(earlier),
        )
      : null,
  ].filter(Boolean);
}
function bothYears(y) {
  const [whole, ...ground] = y.ground;
  return [
    yearTable(whole, y),
    el(
      "p",
      { class: "soft" },
      y.year + " is told up to " + sayDate(y.until) + "; " + y.before + " " + y.source + ".",
    ),
    ...y.notes.map((t) => el("p", { class: "soft" }, t + ".")),
    ground.length
      ? el(
          "details",
          {},
          el("summary", {}, "Each piece of ground in both years"),
          ...ground.flatMap((g) => [el("h3", {}, g.area), yearTable(g, y)]),
        )
      : null,
  ].filter(Boolean);
}
// the season before of a planting: over and quiet, but still to be read
function seasonBefore(s, name) {
  return el(
    "details",
    {},
    el("summary", {}, (name ? name + ", " : "") + s.text),
    ...s.jobs.map((j) =>
      el("p", {}, j.label + ": " + (j.done ? "done " + sayDate(j.done) : "not in the log")),
    ),
  );
}
