// The card of one piece of ground.
const range = (x) =>
  el(
    "span",
    { class: "give" },
    (pounds(x.lb_low) + " – " + pounds(x.lb_high)).replace(/(\d) (?=[a-z])/g, "$1\u00a0"),
  );
// rows of a list that stand together: those of one planting of the ground
function byPlanting(rows) {
  const groups = new Map();
  for (const row of rows) groups.set(row.planting, [...(groups.get(row.planting) || []), row]);
  return [...groups.values()];
}
// the mix of a planting, where the ground has several
const mixOf = (p, key) =>
  (p.plantings || []).length > 1 ? p.plantings.find((x) => x.key === key)?.mix : null;
function sown(seed) {
  return [
    el("h3", {}, "Sow: " + seed[0].mix + ", " + seed[0].method),
    table(
      ["seed", "#rate", "#pour", "#bags"],
      seed.map((s) => [
        s.crop + (s.from_memory ? " (rate from memory)" : ""),
        rate(s.bulk_lb_ac),
        [pounds(s.lb), s.lb_high - s.lb_low > 0.05 ? range(s) : null],
        bags(s.crop, s.lb),
      ]),
    ),
    el(
      "p",
      { class: "soft" },
      seed
        .map(
          (s) =>
            s.crop +
            ": " +
            (s.basis === "pls" ? n(100 * s.pls_frac, 1) + " % live seed" : "bulk rate"),
        )
        .join("; "),
    ),
    ...seed
      .filter((s) => R.crops?.[s.crop] || s.own_window)
      .flatMap((s) => {
        // the first facts at once; the long tail of windows and sources behind a word
        const facts = [
            ...(s.own_window ? ["your own planting window " + s.own_window + " is used"] : []),
            ...(R.crops?.[s.crop] || []),
          ],
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
// what the log says went on already, and what of it is left
function finished(need) {
  return [
    el("h3", {}, "Done already"),
    table(
      ["what", "#done", "#of", "days"],
      need.done.map((d) => [
        d.item,
        ...[d.amount, d.needed].map((v) =>
          v == null ? "" : d.what === "lime" ? tons(v / 2000) : amount(v, d.unit),
        ),
        d.days
          .slice(-3)
          .map((x) => sayDate(x))
          .join(", "),
      ]),
    ),
    el("p", { class: "soft" }, "By the log. The amounts below are what is left."),
  ];
}
function spread(fertilizer, mix) {
  return [
    el("h3", {}, "Spread" + (mix ? " for " + mix : "")),
    table(
      ["product", "#rate", "#pounds", "#bags"],
      fertilizer.map((f) => [
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
          .map((k) => [k, fertilizer.reduce((a, f) => a + f[k + "_lb_ac"], 0)])
          .filter(([k, lb]) => k !== "s" || lb > 0.5)
          .map(
            ([k, lb]) =>
              numberOf(FIGURES.measures["lb/ac"], lb, "0") +
              " " +
              { n: "N", p2o5: "P₂O₅", k2o: "K₂O", s: "S" }[k],
          )
          .join(", ") +
        " " +
        FIGURES.measures["lb/ac"][metric ? "metric" : "us"].word,
    ),
  ];
}
function widths(p) {
  return [
    el("h3", {}, "How wide it must be"),
    table(
      ["with", "#growth", "#asks", "#passes", "#built"],
      Object.keys(p.width).map((k) => [
        D.growth[k],
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
        Object.keys(p.width)
          .map((k) => feet(p.width[k].terms[1].ft))
          .join(", ") +
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
  const line = (j) => el("p", {}, el("b", {}, sayDate(j.on) + ": "), j.said),
    most = paper ? 5 : 6;
  const older = record.length - most,
    before = older + " before " + (older > 0 ? sayDate(record[most - 1].on) : "");
  return [
    el("h3", {}, "Done here"),
    ...record.slice(0, most).map(line),
    older <= 0
      ? null
      : paper
        ? el("p", { class: "soft" }, before + ": see the log")
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
              (acres(p.acres_low) === acres(p.acres_high)
                ? ""
                : ", between " + acres(p.acres_low) + " and " + acres(p.acres_high))
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
  if (p.surveys?.length) out.push(...throughYears(p));
  if (p.group === "area") {
    out.push(
      el("p", { class: "soft" }, p.method + ", " + feet(p.perimeter_ft) + " round · " + p.source),
    );
    if (!paper) for (const a of p.walk?.advice || []) out.push(el("p", { class: "said info" }, a));
  } else {
    out.push(el("p", {}, feet(p.width_ft) + " wide, " + feet(p.length_ft) + " along the edge"));
    if (p.case) out.push(el("p", { class: "soft" }, "Worked out for: " + p.case.why));
    if (p.width) out.push(...widths(p));
    if (p.weak?.length)
      out.push(
        el("h3", {}, "Too thin"),
        table(
          ["why", "#there", "#along"],
          p.weak.map((w) => [w.reason, feet(w.available_ft), feet(w.length_ft)]),
        ),
      );
    out.push(...mowing(p));
    out.push(...published(p));
    if (p.advance) out.push(...sinceSurvey(p));
    if (p.law)
      out.push(
        el(
          "p",
          { class: "said warning" },
          el("b", {}, "Law: "),
          (p.law.state || "state not given") + ": " + p.law.text,
        ),
      );
  }
  if (need.done?.length) out.push(...finished(need));
  for (const seed of byPlanting(need.seed || [])) out.push(...sown(seed));
  for (const rows of byPlanting(need.fertilizer || []))
    out.push(...spread(rows, mixOf(p, rows[0].planting)));
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
      el("p", { class: "soft" }, need.lime.text),
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
      ...s.cautions.map((c) => el("p", { class: "said caution" }, c)),
    );
  if (need.setting?.length)
    out.push(el("h3", {}, "Set the machine"), ...need.setting.map((s) => el("p", {}, s)));
  if (need.cost)
    out.push(
      el("p", {}, "Cost: " + money(need.cost) + " (" + measure("$ an acre")(need.cost_ac) + ")"),
    );
  const rain = (Y.weather?.plantings || []).filter((x) => x.area_id === p.id),
    jobs = jobsOf.get(p.id) || [];
  if (rain.length)
    out.push(
      el("h3", {}, "Rain"),
      ...rain.map((r) => el("p", {}, r.text[0].toUpperCase() + r.text.slice(1) + ".")),
    );
  if (jobs.length)
    out.push(
      el("h3", {}, "When"),
      paper || jobs.every((t) => t.status === "done") ? null : tickPanel(),
      el(
        "ul",
        { class: "tasks" },
        jobs.flatMap((t, i) => {
          // the year stands above the first job of it
          const year = t.scheduled?.slice(0, 4),
            before = jobs
              .slice(0, i)
              .reverse()
              .find((x) => x.scheduled);
          return [
            year && !before?.scheduled.startsWith(year) ? el("li", { class: "year" }, year) : null,
            taskLine(t, false, paper),
          ].filter(Boolean);
        }),
      ),
    );
  const late = Y.missed.filter((x) => x.area_id === p.id);
  if (late.length)
    out.push(
      el("h3", {}, "Missed"),
      ...late.map((x) => el("p", { class: "said caution" }, x.text)),
    );
  if (!paper) out.push(...why(p));
  // on paper these stand in the other column, under the boxes to fill in
  const last = [];
  if (p.history?.length)
    last.push(el("h3", {}, "History"), ...p.history.map((h) => el("p", {}, h)));
  if (p.record?.length) last.push(...doneHere(p.record, paper));
  if (!paper) last.push(...Y.past.filter((s) => s.area_id === p.id).map((s) => seasonBefore(s)));
  last.push(...seenHere(p.name, paper));
  if (p.note) last.push(el("p", {}, p.note));
  const mine = notes.filter((x) => x.piece === p.id && !(paper && x.level === "info"));
  if (mine.length) last.push(el("h3", {}, "Notes"), ...mine.map(said));
  for (const c of p.cautions || []) last.push(el("p", { class: "said caution" }, c));
  return paper ? [out, last] : [...out, ...last];
}
