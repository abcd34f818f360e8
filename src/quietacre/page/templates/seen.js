// What was seen on a piece of ground, or on the place at large: lines of seen.csv, newest first.
function seenHere(area, paper) {
  const mine = (R.seen || []).filter((s) => s.area === area),
    most = paper ? 5 : 8;
  if (!mine.length) return [];
  const line = (s) =>
      el(
        "p",
        {},
        el("b", {}, sayDate(s.on) + (s.time ? ", " + s.time : "") + ": "),
        (s.count === null ? "" : n(s.count, s.count % 1 ? 1 : 0) + " ") + s.what,
        [s.place, s.who, s.note].filter(Boolean).length
          ? " (" + [s.place, s.who, s.note].filter(Boolean).join("; ") + ")"
          : "",
      ),
    older = mine.length - most;
  return [
    el("h3", {}, area ? "Seen here" : "Seen on the place"),
    el("p", { class: "soft" }, "What somebody saw on a day; it does not say how many there are."),
    ...mine.slice(0, most).map(line),
    older <= 0
      ? null
      : paper
        ? el("p", { class: "soft" }, older + " before: see seen.csv")
        : el("details", {}, el("summary", {}, older + " before"), ...mine.slice(most).map(line)),
  ].filter(Boolean);
}
