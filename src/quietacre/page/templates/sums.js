// Sums: acres, shopping, cost
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
        (acres(t.total_acres_low) !== acres(t.total_acres_high)
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
      const open = s.buy > 0 || s.packs;
      /** @type {any[] & { note?: string }} */
      const row = [
        brief ? s.item : el("b", {}, s.item),
        needed(s.need, s),
        open ? packed(s) : "none",
        open ? money(s.cost) : "",
      ];
      if (!brief)
        row.note = [
          s.what +
            (s.done ? ", " + needed(s.done, s) + " done" : "") +
            (s.on_hand ? ", " + needed(s.on_hand, s) + " on hand" : "") +
            (s.spent ? ", " + money(s.spent) + " spent in " + R.spent.year : ""),
          s.note ? s.note : "",
        ]
          .filter(Boolean)
          .join("; ");
      return row;
    }),
  );
}
// dollars spent this year by the log, beside those still to spend
function spending() {
  const m = R.spent;
  if (!m?.total) return null;
  return el(
    "p",
    {},
    "Spent in " +
      m.year +
      ": " +
      money(m.total) +
      (m.other ? ", of it " + money(m.other) + " on things that are not in this list" : "") +
      (m.work ? ", " + money(m.work) + " on work hired, or bought with it" : "") +
      ". Still to spend: " +
      (m.still ? money(m.still) : "nothing that has a price") +
      ".",
  );
}
// what the shed holds by the stock and the log
function shed() {
  const rows = (R.on_hand || []).filter((h) => h.counted || h.bought || h.used);
  if (!rows.length) return [];
  return [
    el(
      "details",
      {},
      el("summary", {}, "What is on hand"),
      table(
        ["item", "#on hand"],
        rows.map((h) => {
          /** @type {any[] & { note?: string }} */
          const row = [h.item, amount(h.on_hand, h.unit)];
          const counted = amount(h.counted, h.unit) + " counted";
          row.note = [
            h.counted_on ? counted + " on " + sayDate(h.counted_on) : h.counted ? counted : "",
            h.bought ? amount(h.bought, h.unit) + " bought" : "",
            h.used ? amount(h.used, h.unit) + " used" : "",
            h.dated ? "" : "the count has no day, so the log does not change it",
            h.more_used ? amount(h.more_used, h.unit) + " more used than there was" : "",
          ]
            .filter(Boolean)
            .join(", ");
          return row;
        }),
      ),
    ),
  ];
}
function sums() {
  const costs = pieces.filter((p) => p.need?.cost).sort((a, b) => b.need.cost - a.need.cost);
  const out = [el("h2", {}, "Ground"), ...totals(), el("h2", {}, "To buy")];
  if (R.totals.cost) out.push(el("p", { class: "big num" }, money(R.totals.cost)));
  out.push(shopping());
  const money_spent = spending();
  if (money_spent) out.push(money_spent);
  out.push(...shed());
  if (R.shopping.length)
    out.push(
      el(
        "details",
        {},
        el("summary", {}, "What each piece of ground takes"),
        ...R.shopping
          .filter((s) => s.used_by.length)
          .map((s) =>
            el(
              "p",
              {},
              el("b", {}, s.item + ": "),
              s.used_by.map((u) => u.area + " " + needed(u.amount, s)).join("; "),
            ),
          ),
      ),
    );
  if (R.shopping.length) out.push(whySums());
  out.push(...hours());
  out.push(...lastYear());
  const plans = R.fertilizer_plan?.text || [],
    much = R.how_much?.text || [];
  if (plans.length) out.push(el("h2", {}, "Fertilizer plans"), ...plans.map((t) => el("p", {}, t)));
  if (much.length)
    out.push(
      el(
        "details",
        {},
        el("summary", {}, "How much is planted, and what others print"),
        ...much.map((t) => el("p", {}, t)),
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
          money(metric ? p.need.cost_ac / HA_AC : p.need.cost_ac),
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
  if (!doubts.length) return [...out, el("p", {}, "Nothing is amiss.")];
  out.push(el("p", {}, D.look + "."));
  const groups = new Map();
  for (const x of doubts) {
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
            el("p", {}, el("span", { class: "hide" }, SAY[x.level] + ": "), el("b", {}, x.head)),
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
