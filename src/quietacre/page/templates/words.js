// What the page holds, and how figures are said.
const $ = (id) => document.getElementById(id);
// the data come packed by column; page/pack.py says how
const SIGNS = new Uint8Array(128);
[..."ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"].forEach((c, i) => {
  SIGNS[c.charCodeAt(0)] = i;
});
function whole(text) {
  const out = [];
  for (let i = 0, v = 0, bit = 0; i < text.length; i++) {
    const d = SIGNS[text.charCodeAt(i)];
    v += (d & 31) << bit;
    bit += 5;
    if (d < 32) {
      out.push(v & 1 ? -((v + 1) / 2) : v / 2);
      v = bit = 0;
    }
  }
  return out;
}
function column(c, n) {
  if (Array.isArray(c)) return c;
  if ("=" in c) return new Array(n).fill(c["="]);
  if (c.of) {
    const all = column(c.of, c.d);
    return whole(c.at).map((i) => all[i]);
  }
  if (c.in) {
    const counts = whole(c.rows),
      all = column(
        c.in,
        counts.reduce((a, k) => a + Math.max(k, 0), 0),
      );
    let at = 0;
    return counts.map((k) => (k < 0 ? null : all.slice(at, (at += k))));
  }
  const none = new Set(whole(c.no)),
    made = {},
    out = [];
  for (const k in c.keys)
    made[k] = typeof c.keys[k] === "string" ? made[c.keys[k]] : column(c.keys[k], n - none.size);
  for (let i = 0, j = 0; i < n; i++) {
    if (none.has(i)) {
      out.push(null);
      continue;
    }
    const record = {};
    for (const k in made) record[k] = made[k][j];
    out.push(record);
    j += 1;
  }
  return out;
}
const D = column(JSON.parse($("ledger-data").textContent), 1)[0];
const R = D.report,
  Y = R.year || { tasks: [], quiet: [], trips: 0 },
  L0 = (name) => D.layers[name] || [];
const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
const small = () => innerWidth <= 760;
let metric = D.units === "metric";

// words and line colors of the kinds, and how figures are said: tables of kinds.py, figures.py
const KINDS = D.kinds,
  FIGURES = D.figures;
const MONTHS = [
  "January",
  "February",
  "March",
  "April",
  "May",
  "June",
  "July",
  "August",
  "September",
  "October",
  "November",
  "December",
];
const DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];

// made once for each number of decimals: making one costs more than a thousand uses
const ways = [];
const n = (v, d) =>
  (ways[d] =
    ways[d] ||
    new Intl.NumberFormat("en-US", { minimumFractionDigits: d, maximumFractionDigits: d }))
    .format(v)
    .replace(/^-(?=[0.,]*$)/, "");
function measure(name) {
  const m = FIGURES.measures[name];
  return (v) => {
    const way = metric ? m.metric : m.us;
    const places = v < m.small ? way.few : way.places;
    let text = n(v * way.factor, places);
    if (m.neverNothing && v && text === n(0, places)) text = n(v * way.factor, places + 2);
    return text + " " + way.word;
  };
}
const acres = measure("acres"),
  feet = measure("feet"),
  pounds = measure("pounds"),
  rate = measure("rate"),
  gallons = measure("gallons"),
  tons = measure("tons"),
  ounces = measure("fluid_ounces");
// sentences come in US units; what stands in quotation marks is a name and stays as it is
const NUMBER = String.raw`\d[\d,]*(?:\.\d+)?`;
const INCHES = String.raw`in\.|in(?= (?:deep|from|within|of rain)|[,;)])`;
const MEASURES = [
  String.raw`lb/ac|lb|oz|fl oz|sq ft|ft|${INCHES}`,
  "gal/ac|gal|tons?/ac|tons?|acres|ac|mph|mi",
].join("|");
const FIGURE = new RegExp(
  String.raw`(${NUMBER})(?:(-|–| to )(${NUMBER}))? (${MEASURES})(?![\w/])`,
  "g",
);
const figure = (v) => n(v, FIGURES.steps.filter((most) => v < most).length);
function u(text) {
  if (!metric || typeof text !== "string") return text;
  return text
    .split(/(“[^”]*”)/)
    .map((part) =>
      part[0] === "“"
        ? part
        : part.replace(FIGURE, (all, a, to, b, unit) => {
            const [factor, word] = FIGURES.sentences[unit],
              told = (x) => figure(parseFloat(x.replace(/,/g, "")) * factor);
            return told(a) + (b ? to + told(b) : "") + " " + word;
          }),
    )
    .join("");
}
const money = (v) => (v == null ? "" : "$" + n(v, 2));
const amount = (v, u) =>
  u === "lb" ? pounds(v) : u === "fl oz" ? ounces(v) : n(v, 1) + " " + u;
const pack = (v, u) => amount(v, u).replace(".0 ", " ");
const give = (p) => (p.acres_high - p.acres_low) / 2;
const minutes = (v) => (v < 90 ? n(v, 0) + " min" : n(v / 60, 1) + " h");
// a day is said one way everywhere: Sat, July 4, 2027; without its year where that stands above
const monthDay = (md) => MONTHS[+md.slice(0, 2) - 1] + " " + +md.slice(3);
const weekDay = (iso) => DAYS[new Date(iso + "T00:00:00Z").getUTCDay()];
const sayDay = (iso) => weekDay(iso) + ", " + monthDay(iso.slice(5));
const sayDate = (iso) => sayDay(iso) + ", " + iso.slice(0, 4);

// builders: text only, never markup
function el(tag, opts, ...kids) {
  const e = document.createElement(tag);
  for (const k in opts || {}) {
    if (k === "class") e.className = opts[k];
    else if (k === "on") e.addEventListener("click", opts[k]);
    else e.setAttribute(k, opts[k]);
  }
  for (const kid of kids.flat(3))
    if (kid != null) e.append(kid instanceof Node ? kid : String(kid));
  return e;
}
function draw2(tag, opts, ...kids) {
  const e = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const k in opts || {}) e.setAttribute(k, opts[k]);
  for (const kid of kids.flat()) if (kid != null) e.append(kid instanceof Node ? kid : String(kid));
  return e;
}
const swatch = (kind, ...more) =>
  el(
    "span",
    { class: "swatch", "aria-hidden": "true" },
    draw2(
      "svg",
      {},
      draw2("rect", {
        width: "100%",
        height: "100%",
        fill: kind ? "url(#pat-" + kind + ")" : "#fffdf8",
      }),
      ...more,
    ),
  );
// a row may carry a note, said on a line of its own below it
function table(heads, rows) {
  const num = heads.map((h) => h.startsWith("#"));
  return el(
    "table",
    {},
    el(
      "thead",
      {},
      el(
        "tr",
        {},
        heads.map((h, i) =>
          el("th", { scope: "col", class: num[i] ? "num" : "" }, h.replace("#", "")),
        ),
      ),
    ),
    el(
      "tbody",
      {},
      rows.flatMap((r) =>
        [
          el(
            "tr",
            r.note ? { class: "noted" } : {},
            r.map((c, i) =>
              el(
                i ? "td" : "th",
                Object.assign({ class: num[i] ? "num" : "" }, i ? {} : { scope: "row" }),
                c,
              ),
            ),
          ),
          r.note ? el("tr", {}, el("td", { colspan: heads.length, class: "soft" }, r.note)) : null,
        ].filter(Boolean),
      ),
    ),
  );
}
const MARK = { warning: "!", caution: "?", info: "i" },
  SAY = { warning: "Warning", caution: "Caution", info: "Note" };
// a note: what is wrong, what more there is to it, what would help, where it was read
const textOf = (note) => [note.head, note.more, ...(note.help || [])].filter(Boolean).join(" ");
const rest = (note) => [
  note.more ? el("p", {}, u(note.more)) : null,
  note.help
    ? [
        el("p", {}, "What would help:"),
        el(
          "ol",
          {},
          note.help.map((way) => el("li", {}, u(way))),
        ),
      ]
    : null,
  note.cited ? el("p", { class: "cited" }, "Read in: " + note.cited) : null,
];
const said = (note) =>
  el(
    "div",
    { class: "said " + note.level },
    el("p", {}, el("b", {}, SAY[note.level] + ": "), u(note.head)),
    rest(note),
  );

// what there is
const pieces = R.areas
  .map((a) => Object.assign({ group: "area" }, a))
  .concat(R.strips.map((s) => Object.assign({ group: "strip" }, s)));
const byId = new Map(pieces.map((p) => [p.id, p]));
const notes = [];
for (const note of R.notes) notes.push(note);
for (const p of pieces) {
  for (const note of [...(p.notes || []), ...((p.need && p.need.notes) || [])])
    notes.push(Object.assign({}, note, { piece: p.id, feature: note.feature || p.area || p.name }));
}
const ORDER = { warning: 0, caution: 1, info: 2 };
notes.sort((a, b) => ORDER[a.level] - ORDER[b.level]);
const worth = notes.filter((x) => x.level !== "info");
const jobsOf = new Map();
// what was missed is told in its own lines, repeated jobs in one
for (const t of Y.tasks.filter((x) => x.state !== "missed")) {
  if (!jobsOf.has(t.area_id)) jobsOf.set(t.area_id, []);
  jobsOf.get(t.area_id).push(t);
}
// the day it is read, but never before the day it was made
const clock = new Date(),
  two = (v) => String(v).padStart(2, "0");
const TODAY = [
  R.made_on,
  clock.getFullYear() + "-" + two(clock.getMonth() + 1) + "-" + two(clock.getDate()),
].sort()[1];
const nextJob = (id) =>
  (jobsOf.get(id) || [])
    .filter((t) => t.status === "planned" && t.scheduled >= TODAY)
    .sort((a, b) => (a.scheduled < b.scheduled ? -1 : 1))[0];
const packs = new Map(R.shopping.filter((s) => s.pack).map((s) => [s.item, s.pack]));
const bags = (item, lb) =>
  packs.has(item) ? n(lb / packs.get(item), 1) + " of " + pack(packs.get(item), "lb") : "";

// places come as steps of a millionth of a degree, each from the one before
const STEP = 1e6;
function run(text) {
  const out = [],
    steps = whole(text);
  for (let i = 0, x = 0, y = 0; i < steps.length; i += 2)
    out.push([(y += steps[i + 1]) / STEP, (x += steps[i]) / STEP]);
  return out;
}
// ground is unpacked once: it is fitted, drawn and printed
const rings = (f) => f.drawn || (f.drawn = f.polygons.map((p) => p.map(run)));
const D2R = Math.PI / 180;
// metres east and north of the first point, on the ellipsoid's two radii there
function flat(pts, from) {
  const o = from || pts[0],
    s = Math.sin(o[0] * D2R),
    e2 = 0.0066943799901413165,
    w = 1 - e2 * s * s;
  const north = ((6378137 * (1 - e2)) / Math.pow(w, 1.5)) * D2R,
    east = (6378137 / Math.sqrt(w)) * Math.cos(o[0] * D2R) * D2R;
  return pts.map((p) => [(p[1] - o[1]) * east, (p[0] - o[0]) * north]);
}
