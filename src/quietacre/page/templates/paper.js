// Paper: a cover, a sheet for each piece that is worked, the year.
const WORKED = ["plot", "patch", "native", "burn", "strip", "firebreak"];
const shapeOf = new Map([...L0("areas"), ...L0("strips")].map((f) => [f.id, f]));
const sidesOf = new Map(D.sides.map((s) => [s.id, s.told]));
const trace = (pts, close) =>
  "M" + pts.map((p) => p[0].toFixed(1) + " " + p[1].toFixed(1)).join("L") + (close ? "Z" : "");
function plat(p, wide, high) {
  const f = shapeOf.get(p.id);
  if (!f || !sidesOf.has(p.id)) return null;
  const s = whole(sidesOf.get(p.id)),
    corners = /** @type {[number, number][]} */ ([]),
    lengths = [];
  for (let i = 0, x = 0, y = 0; i + 3 < s.length; i += 3) {
    x += s[i];
    y += s[i + 1];
    corners.push([y / STEP, x / STEP]);
    lengths.push(s[i + 2]);
  }
  const home = corners[0],
    mine = rings(f).map((poly) => poly.map((r) => flat(r, home)));
  const xs = mine.flat(2).map((c) => c[0]),
    ys = mine.flat(2).map((c) => c[1]);
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)],
    edge = 46;
  const k = Math.min((wide - 2 * edge) / (x1 - x0), (high - 2 * edge) / (y1 - y0));
  const to = (c) => [wide / 2 + (c[0] - (x0 + x1) / 2) * k, high / 2 - (c[1] - (y0 + y1) / 2) * k];
  const svg = draw2("svg", {
    viewBox: "0 0 " + wide + " " + high,
    class: "plat",
    role: "img",
    "aria-label": "Outline with the length of its sides",
  });
  const put = (shape, style) =>
    svg.append(
      draw2(
        "path",
        Object.assign(
          {
            d: rings(shape)
              .flat()
              .map((r) => trace(flat(r, home).map(to), true))
              .join(""),
            "fill-rule": "evenodd",
          },
          style,
        ),
      ),
    );
  // what lies beside it, faint
  for (const [id, other] of shapeOf)
    if (id !== p.id && shapes.get(id).getBounds().intersects(shapes.get(p.id).getBounds().pad(0.3)))
      put(other, { fill: "none", stroke: "#a59c86", "stroke-width": 1, "stroke-dasharray": "4 3" });
  put(f, { fill: "url(#pat-" + p.kind + ")", stroke: KINDS[p.kind][1], "stroke-width": 2 });
  for (const w of L0("passes").filter((x) => x.of === p.id))
    for (const l of lines(w))
      svg.append(
        draw2("path", {
          d: trace(flat(l, home).map(to)),
          fill: "none",
          stroke: "#5f1a42",
          "stroke-width": 0.5,
        }),
      );
  for (const w of L0("weak").filter((x) => x.of === p.id || x.id.startsWith(p.id + "-")))
    for (const l of lines(w))
      svg.append(
        draw2("path", {
          d: trace(flat(l, home).map(to)),
          fill: "none",
          stroke: "#a51c14",
          "stroke-width": 5,
          "stroke-dasharray": "5 3",
        }),
      );
  // lengths stand outside their side
  const at = flat(corners, home).map(to);
  const turn =
    Math.sign(
      at.reduce((a, c, i) => {
        const d = at[(i + 1) % at.length];
        return a + c[0] * d[1] - d[0] * c[1];
      }, 0),
    ) || 1;
  at.forEach((a, i) => {
    const b = at[(i + 1) % at.length],
      dx = b[0] - a[0],
      dy = b[1] - a[1],
      l = Math.hypot(dx, dy) || 1;
    svg.append(draw2("circle", { cx: a[0], cy: a[1], r: 2.6, fill: "#23261f" }));
    svg.append(
      draw2(
        "text",
        {
          x: (a[0] + b[0]) / 2 + ((turn * dy) / l) * 22,
          y: (a[1] + b[1]) / 2 - ((turn * dx) / l) * 15 + 4,
          "text-anchor": "middle",
        },
        feet(lengths[i]),
      ),
    );
  });
  // north and a bar of a round length
  svg.append(
    draw2("path", { d: "M" + (wide - 14) + " 8l5 15h-10z", fill: "#23261f" }),
    draw2("text", { x: wide - 14, y: 36, "text-anchor": "middle", class: "north" }, "N"),
  );
  const unit = metric ? 1 : FT_M,
    room = 90 / k / unit,
    ten = 10 ** Math.floor(Math.log10(room)),
    bar = [5, 2, 1].map((m) => m * ten).find((v) => v <= room) || ten;
  svg.append(
    draw2("path", {
      d: "M8 " + (high - 14) + "v6h" + (bar * unit * k).toFixed(1) + "v-6",
      fill: "none",
      stroke: "#23261f",
      "stroke-width": 1.4,
    }),
    draw2("text", { x: 12, y: high - 17 }, n(bar, 0) + (metric ? " m" : " ft")),
  );
  const reach = s.slice(-2);
  return el(
    "figure",
    { class: "platted" },
    svg,
    el(
      "figcaption",
      {},
      feet(reach[0]) +
        " west to east, " +
        feet(reach[1]) +
        " south to north. Lengths run along the edge, dot to dot.",
    ),
  );
}
function sheets() {
  const blank = () => el("td", {}, " ");
  const hand = (rows) => {
    const t = table(["date", "what was done", "amount", "minutes"], []);
    t.className = "hand";
    for (let i = 0; i < rows; i++)
      t.tBodies[0].append(el("tr", {}, blank(), blank(), blank(), blank()));
    return [
      t,
      el(
        "div",
        { class: "lines" },
        ["rain", "ground", "who"].map((w) => el("p", {}, w)),
      ),
    ];
  };
  const worked = pieces.filter((p) => WORKED.includes(p.kind));
  const words = $("key-list").cloneNode(true);
  words.removeAttribute("id");
  words.className = "paper-key";
  for (const tick of words.querySelectorAll("input")) {
    if (!tick.checked) tick.closest("li").remove();
    else tick.remove();
  }
  const cover = el(
    "div",
    { class: "cover" },
    words,
    R.property.note ? el("p", {}, R.property.note) : null,
    el(
      "div",
      { class: "pair" },
      el("div", {}, el("h3", {}, "Ground"), ...totals()),
      el(
        "div",
        {},
        el("h3", {}, "To buy" + (R.totals.cost ? ": " + money(R.totals.cost) : "")),
        shopping(true),
      ),
    ),
  );
  $("sheets").replaceChildren(
    cover,
    ...worked.map((p) => {
      const [told, last] = card(p, true),
        long = (jobsOf.get(p.id) || []).length > 8;
      return el(
        "div",
        { class: "sheet two" + (long ? " long" : "") },
        el("div", {}, ...told),
        el("div", {}, plat(p, 400, 300), el("h3", {}, "By hand"), hand(long ? 4 : 6), ...last),
      );
    }),
    el("div", { class: "sheet" }, ...yearly(true)),
    el(
      "div",
      { class: "sheet" },
      el("h2", {}, "Before you act on it"),
      ...cautionList(),
      ...looking(true),
    ),
  );
}
let before = null;
function toPaper() {
  if (before) return;
  before = { c: chart.getCenter(), z: chart.getZoom(), whole: atWhole };
  sheets();
  // the paper's size must be known before the map is fitted to it
  Object.assign($("land").style, { flex: "none", width: "700px", height: "440px" });
  chart.invalidateSize({ animate: false });
  wholePlace(true);
  showTags();
}
function fromPaper() {
  if (!before) return;
  const b = before;
  before = null;
  $("sheets").replaceChildren();
  Object.assign($("land").style, { flex: "", width: "", height: "" });
  chart.invalidateSize({ animate: false });
  if (b.whole) wholePlace();
  else chart.setView(b.c, b.z, { animate: false });
  showTags();
}
addEventListener("beforeprint", toPaper);
addEventListener("afterprint", fromPaper);
$("print").addEventListener("click", () => print());

rescale();
draw();
showPasses();
showTags();
document.documentElement.dataset.ready = "yes";
