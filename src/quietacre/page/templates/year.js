// The year: a band of months for each piece of ground, then the days in order
Object.assign(onPage, {
  jobs: () => Y.tasks,
  // what else shows whether a job is done
  after: () => {
    countDue();
    document.querySelector("#leaf .spans")?.replaceWith(yearBands(false));
  },
  // draw the leaf again, and leave the cursor in the box it was in
  redraw: () => {
    const id = document.activeElement?.id;
    countDue();
    draw();
    if (id) $(id)?.focus();
  },
});
const dayNumber = (iso) => Date.parse(iso + "T00:00:00Z") / 864e5;
const lastDay = Y.tasks.reduce(
  (m, t) => (t.scheduled && t.scheduled > m ? t.scheduled : m),
  R.made_on,
);
function frame() {
  let y = +R.made_on.slice(0, 4),
    m = +R.made_on.slice(5, 7) - 1;
  const months = [];
  do {
    months.push([y, m]);
    m += 1;
    if (m === 12) {
      m = 0;
      y += 1;
    }
  } while (
    months.length < 12 ||
    (y + "-" + two(m + 1) <= lastDay.slice(0, 7) && months.length < 24)
  );
  const first = Date.UTC(months[0][0], months[0][1]) / 864e5,
    end = Date.UTC(y, m) / 864e5;
  return { months, x: (day) => (360 * (day - first)) / (end - first), first, end };
}
// a strip is shut by what its patches are called, too
function wordsOf(piece) {
  const of = piece.group === "strip" ? [piece.of, ...(piece.also_of || [])] : [];
  return [
    piece.kind,
    piece.name,
    ...R.areas.filter((a) => of.includes(a.id)).flatMap((a) => [a.kind, a.name]),
  ];
}
function quietOf(piece) {
  const words = wordsOf(piece);
  return Y.quiet.filter((q) => q.keeps_out === "all" || q.keeps_out.some((w) => words.includes(w)));
}
function shade(f, seasons) {
  const out = [];
  for (const q of seasons)
    for (let y = f.months[0][0] - 1; y <= f.months[f.months.length - 1][0]; y++) {
      const a = Math.max(f.first, dayNumber(y + "-" + q.start)),
        b = Math.min(f.end, dayNumber((q.end < q.start ? y + 1 : y) + "-" + q.end) + 1);
      if (b > a)
        out.push(
          draw2("rect", {
            x: f.x(a),
            width: f.x(b) - f.x(a),
            y: 0,
            height: 18,
            fill: "url(#pat-quiet)",
          }),
        );
    }
  return out;
}
function yearBands(paper) {
  const f = frame(),
    rows = pieces.filter((p) => jobsOf.has(p.id));
  if (!rows.length) return null;
  const months = () =>
    f.months.slice(1).map(([y, m]) =>
      draw2("path", {
        d: "M" + f.x(Date.UTC(y, m) / 864e5) + " 0V18",
        stroke: "#b9b09a",
        "stroke-width": m ? 0.5 : 1.4,
      }),
    );
  const head = el(
    "div",
    { class: "span head", "aria-hidden": "true" },
    draw2(
      "svg",
      { viewBox: "0 0 360 18" },
      ...f.months.map(([y, m]) =>
        draw2(
          "text",
          {
            x: f.x((Date.UTC(y, m) + Date.UTC(y, m + 1)) / 2 / 864e5),
            y: 13,
            "text-anchor": "middle",
          },
          MONTHS[m][0],
        ),
      ),
    ),
  );
  return el(
    "div",
    { class: "spans" },
    head,
    filled(
      el("div"),
      rows,
      (p) => {
        const jobs = jobsOf.get(p.id),
          quiet = quietOf(p);
        const marks = jobs
          .flatMap((t) => {
            if (t.status === "window")
              return [
                draw2("path", {
                  d:
                    "M" +
                    f.x(Math.max(f.first, dayNumber(t.earliest))) +
                    " 9H" +
                    f.x(Math.min(f.end, dayNumber(t.latest) + 1)),
                  class: "window",
                }),
              ];
            if (!t.scheduled) {
              const x = f.x(Math.min(f.end - 2, Math.max(f.first + 2, dayNumber(t.latest))));
              return [draw2("path", { d: "M" + (x - 3.5) + " 5.5l7 7m0-7l-7 7", class: "missed" })];
            }
            const a = Math.max(f.first, dayNumber(t.earliest)),
              b = Math.min(f.end, dayNumber(t.latest) + 1),
              x = f.x(dayNumber(t.scheduled) + 0.5);
            return [
              b > a ? draw2("path", { d: "M" + f.x(a) + " 9H" + f.x(b), class: "window" }) : null,
              looksDone(t)
                ? draw2("path", { d: "M" + (x - 3.5) + " 9l2.5 3.5l5-7", class: "done" })
                : draw2("circle", { cx: x, cy: 9, r: 3.4, class: "dot" }),
            ];
          })
          .filter(Boolean);
        const planned = jobs.filter((t) => t.scheduled);
        const say =
          planned.length +
          " jobs" +
          (planned.length
            ? ", " + planned.map((t) => t.label + " " + monthDay(t.scheduled.slice(5))).join(", ")
            : "") +
          (quiet.length ? "; quiet: " + quiet.map((q) => q.name).join(", ") : "");
        // bars below, dots above
        marks.sort(
          (a, b) =>
            (a.getAttribute("class") === "window" ? 0 : 1) -
            (b.getAttribute("class") === "window" ? 0 : 1),
        );
        return el(
          "div",
          { class: "span" },
          el("b", {}, p.name),
          draw2(
            "svg",
            { viewBox: "0 0 360 18", role: "img", "aria-label": say },
            draw2("rect", { width: 360, height: 18, class: "ground0" }),
            ...shade(f, quiet),
            ...months(),
            ...marks,
          ),
        );
      },
      paper,
    ),
    el("p", { class: "soft marks", "aria-hidden": "true" }, bandKey()),
  );
}
const bandKey = () => [
  draw2(
    "svg",
    { viewBox: "0 0 24 18" },
    draw2("path", { d: "M1 9H23", class: "window" }),
    draw2("circle", { cx: 12, cy: 9, r: 3.4, class: "dot" }),
  ),
  "planned, within its days ",
  draw2(
    "svg",
    { viewBox: "0 0 24 18" },
    draw2("rect", { width: 24, height: 18, fill: "url(#pat-quiet)" }),
  ),
  "quiet ",
  draw2(
    "svg",
    { viewBox: "0 0 24 18" },
    draw2("path", { d: "M8.500 5.500l7 7m0-7l-7 7", class: "missed" }),
  ),
  "does not fit ",
  draw2(
    "svg",
    { viewBox: "0 0 24 18" },
    draw2("path", { d: "M8.500 9l2.500 3.500l5-7", class: "done" }),
  ),
  "done",
];
function weather() {
  const w = Y.weather,
    cold = w.frost ? w.frost.freezes.filter((f) => f.threshold_f === 32 && f.pct_50) : [];
  return [
    el("h3", {}, "Rain and frost"),
    el(
      "p",
      { class: "soft" },
      w.source + ", " + w.base_period.join(" to ") + ". A record of the past is no forecast.",
    ),
    ...w.plantings.map((p) => el("p", {}, el("b", {}, el("bdi", {}, p.area)), ": " + p.text + ".")),
    ...cold.map((f) =>
      el(
        "p",
        {},
        (f.season === "spring" ? "Last" : "First") +
          " " +
          measure("°F")(f.threshold_f) +
          " freeze: half the years by " +
          monthDay(f.pct_50.slice(5)) +
          ", one year in ten " +
          (f.season === "spring" ? "later than " : "before ") +
          monthDay(f.pct_10.slice(5)) +
          ".",
      ),
    ),
  ];
}
function yearly(paper) {
  const out = [el("h2", {}, "The year, worked backwards"), el("p", { class: "soft" }, Y.bound)];
  for (const q of Y.quiet)
    out.push(
      el(
        "p",
        { class: "said caution" },
        el("b", {}, "Quiet: "),
        q.name +
          ", " +
          monthDay(q.start) +
          " to " +
          monthDay(q.end) +
          (q.keeps_out === "all" ? ", everything" : ", " + q.keeps_out.join(", ")) +
          " (" +
          (q.source || "no source given") +
          ")",
      ),
    );
  if (!paper && Y.tasks.some((t) => t.status !== "done")) out.push(tickPanel());
  out.push(yearBands(paper));
  const jobs = (list) =>
      filled(el("ul", { class: "tasks" }), list, (t) => taskLine(t, true, paper), paper),
    months = new Map();
  for (const t of Y.tasks.filter((x) => x.scheduled)) {
    const now = t.scheduled.slice(0, 7);
    if (!months.has(now)) months.set(now, []);
    months.get(now).push(t);
  }
  for (const [now, list] of months) {
    const hours = Y.hours_by_month?.[now];
    out.push(
      el(
        "h3",
        {},
        MONTHS[+now.slice(5) - 1] + " " + now.slice(0, 4),
        hours ? el("i", {}, n(hours, 1) + " h") : null,
      ),
      jobs(list),
    );
  }
  const open = Y.tasks.filter((x) => x.status === "window" && x.state !== "missed");
  if (open.length)
    out.push(el("h3", {}, "Windows: the weather and the law choose the day"), jobs(open));
  if (Y.missed.length)
    out.push(
      el("h3", {}, "Missed"),
      ...Y.missed.map((x) =>
        el("p", { class: "said caution" }, el("b", {}, el("bdi", {}, x.area), ": "), x.text),
      ),
    );
  const over = Y.tasks.filter((x) => x.state === "missed");
  if (over.length && !paper)
    out.push(
      el(
        "details",
        {},
        el("summary", {}, "One of them was done all the same? Tick it"),
        jobs(over),
      ),
    );
  const short = Y.tasks.filter((x) => x.state === "not possible");
  if (short.length) out.push(el("h3", {}, "Does not fit"), jobs(short));
  if (Y.menu.length)
    out.push(
      el("p", {}, "Any one of these makes all of it fit, each tried on a whole plan:"),
      el(
        "ul",
        {},
        Y.menu.map((m) => el("li", {}, m.text + " (" + m.trips + " trips)")),
      ),
    );
  if (Y.past.length)
    out.push(
      el("h3", {}, "Seasons that are over"),
      ...Y.past.map((s) => (paper ? el("p", {}, s.area + ", " + s.text) : seasonBefore(s, s.area))),
    );
  if (Y.weather) out.push(...weather());
  if (!Y.tasks.length) out.push(el("p", {}, "Nothing is planned: give a plot a planting date."));
  return out.filter(Boolean);
}
