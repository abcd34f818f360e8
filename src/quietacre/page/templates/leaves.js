// The ledger beside the map: ground, year, sums, what to look into.
const LEAVES = { ground: "Ground", year: "Year", sums: "Sums", look: "Look into" };
function masthead() {
  $("place").textContent = R.property.name;
  document.title = [...R.property.name].slice(0, 100).join("") + " · ground and ledger";
  const t = R.totals,
    half = (t.total_acres_high - t.total_acres_low) / 2;
  $("gist").textContent = [
    acres(t.total_acres) +
      (half > 0.005 ? " ± " + acres(half).split(" ")[0] : "") +
      " in " +
      R.areas.length +
      " pieces of ground",
    R.property.acres ? acres(R.property.acres) + " inside the line" : null,
    t.cost ? money(t.cost) + " to buy" : null,
    "made " + sayDate(R.made_on),
  ]
    .filter(Boolean)
    .join(" · ");
  $("units").textContent = metric ? "Acres, feet" : "Hectares, meters";
  $("units").setAttribute(
    "aria-label",
    metric ? "Show acres and feet" : "Show hectares and meters",
  );
}
function draw() {
  masthead();
  const bar = $("leaves"),
    counts = { ground: R.areas.length, year: Y.trips, sums: R.shopping.length, look: worth.length };
  bar.replaceChildren(
    ...Object.keys(LEAVES).map((k) =>
      el(
        "button",
        {
          type: "button",
          role: "tab",
          id: "tab-" + k,
          "aria-selected": String(leaf === k),
          "aria-controls": "leaf",
          tabindex: leaf === k ? "0" : "-1",
          on: () => turn(k),
        },
        LEAVES[k],
        el("i", {}, counts[k]),
      ),
    ),
  );
  $("leaf").setAttribute("aria-labelledby", "tab-" + leaf);
  $("leaf").replaceChildren(
    ...(leaf === "sums"
      ? sums()
      : leaf === "year"
        ? yearly()
        : leaf === "look"
          ? looking()
          : chosen
            ? card(byId.get(chosen))
            : listing()),
  );
  for (const t of tags)
    if (t.id && t.mark) t.box.lastChild.textContent = acres(byId.get(t.id).acres);
}
function turn(k) {
  if (chosen) choose(null, true);
  leaf = k;
  draw();
  $("leaf").scrollTop = 0;
  $("tab-" + k).focus({ preventScroll: true });
}
$("leaves").addEventListener("keydown", (e) => {
  const keys = Object.keys(LEAVES),
    step = { ArrowRight: 1, ArrowLeft: -1 }[e.key];
  if (step) {
    e.preventDefault();
    turn(keys[(keys.indexOf(leaf) + step + keys.length) % keys.length]);
  }
});
// the first rows at once, the others bit by bit while nobody waits for them
function inTurn(list, rows, row, from = 0) {
  const to = from + (from ? 50 : 30);
  list.append(...rows.slice(from, to).map(row));
  list.turn =
    to < rows.length
      ? setTimeout(() => {
          if (list.isConnected) inTurn(list, rows, row, to);
        }, 30)
      : 0;
  if (rows.length > 200) list.classList.add("many");
  else list.classList.remove("many");
  return list;
}
// paper has them all at once
const filled = (list, rows, row, paper) => {
  if (paper) list.append(...rows.map(row));
  else inTurn(list, rows, row);
  return list;
};
// ground without a job to come stands last
const due = new Map(
    pieces.map((p) => {
      const next = nextJob(p.id);
      return [p.id, next ? next.scheduled : "9"];
    }),
  ),
  dueOn = (p) => due.get(p.id);
function listing() {
  const list = el("ul", { class: "rows" });
  const words = new Map(
    pieces.map((p) => [
      p.id,
      [p.name, KINDS[p.kind][0], p.mix, p.vine, p.note].filter(Boolean).join(" ").toLowerCase(),
    ]),
  );
  const fill = () => {
    const want = query.toLowerCase().split(/\s+/);
    const rows = pieces.filter((p) => want.every((w) => words.get(p.id).includes(w)));
    if (dueFirst) rows.sort((a, b) => (dueOn(a) < dueOn(b) ? -1 : dueOn(a) > dueOn(b) ? 1 : 0));
    const row = (p) => {
      const next = nextJob(p.id),
        late = next && next.scheduled.slice(0, 4) !== firstDue.slice(0, 4);
      return el(
        "li",
        {},
        el(
          "button",
          { type: "button", on: () => choose(p.id) },
          swatch(p.kind),
          el("span", { class: "name" }, p.name),
          el("span", { class: "num" }, acres(p.acres)),
          el(
            "span",
            { class: "sub" },
            KINDS[p.kind][0] +
              (p.width_ft ? ", " + feet(p.width_ft) + " wide" : "") +
              (p.mix ? ", " + p.mix : ""),
            next
              ? el(
                  "b",
                  {},
                  "next: " + next.label + ", " + (late ? sayDate : sayDay)(next.scheduled),
                )
              : null,
          ),
        ),
      );
    };
    clearTimeout(list.turn);
    list.replaceChildren();
    inTurn(list, rows, row);
    if (!rows.length) list.replaceChildren(el("li", {}, "Nothing by that name."));
  };
  const find = el("input", {
    class: "find",
    type: "search",
    "aria-label": "Find a piece of ground",
    placeholder: "Find by name, kind or crop",
  });
  find.value = query;
  find.addEventListener("input", () => {
    query = find.value;
    fill();
  });
  fill();
  const order = el(
    "button",
    {
      type: "button",
      id: "due-first",
      "aria-pressed": String(dueFirst),
      on: () => {
        dueFirst = !dueFirst;
        order.setAttribute("aria-pressed", String(dueFirst));
        fill();
      },
    },
    "What is due first",
  );
  return [
    find,
    firstDue < "9" ? order : null,
    list,
    R.property.note ? el("p", { class: "soft" }, R.property.note) : null,
    el("h2", {}, "Before you act on it"),
    ...cautionList(),
  ].filter(Boolean);
}
const firstDue = pieces.reduce((m, p) => (dueOn(p) < m ? dueOn(p) : m), "9");
const cautionList = () =>
  R.cautions.map((c) =>
    el(
      "p",
      { class: "said caution" },
      el("b", {}, c.topic + ": "),
      u(c.text) + " Who decides: " + c.defer_to + ".",
    ),
  );

const range = (x) =>
  el(
    "span",
    { class: "give" },
    (pounds(x.lb_low) + " – " + pounds(x.lb_high)).replace(/(\d) (?=[a-z])/g, "$1\u00a0"),
  );
function sown(p, need) {
  return [
    el("h3", {}, "Sow: " + need.seed[0].mix + ", " + need.seed[0].method),
    table(
      ["seed", "#rate", "#pour", "#bags"],
      need.seed.map((s) => [
        s.crop + (s.from_memory ? " (rate from memory)" : ""),
        rate(s.bulk_lb_ac),
        [pounds(s.lb), s.lb_high - s.lb_low > 0.05 ? range(s) : null],
        bags(s.crop, s.lb),
      ]),
    ),
    el(
      "p",
      { class: "soft" },
      need.seed
        .map(
          (s) =>
            s.crop +
            ": " +
            (s.basis === "pls" ? n(100 * s.pls_frac, 1) + " % live seed" : "bulk rate"),
        )
        .join("; "),
    ),
    ...need.seed
      .filter((s) => (R.crops || {})[s.crop] || s.own_window)
      .flatMap((s) => {
        // the first facts at once; the long tail of windows and sources behind a word
        const facts = [
            ...(s.own_window ? ["your own planting window " + s.own_window + " is used"] : []),
            ...((R.crops || {})[s.crop] || []),
          ].map(u),
          most = 5;
        return [
          el("p", { class: "soft" }, el("b", {}, s.crop + ": "), facts.slice(0, most).join(" · ")),
          facts.length > most
            ? el(
                "details",
                {},
                el("summary", {}, "More on " + s.crop),
                el("p", { class: "soft" }, facts.slice(most).join(" · ")),
              )
            : null,
        ];
      })
      .filter(Boolean),
  ];
}
function spread(need) {
  return [
    el("h3", {}, "Spread"),
    table(
      ["product", "#rate", "#pounds", "#bags"],
      need.fertilizer.map((f) => [
        f.grade +
          (f.when === "top-dressing"
            ? " (top-dressing" + (f.on ? " about " + sayDate(f.on) : "") + ")"
            : ""),
        rate(f.lb_ac),
        [pounds(f.lb), f.lb_high - f.lb_low > 0.05 ? range(f) : null],
        f.bag_lb ? n(f.bags_exact, 1) + " of " + pack(f.bag_lb, "lb") : "",
      ]),
    ),
    el(
      "p",
      { class: "soft" },
      "Gives " +
        ["n", "p2o5", "k2o", "s"]
          .map((k) => [k, need.fertilizer.reduce((a, f) => a + f[k + "_lb_ac"], 0)])
          .filter(([k, lb]) => k !== "s" || lb > 0.5)
          .map(
            ([k, lb]) =>
              n(metric ? lb * FIGURES.sentences["lb/ac"][0] : lb, 0) +
              " " +
              { n: "N", p2o5: "P₂O₅", k2o: "K₂O", s: "S" }[k],
          )
          .join(", ") +
        (metric ? " kg/ha" : " lb/ac"),
    ),
  ];
}
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
        (moves.length > 1 ? m.area + ": " : "") + u(m.text[0].toUpperCase() + m.text.slice(1)),
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
function widths(p) {
  return [
    el("h3", {}, "How wide it must be"),
    table(
      ["estimate", "#growth", "#asks", "#passes", "#built"],
      ["low", "central", "stress"].map((k) => [
        k,
        feet(p.width[k].terms[0].ft),
        feet(p.width[k].required_ft),
        n(p.width[k].passes, 0),
        feet(p.width[k].width_ft),
      ]),
    ),
    el(
      "p",
      { class: "soft" },
      "Asked are the growth, for safety " +
        ["low", "central", "stress"].map((k) => feet(p.width[k].terms[1].ft)).join(", ") +
        " more, for the edge's own error " +
        feet(p.width.central.terms[3].ft) +
        ", a watch lane of " +
        feet(p.width.central.terms[4].ft) +
        ", and " +
        feet(p.width.central.terms[2].ft) +
        " for vine found rooted outside the edge; built in whole passes.",
    ),
  ];
}
function mowing(p) {
  const m = p.passes;
  if (!m || !m.count) return [];
  return [
    el("h3", {}, p.kind === "firebreak" ? "Disk passes" : "Mower passes"),
    el(
      "p",
      {},
      m.count +
        " passes, " +
        feet(m.length_ft) +
        " to drive" +
        (m.minutes ? ", about " + minutes(m.minutes) : "") +
        (m.fuel_gal ? ", " + gallons(m.fuel_gal) + " of fuel" : "") +
        "; " +
        m.order +
        ".",
    ),
  ];
}
// what log.csv says of it, the newest first; the older ones behind a word, on paper a few
function doneHere(record, paper) {
  const line = (j) =>
      el("p", {}, el("b", {}, sayDate(j.on) + ": "), j.task + (j.more ? " (" + j.more + ")" : "")),
    most = paper ? 5 : 6;
  const older = record.length - most,
    before = older + " before " + (older > 0 ? sayDate(record[most - 1].on) : "");
  return [
    el("h3", {}, "Done here"),
    ...record.slice(0, most).map(line),
    older <= 0
      ? null
      : paper
        ? el("p", { class: "soft" }, before + ": see log.csv")
        : el("details", {}, el("summary", {}, before), ...record.slice(most).map(line)),
  ].filter(Boolean);
}
// a spray may be meant for a part of the ground, by the share of it the person wrote
const partOf = (s, p) =>
  s.share < 1
    ? " (" + n(100 * s.share, 0) + " % of its " + acres(p.acres) + ", the share you wrote)"
    : "";
function tanks(s) {
  const some = s.loads_full
    ? s.loads_full + (s.loads_full === 1 ? " full tank" : " full tanks")
    : "";
  return [
    some,
    s.last_load_gal > 0 ? (some ? "" : "one part tank of ") + gallons(s.last_load_gal) : "",
  ]
    .filter(Boolean)
    .join(" and ");
}
function card(p, paper) {
  const out = [],
    need = p.need || {},
    next = nextJob(p.id);
  if (!paper)
    out.push(el("button", { type: "button", on: () => choose(null, true) }, "‹ All ground"));
  out.push(
    el("h2", {}, p.name),
    el(
      "p",
      { class: "kind" },
      swatch(p.kind),
      KINDS[p.kind][0] + (p.vine ? " (" + p.vine + ")" : ""),
    ),
  );
  out.push(
    el(
      "p",
      {},
      el("span", { class: "big num" }, acres(p.acres)),
      el(
        "span",
        {},
        give(p) > 0.0005
          ? " ± " +
              acres(give(p)) +
              ", between " +
              acres(p.acres_low) +
              " and " +
              acres(p.acres_high)
          : p.group === "strip"
            ? " as laid out"
            : " as drawn",
      ),
    ),
  );
  if (next && !paper)
    out.push(
      el(
        "p",
        { class: "next" },
        el("span", {}, "Next"),
        el("b", {}, next.label),
        sayDate(next.scheduled),
      ),
    );
  if (p.group === "area") {
    out.push(
      el(
        "p",
        { class: "soft" },
        u(p.method) + ", " + feet(p.perimeter_ft) + " round · " + p.source,
      ),
    );
    if (!paper)
      for (const a of (p.walk && p.walk.advice) || [])
        out.push(el("p", { class: "said info" }, u(a)));
  } else {
    out.push(el("p", {}, feet(p.width_ft) + " wide, " + feet(p.length_ft) + " along the edge"));
    if (p.case) out.push(el("p", { class: "soft" }, "Worked out for: " + u(p.case.why)));
    if (p.width) out.push(...widths(p));
    if (p.weak && p.weak.length)
      out.push(
        el("h3", {}, "Too thin"),
        table(
          ["why", "#there", "#along"],
          p.weak.map((w) => [u(w.reason), feet(w.available_ft), feet(w.length_ft)]),
        ),
      );
    out.push(...mowing(p));
    if (p.advance) out.push(...sinceSurvey(p));
    if (p.law)
      out.push(
        el(
          "p",
          { class: "said warning" },
          el("b", {}, "Law: "),
          (p.law.state || "state not given") + ": " + u(p.law.text),
        ),
      );
  }
  if (need.seed && need.seed.length) out.push(...sown(p, need));
  if (need.fertilizer && need.fertilizer.length) out.push(...spread(need));
  if (need.lime)
    out.push(
      el("h3", {}, "Lime"),
      el(
        "p",
        {},
        tons(need.lime.ton) +
          (need.lime.ton_high - need.lime.ton_low > 0.005
            ? " (" + tons(need.lime.ton_low) + " – " + tons(need.lime.ton_high) + ")"
            : "") +
          (need.lime.product ? " of " + need.lime.product : ""),
      ),
      el("p", { class: "soft" }, u(need.lime.text)),
    );
  for (const s of need.spray || [])
    out.push(
      el("h3", {}, "Spray: " + s.name),
      el(
        "p",
        {},
        gallons(s.gal) +
          " on " +
          acres(s.acres) +
          partOf(s, p) +
          ": " +
          amount(s.product, s.unit) +
          " of product; " +
          tanks(s) +
          "." +
          (s.on
            ? " You asked for about " +
              sayDate(s.on) +
              "; the day it is planned for stands under When."
            : ""),
      ),
      el(
        "p",
        { class: "soft" },
        (s.loads_full
          ? "A full tank takes " +
            amount(s.product_per_load, s.unit) +
            (s.last_load_gal > 0 ? ", the last " + amount(s.product_last_load, s.unit) : "") +
            " of product. "
          : "") +
          "Wear: " +
          (s.ppe || "what the label lists"),
      ),
      ...s.cautions.map((c) => el("p", { class: "said caution" }, u(c))),
    );
  if (need.setting && need.setting.length)
    out.push(el("h3", {}, "Set the machine"), ...need.setting.map((s) => el("p", {}, u(s))));
  if (need.cost)
    out.push(
      el(
        "p",
        {},
        "Cost: " +
          money(need.cost) +
          " (" +
          (metric
            ? money(need.cost_ac / 0.40468564224) + " a hectare)"
            : money(need.cost_ac) + " an acre)"),
      ),
    );
  const rain = Y.weather && Y.weather.plantings.find((x) => x.area_id === p.id),
    jobs = jobsOf.get(p.id) || [];
  if (rain)
    out.push(
      el("h3", {}, "Rain"),
      el("p", {}, u(rain.text[0].toUpperCase() + rain.text.slice(1)) + "."),
    );
  if (jobs.length)
    out.push(
      el("h3", {}, "When"),
      el(
        "ul",
        { class: "tasks" },
        jobs.flatMap((t, i) => {
          // the year stands above the first job of it
          const year = t.scheduled && t.scheduled.slice(0, 4),
            before = jobs
              .slice(0, i)
              .reverse()
              .find((x) => x.scheduled);
          return [
            year && !(before && before.scheduled.startsWith(year))
              ? el("li", { class: "year" }, year)
              : null,
            taskLine(t, false),
          ].filter(Boolean);
        }),
      ),
    );
  const late = Y.missed.filter((x) => x.area_id === p.id);
  if (late.length)
    out.push(
      el("h3", {}, "Missed"),
      ...late.map((x) => el("p", { class: "said caution" }, u(x.text))),
    );
  // on paper these stand in the other column, under the boxes to fill in
  const last = [];
  if (p.history && p.history.length)
    last.push(el("h3", {}, "History"), ...p.history.map((h) => el("p", {}, h)));
  if (p.record && p.record.length) last.push(...doneHere(p.record, paper));
  if (p.note) last.push(el("p", {}, p.note));
  const mine = notes.filter((x) => x.piece === p.id && !(paper && x.level === "info"));
  if (mine.length) last.push(el("h3", {}, "Notes"), ...mine.map(said));
  for (const c of p.cautions || []) last.push(el("p", { class: "said caution" }, u(c)));
  return paper ? [out, last] : [...out, ...last];
}

// the year: a band of months for each piece of ground, then the days in order
function taskLine(t, where) {
  return el(
    "li",
    { class: "task " + t.status },
    el(
      "span",
      { class: "day" },
      t.scheduled
        ? [
            weekDay(t.scheduled) + ", ",
            el("span", { class: "num" }, monthDay(t.scheduled.slice(5))),
          ]
        : t.status === "window"
          ? "window"
          : "no day",
    ),
    el(
      "span",
      {},
      el("b", {}, where ? el("bdi", {}, t.area) : null, (where ? ": " : "") + t.label),
      ["done", "due", "late"].includes(t.state) ? " (" + t.state + ")" : "",
      el("br"),
      el(
        "span",
        { class: "soft" },
        t.machine +
          (t.minutes ? ", " + minutes(t.minutes) : "") +
          (t.amounts.length ? "; " + u(t.amounts.join("; ")) : "") +
          "; " +
          (t.earliest === t.latest
            ? "only " + monthDay(t.latest.slice(5))
            : "any day " + monthDay(t.earliest.slice(5)) + " to " + monthDay(t.latest.slice(5))),
      ),
      t.notes.map((x) => el("p", { class: "said warning" }, u(x))),
    ),
  );
}
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
  const first = Date.UTC(...months[0]) / 864e5,
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
              t.status === "done"
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
    ...w.plantings.map((p) =>
      el("p", {}, el("b", {}, el("bdi", {}, p.area)), ": " + u(p.text) + "."),
    ),
    ...cold.map((f) =>
      el(
        "p",
        {},
        (f.season === "spring" ? "Last" : "First") +
          " 32 °F freeze: half the years by " +
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
  out.push(yearBands(paper));
  const jobs = (list) =>
      filled(el("ul", { class: "tasks" }), list, (t) => taskLine(t, true), paper),
    months = new Map();
  for (const t of Y.tasks.filter((x) => x.scheduled)) {
    const now = t.scheduled.slice(0, 7);
    if (!months.has(now)) months.set(now, []);
    months.get(now).push(t);
  }
  for (const [now, list] of months) {
    const hours = Y.hours_by_month && Y.hours_by_month[now];
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
        el("p", { class: "said caution" }, el("b", {}, el("bdi", {}, x.area), ": "), u(x.text)),
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
        Y.menu.map((m) => el("li", {}, u(m.text) + " (" + m.trips + " trips)")),
      ),
    );
  if (Y.weather) out.push(...weather());
  if (!Y.tasks.length) out.push(el("p", {}, "Nothing is planned: give a plot a planting date."));
  return out.filter(Boolean);
}

// sums: acres, shopping, cost
function totals() {
  const t = R.totals,
    rows = Object.entries(t.by_kind).map(([k, v]) => [
      KINDS[k][0],
      n(R.areas.filter((a) => a.kind === k).length, 0),
      acres(v),
    ]);
  const made = {};
  for (const s of R.strips) {
    made[s.kind] = made[s.kind] || [0, 0];
    made[s.kind][0] += 1;
    made[s.kind][1] += s.acres;
  }
  for (const k in made) rows.push([KINDS[k][0], n(made[k][0], 0), acres(made[k][1])]);
  return [
    table(["kind", "#pieces", "#area"], rows),
    t.overlap_acres > 0.005
      ? el("p", {}, acres(t.overlap_acres) + " drawn twice, counted once.")
      : null,
    el(
      "p",
      {},
      "Measured ground: " +
        acres(t.total_acres) +
        (t.total_acres_high - t.total_acres_low > 0.005
          ? ", between " + acres(t.total_acres_low) + " and " + acres(t.total_acres_high)
          : "") +
        (R.areas.some((a) => a.acres_low == null || a.acres_high - a.acres_low < 1e-9)
          ? ". The ± is that of the walked pieces; a drawn edge is taken as drawn."
          : "."),
    ),
    R.strips.length
      ? el("p", {}, "Strips and firebreaks are laid out by the build and are not in that sum.")
      : null,
    R.property.acres ? el("p", {}, "Inside the property line: " + acres(R.property.acres)) : null,
  ].filter(Boolean);
}
// what is sold by the ton is said in tons
const loose = (s) => s.unit === "lb" && s.pack === 2000;
const needed = (v, s) => (loose(s) ? tons(v / 2000) : amount(v, s.unit));
const packed = (s) =>
  s.packs == null
    ? amount(s.buy, s.unit)
    : loose(s) && !metric
      ? s.packs + (s.packs === 1 ? " ton" : " tons")
      : s.packs + " × " + pack(s.pack, s.unit);
function shopping(brief) {
  if (!R.shopping.length) return el("p", {}, "Nothing: no mix, soil test or spray is named yet.");
  return table(
    ["item", "#need", "#buy", "#cost"],
    R.shopping.map((s) => {
      const row = [
        brief ? s.item : el("b", {}, s.item),
        needed(s.need, s),
        packed(s),
        money(s.cost),
      ];
      if (!brief)
        row.note =
          u(s.what) +
          (s.from_stock ? ", " + needed(s.from_stock, s) + " from the shed" : "") +
          (s.note ? "; " + u(s.note) : "");
      return row;
    }),
  );
}
function sums() {
  const costs = pieces
    .filter((p) => p.need && p.need.cost)
    .sort((a, b) => b.need.cost - a.need.cost);
  const out = [el("h2", {}, "Ground"), ...totals(), el("h2", {}, "To buy")];
  if (R.totals.cost) out.push(el("p", { class: "big num" }, money(R.totals.cost)));
  out.push(shopping());
  if (R.shopping.length)
    out.push(
      el(
        "details",
        {},
        el("summary", {}, "What each piece of ground takes"),
        ...R.shopping.map((s) =>
          el(
            "p",
            {},
            el("b", {}, s.item + ": "),
            s.used_by.map((u) => u.area + " " + needed(u.amount, s)).join("; "),
          ),
        ),
      ),
    );
  const plans = (R.fertilizer_plan && R.fertilizer_plan.text) || [],
    much = (R.how_much && R.how_much.text) || [];
  if (plans.length)
    out.push(el("h2", {}, "Fertilizer plans"), ...plans.map((t) => el("p", {}, u(t))));
  if (much.length)
    out.push(
      el(
        "details",
        {},
        el("summary", {}, "How much is planted, and what others print"),
        ...much.map((t) => el("p", {}, u(t))),
      ),
    );
  if (costs.length)
    out.push(
      el("h2", {}, "Cost by ground"),
      table(
        ["ground", "#cost", metric ? "#a hectare" : "#an acre"],
        costs.map((p) => [
          p.name,
          money(p.need.cost),
          money(metric ? p.need.cost_ac / 0.40468564224 : p.need.cost_ac),
        ]),
      ),
      el(
        "p",
        { class: "soft" },
        "The bill above, shared out by how much each piece takes; " +
          "the rest of opened bags is in it.",
      ),
    );
  return out;
}
// what to look into, ground by ground: the worst first
const whose = (x) => (x.piece ? byId.get(x.piece).name : x.feature) || x.source || "The property";
function looking(paper) {
  const out = [el("h2", {}, "Look into")];
  if (!worth.length) return [...out, el("p", {}, "Nothing is amiss.")];
  const groups = new Map();
  for (const x of worth) {
    const name = whose(x);
    if (!groups.has(name)) groups.set(name, []);
    groups.get(name).push(x);
  }
  const list = el("div", { class: "troubles" });
  const group = ([name, all]) => {
    const piece = byId.get(all[0].piece) || pieces.find((p) => p.name === name);
    return el(
      "section",
      {},
      el("h3", {}, piece ? swatch(piece.kind) : null, el("bdi", {}, name)),
      all.map((x) =>
        el(
          "div",
          { class: "trouble" },
          el("span", { class: "mark " + x.level, "aria-hidden": "true" }, MARK[x.level]),
          el(
            "div",
            {},
            el("p", {}, el("span", { class: "hide" }, SAY[x.level] + ": "), el("b", {}, u(x.head))),
            rest(x),
          ),
          !paper && placeOf(x)
            ? el(
                "button",
                {
                  type: "button",
                  "aria-label": "Show on the map: " + [...x.head].slice(0, 120).join(""),
                  on: () => point(x),
                },
                "Show",
              )
            : null,
        ),
      ),
    );
  };
  const all = [...groups];
  return [...out, filled(list, all, group, paper)];
}
