// The map, and what is done on it by hand.
const chart = map_ground,
  shapes = new Map(),
  still = { interactive: false };
const box = chart.getContainer();
box.setAttribute("role", "application");
box.setAttribute(
  "aria-label",
  "Map of the ground. Arrow keys move it, plus and minus change its scale.",
);
let chosen = null,
  leaf = "ground",
  query = "",
  dueFirst = true,
  spot = null,
  scale = null,
  size = 16;

// lines that can be shown or put away: name, word, color, dash, width in the key, shown at
// first, how it is drawn
const lines = (f) => f.lines.map(run);
/** @type {[string, string, string, string, number, boolean, (f: any) => L.Layer][]} */
const EXTRAS = [
  [
    "bands",
    "edge, give or take",
    "#23261f66",
    "",
    9,
    true,
    (f) =>
      L.polygon(
        rings(f),
        Object.assign({ stroke: false, fillColor: "#23261f", fillOpacity: 0.22 }, still),
      ),
  ],
  [
    "previous",
    "vine edge, earlier surveys",
    "#4a1f54",
    "3 4",
    2,
    true,
    (f) =>
      L.polygon(
        rings(f),
        Object.assign({ color: "#4a1f54", weight: 2, dashArray: "3 5", fill: false }, still),
      ),
  ],
  [
    "weak",
    "strip too thin",
    "#a51c14",
    "6 3",
    6,
    true,
    (f) =>
      L.polyline(
        lines(f),
        Object.assign(
          { color: "#a51c14", weight: 7, lineCap: /** @type {const} */ ("butt"), dashArray: "7 4" },
          still,
        ),
      ),
  ],
  [
    "passes",
    "mower passes",
    "#5f1a42",
    "",
    1,
    false,
    (f) => L.polyline(lines(f), Object.assign({ color: "#5f1a42", weight: 0.8 }, still)),
  ],
  [
    "taped",
    "taped lines",
    "#23261f",
    "2 4",
    1.5,
    true,
    (f) =>
      L.polyline(
        lines(f),
        Object.assign({ color: "#23261f", weight: 1.5, dashArray: "2 4" }, still),
      ),
  ],
  [
    "readings",
    "readings that differ",
    "#0d473d",
    "8 3",
    2,
    true,
    (f) =>
      L.polygon(
        rings(f),
        Object.assign({ color: "#0d473d", weight: 2, dashArray: "8 3", fill: false }, still),
      ),
  ],
  [
    "walks",
    "walks as recorded",
    "#1d3f8a",
    "2 3",
    2.5,
    false,
    (f) =>
      L.polyline(
        lines(f),
        Object.assign({ color: "#1d3f8a", weight: 1.6, dashArray: "1 4" }, still),
      ),
  ],
  [
    "removed",
    "points left out",
    "#a51c14",
    "4 5",
    5,
    false,
    (f) =>
      L.circleMarker(
        run(f.at)[0],
        Object.assign({ radius: 3, color: "#a51c14", weight: 1.5, fill: false }, still),
      ),
  ],
];
const under = chart.createPane("under");
under.style.zIndex = "250";
const picture = D.under && L.imageOverlay(D.under.data, D.under.bounds, { pane: "under", alt: "" });
const extras = new Map();
for (const [name, , , , , at_first, how] of EXTRAS)
  if (L0(name).length)
    extras.set(name, {
      on: at_first,
      group: null,
      how,
      make: () => L.layerGroup(L0(name).map(how)),
    });
if (picture) extras.set("under", { on: true, group: picture, make: () => picture });

// the key: kinds, then lines with a tick each
const used = new Set(pieces.map((p) => p.kind));
const sample = (color, dash, width) =>
  swatch(
    null,
    draw2(
      "path",
      Object.assign(
        { d: "M0 8H26", stroke: color, "stroke-width": width },
        dash ? { "stroke-dasharray": dash } : {},
      ),
    ),
  );
for (const k in KINDS) if (used.has(k)) $("key-list").append(el("li", {}, swatch(k), KINDS[k][0]));
if (L0("boundary").length)
  $("key-list").append(el("li", {}, sample("#23261f", "8 3 2 3", 2), "property line"));
function ticked(name, word, mark) {
  if (!extras.has(name)) return;
  const tick = el("input", { type: "checkbox", id: "show-" + name });
  tick.checked = extras.get(name).on;
  tick.addEventListener("change", () => show(name, tick.checked));
  $("key-list").append(el("li", {}, el("label", { for: "show-" + name }, tick, mark, word)));
}
for (const [name, word, color, dash, width] of EXTRAS)
  ticked(name, word, sample(color, dash, width));
ticked("under", "picture underneath", swatch("picture"));
if (small()) $("key").removeAttribute("open");
$("key").addEventListener("toggle", () => {
  chart.invalidateSize({ animate: false });
  showTags();
});

// the view is set before anything is drawn, so that all is drawn once
masthead();
chart.invalidateSize({ animate: false });
const all = L.latLngBounds([]);
for (const f of [...L0("areas"), ...L0("strips"), ...L0("boundary")]) {
  let [s, w, n, e] = [90, 720, -90, -720];
  for (const p of rings(f))
    for (const at of p[0]) {
      s = Math.min(s, at[0]);
      n = Math.max(n, at[0]);
      w = Math.min(w, at[1]);
      e = Math.max(e, at[1]);
    }
  f.edge = L.latLngBounds([s, w], [n, e]);
  all.extend(f.edge);
}
// whether the map shows the whole place, as it does until somebody moves it
let atWhole = false;
function wholePlace(paper) {
  if (!all.isValid()) return chart.setView([0, 0], 2, { animate: false });
  chart.fitBounds(all, {
    paddingTopLeft: [24, paper === true ? 24 : 60],
    paddingBottomRight: [24, paper === true ? 24 : 34],
    animate: false,
  });
  atWhole = true;
}
wholePlace();
chart.on("movestart", () => {
  atWhole = false;
});
// a phone that is turned, or a window made larger, shows the whole place again
chart.on("resize", () => {
  if (atWhole) wholePlace();
});
if (D.tiles) {
  L.tileLayer(D.tiles.url, { maxZoom: 22, maxNativeZoom: D.tiles.most_zoom }).addTo(chart);
  $("credit").textContent = D.tiles.credit || "";
}
for (const b of L0("boundary"))
  L.polygon(
    rings(b),
    Object.assign({ color: "#23261f", weight: 2.5, dashArray: "12 5 2 5", fill: false }, still),
  ).addTo(chart);
const pieceAt = new Map(),
  edgeOf = new Map();
const brief = (name) => [...name].slice(0, 200).join("");
function ground(f) {
  const piece = byId.get(f.id),
    kind = piece.kind;
  const layer = L.polygon(rings(f), {
    color: KINDS[kind][1],
    weight: 2,
    fillColor: "url(#pat-" + kind + ")",
    fillOpacity: 1,
    className: "ground is-" + kind,
  }).addTo(chart);
  layer.on("click", (e) => {
    if (!taping) {
      L.DomEvent.stopPropagation(e);
      choose(piece.id, true);
    }
  });
  const node = /** @type {Element} */ (layer.getElement());
  node.setAttribute("tabindex", "0");
  node.setAttribute("role", "button");
  node.setAttribute("aria-label", brief(piece.name) + ", " + KINDS[kind][0]);
  shapes.set(piece.id, layer);
  edgeOf.set(piece.id, f.edge);
  pieceAt.set(node, piece);
}
for (const f of L0("areas")) ground(f);
for (const f of L0("strips")) ground(f);
box.addEventListener("keydown", (e) => {
  const piece = pieceAt.get(e.target);
  if (piece && (e.key === "Enter" || e.key === " ")) {
    e.preventDefault();
    e.stopPropagation();
    choose(piece.id, true);
  }
});
// what the pointer or the keyboard is on is named, however small it is drawn
const hint = L.tooltip({ direction: "top", className: "hint", opacity: 1, offset: [0, -6] });
const unhint = () => hint.remove();
function named(e) {
  const piece = pieceAt.get(e.target);
  if (!piece) return unhint();
  const at = e.type === "focusin" ? edgeOf.get(piece.id).getCenter() : chart.mouseEventToLatLng(e);
  hint
    .setContent(
      el(
        "span",
        {},
        el("b", {}, brief(piece.name)),
        " " + KINDS[piece.kind][0] + ", " + acres(piece.acres),
      ),
    )
    .setLatLng(at)
    .addTo(chart);
}
box.addEventListener("mouseover", named);
box.addEventListener("mouseleave", unhint);
box.addEventListener("focusin", named);
box.addEventListener("focusout", unhint);

const passFt = Math.min(
  ...R.strips.map((s) => (s.passes?.count ? s.width_ft / s.passes.count : 99)),
);
const perFoot = () =>
  (FT_M * 256 * 2 ** chart.getZoom()) / (40075016.686 * Math.cos(chart.getCenter().lat * D2R));
// passes nearer than three dots apart would be a blur: the strip's own pattern stands for them
function showPasses() {
  const x = extras.get("passes");
  if (!x) return;
  const near = x.on && passFt * perFoot() >= 3,
    view = chart.getBounds();
  if (x.group) x.group.remove();
  if (near) {
    const seen = L0("passes").filter((f) => edgeOf.get(f.of).intersects(view));
    x.group = L.layerGroup(seen.map(x.how)).addTo(chart);
  }
  $("field").classList.toggle("passing", near);
  $("show-passes").closest("label").lastChild.textContent =
    "mower passes" + (x.on && !near ? " (closer in)" : "");
}
function show(name, on) {
  const x = extras.get(name);
  if (!x) return;
  x.on = on;
  if (name === "passes") showPasses();
  else {
    x.group = x.group || x.make();
    if (on) x.group.addTo(chart);
    else x.group.remove();
  }
  const tick = $("show-" + name);
  if (tick) tick.checked = on;
  $("field").classList.toggle(
    "over",
    Boolean(D.tiles) || Boolean(picture && extras.get("under").on),
  );
}
for (const name of extras.keys()) if (extras.get(name).on) show(name, true);
$("field").classList.toggle("over", Boolean(D.tiles || picture));
