// Patches of patterns, tables and notes: text only, never markup.
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
  SAY = D.words.levels;
// a note: what is wrong, what more there is to it, what would help, where it was read
const rest = (note) => [
  note.more ? el("p", {}, note.more) : null,
  note.help
    ? [
        el("p", {}, D.words.help),
        el(
          "ol",
          {},
          note.help.map((way) => el("li", {}, way)),
        ),
      ]
    : null,
  note.cited ? el("p", { class: "cited" }, D.words.read + note.cited) : null,
];
const said = (note) =>
  el(
    "div",
    { class: "said " + note.level },
    el("p", {}, el("b", {}, SAY[note.level] + ": "), note.head),
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
  for (const note of [...(p.notes || []), ...(p.need?.notes || [])])
    notes.push(Object.assign({}, note, { piece: p.id, feature: note.feature || p.area || p.name }));
}
const ORDER = { warning: 0, caution: 1, info: 2 };
notes.sort((a, b) => ORDER[a.level] - ORDER[b.level]);
const doubts = notes.filter((x) => x.level !== "info");
const jobsOf = new Map();
// what was missed is told in its own lines, repeated jobs in one
for (const t of Y.tasks.filter((x) => x.state !== "missed")) {
  if (!jobsOf.has(t.area_id)) jobsOf.set(t.area_id, []);
  jobsOf.get(t.area_id).push(t);
}
const nextJob = (id) =>
  (jobsOf.get(id) || [])
    .filter((t) => t.status === "planned" && t.scheduled >= TODAY && !tickOf(t))
    .sort((a, b) => (a.scheduled < b.scheduled ? -1 : 1))[0];
const packs = new Map(R.shopping.filter((s) => s.pack).map((s) => [s.item, s.pack]));
const bags = (item, lb) =>
  packs.has(item) ? n(lb / packs.get(item), 1) + " of " + pack(packs.get(item), "lb") : "";

// ground is unpacked once: it is fitted, drawn and printed
function rings(f) {
  f.drawn ||= f.polygons.map((p) => p.map(run));
  return f.drawn;
}
