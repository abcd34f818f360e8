// What surveys of a vine's edge say: since the last one, and through the years.
// each patch of a strip that was surveyed before; a side's range holds its movement nine times
// in ten
function sinceSurvey(p) {
  const moves = [p.advance, ...(p.advance_also || [])];
  return [
    el("h3", {}, "Since the last survey"),
    ...moves.flatMap((m) => [
      el(
        "p",
        {},
        (moves.length > 1 ? m.area + ": " : "") + m.text[0].toUpperCase() + m.text.slice(1),
      ),
      table(
        ["side", "#mean", "#nine times in ten", "#farthest"],
        m.sectors.map((s) => [
          s.direction,
          feet(s.mean_ft),
          feet(s.low_ft) + " to " + feet(s.high_ft),
          feet(s.most_ft),
        ]),
      ),
    ]),
  ];
}
// a patch through the years: its acres at each survey, and how it moved to the next
function throughYears(p) {
  const last = p.surveys.length - 1;
  return [
    el("h3", {}, "Through the years"),
    table(
      ["surveyed", "#acres", "#19 times in 20"],
      p.surveys.map((s, i) => [
        (s.on ? sayDate(s.on) : "day not known") + (i === last ? " (now)" : ""),
        acres(s.acres),
        acres(s.acres_low) + " to " + acres(s.acres_high),
      ]),
    ),
    ...p.moves.map((m) =>
      el(
        "p",
        {},
        (m.from_on && m.to_on ? `${sayDate(m.from_on)} to ${sayDate(m.to_on)}: ` : "") + m.text,
      ),
    ),
  ];
}
