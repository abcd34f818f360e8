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
    "vine edge, last survey",
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
        Object.assign({ color: "#a51c14", weight: 7, lineCap: "butt", dashArray: "7 4" }, still),
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
under.style.zIndex = 250;
const picture = D.under && L.imageOverlay(D.under.data, D.under.bounds, { pane: "under", alt: "" });
const extras = new Map();
for (const [name, , , , , at_first, how] of EXTRAS)
  if (L0(name).length)
    extras.set(name, { on: at_first, group: null, make: () => L.layerGroup(L0(name).map(how)) });
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
let all = L.latLngBounds([]);
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
function wholePlace(paper) {
  if (!all.isValid()) return chart.setView([0, 0], 2, { animate: false });
  chart.fitBounds(all, {
    paddingTopLeft: [24, paper === true ? 24 : 60],
    paddingBottomRight: [24, paper === true ? 24 : 34],
    animate: false,
  });
}
wholePlace();
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
  const node = layer.getElement();
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
  ...R.strips.map((s) => (s.passes && s.passes.count ? s.width_ft / s.passes.count : 99)),
);
const perFoot = () =>
  (0.3048 * 256 * Math.pow(2, chart.getZoom())) /
  (40075016.686 * Math.cos(chart.getCenter().lat * D2R));
// passes nearer than three dots apart would be a blur: the strip's own pattern stands for them
function showPasses() {
  const x = extras.get("passes");
  if (!x) return;
  const near = x.on && passFt * perFoot() >= 3,
    view = chart.getBounds();
  if (x.group) x.group.remove();
  if (near) {
    const how = EXTRAS.find((e) => e[0] === "passes")[6];
    x.group = L.layerGroup(
      L0("passes")
        .filter((f) => edgeOf.get(f.of).intersects(view))
        .map(how),
    ).addTo(chart);
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

// names: each where it fits, never one on another; the chosen and the largest ground first
const tags = [],
  pins = [];
for (const p of [...R.areas].sort((a, b) => b.acres - a.acres))
  tags.push({ at: L.latLng(p.lat, p.lon), name: p.name, id: p.id });
for (const f of L0("waypoints")) {
  const at = L.latLng(run(f.at)[0]);
  L.marker(at, {
    icon: L.divIcon({ className: "pin" }),
    keyboard: false,
    interactive: false,
  }).addTo(chart);
  pins.push(at);
  tags.push({ at, name: f.name || "mark", id: null });
}
const pen = document.createElement("canvas").getContext("2d"),
  MOST_EM = 9;
function sizeOf(t) {
  if (t.em === size) return t;
  const em = 0.78 * size,
    letters = [...t.name];
  t.short = letters.length > 60 ? letters.slice(0, 60).join("") + "…" : t.name;
  pen.font = "600 " + em + "px " + getComputedStyle(box).fontFamily;
  const long = pen.measureText(t.short).width + 6,
    rows = Math.min(3, Math.ceil(long / (MOST_EM * em)));
  // words break unevenly: a name on two rows takes the whole width
  return Object.assign(t, {
    em: size,
    wide: rows > 1 ? MOST_EM * em : long,
    high: rows * em * 1.15 + 2,
    row: em * 1.15,
  });
}
function placesOf(t, x, y, others) {
  const { wide: w, high: h } = t,
    places = [];
  let left = x - 7,
    right = x + 7,
    top = y - 7,
    bottom = y + 7;
  if (t.id) {
    const edge = edgeOf.get(t.id),
      a = chart.latLngToContainerPoint(edge.getNorthWest()),
      b = chart.latLngToContainerPoint(edge.getSouthEast());
    const wide = b.x - a.x,
      high = b.y - a.y;
    if (wide < 4 && high < 4) return [];
    // a road is named beside its middle: its corners may lie far from it
    if (byId.get(t.id).kind !== "road") [left, top, right, bottom] = [a.x, a.y, b.x, b.y];
    if (right - left > w * 0.9 && bottom - top > h + t.row) places.push([x, y, h + t.row, ""]);
    if (right - left > w * 0.8 && bottom - top > h) places.push([x, y, h, "bare"]);
  } else if (chart.getZoom() < 14) return [];
  const mx = (left + right) / 2,
    my = (top + bottom) / 2;
  const beside = [
    [mx, bottom + h / 2 + 5, h, "bare below"],
    [mx, top - h / 2 - 5, h, "bare above"],
    [right + w / 2 + 6, my, h, "bare right"],
    [left - w / 2 - 6, my, h, "bare left"],
  ];
  if (others) {
    // on open ground; on a neighbor, whose name it would seem, only when chosen or seen from near
    for (const b of beside)
      b.push(
        others.filter(
          ([id, o]) =>
            id !== t.id &&
            o[0] < b[0] + w / 2 &&
            b[0] - w / 2 < o[2] &&
            o[1] < b[1] + h / 2 &&
            b[1] - h / 2 < o[3],
        ).length,
      );
    beside.sort((a, b) => a[4] - b[4]);
    if ((!t.id || t.id !== chosen) && chart.getZoom() < 17)
      return [...places, ...beside.filter((b) => !b[4])];
  }
  return [...places, ...beside];
}
function showTags() {
  const view = chart.getSize(),
    home = box.getBoundingClientRect();
  const taken = [
    ...document.querySelectorAll("#tools button,#compass,#credit,.leaflet-control-scale-line"),
  ]
    .filter((e) => e.offsetWidth)
    .map((e) => {
      const r = e.getBoundingClientRect();
      return [r.left - home.left, r.top - home.top, r.right - home.left, r.bottom - home.top];
    });
  for (const at of pins) {
    const p = chart.latLngToContainerPoint(at);
    taken.push([p.x - 6, p.y - 6, p.x + 6, p.y + 6]);
  }
  const others =
    tags.length < 200 &&
    R.areas
      .filter((p) => p.kind !== "road" && edgeOf.has(p.id))
      .map((p) => {
        const edge = edgeOf.get(p.id),
          a = chart.latLngToContainerPoint(edge.getNorthWest()),
          b = chart.latLngToContainerPoint(edge.getSouthEast());
        return [p.id, [a.x, a.y, b.x, b.y]];
      });
  const order = chosen ? [...tags].sort((a, b) => (b.id === chosen) - (a.id === chosen)) : tags;
  for (const t of order) {
    const p = chart.latLngToContainerPoint(t.at);
    let spot = null;
    if (p.x > -20 && p.y > -20 && p.x < view.x + 20 && p.y < view.y + 20) {
      sizeOf(t);
      spot = placesOf(t, p.x, p.y, others).find(([x, y, h]) => {
        const mine = [x - t.wide / 2, y - h / 2, x + t.wide / 2, y + h / 2];
        if (
          mine[0] < 0 ||
          mine[1] < 0 ||
          mine[2] > view.x ||
          mine[3] > view.y ||
          taken.some((o) => o[0] < mine[2] && mine[0] < o[2] && o[1] < mine[3] && mine[1] < o[3])
        )
          return false;
        taken.push(mine);
        return true;
      });
    }
    if (!spot) {
      if (t.mark) t.mark.remove();
      continue;
    }
    if (!t.mark) {
      t.box = el(
        "span",
        {},
        el("span", {}, t.short),
        t.id ? el("i", {}, acres(byId.get(t.id).acres)) : null,
      );
      t.mark = L.marker(t.at, {
        icon: L.divIcon({ className: "tag", html: t.box, iconSize: [0, 0] }),
        interactive: false,
        keyboard: false,
      });
    }
    t.box.className = "label " + spot[3];
    t.box.style.left = (spot[0] - p.x).toFixed(1) + "px";
    t.box.style.top = (spot[1] - p.y).toFixed(1) + "px";
    t.mark.addTo(chart);
  }
}
function rescale() {
  if (scale) scale.remove();
  scale = L.control
    .scale({ position: "bottomleft", maxWidth: 130, metric, imperial: !metric })
    .addTo(chart);
}
chart.on("moveend", () => {
  showPasses();
  showTags();
});

function choose(id, fromMap) {
  if (chosen && shapes.has(chosen)) shapes.get(chosen).setStyle({ weight: 2 });
  chosen = id;
  leaf = "ground";
  const layer = id && shapes.get(id);
  if (layer) {
    layer.setStyle({ weight: 5 });
    if (byId.get(id).kind === "strip" && extras.has("passes")) show("passes", true);
    if (!fromMap)
      chart.fitBounds(layer.getBounds(), { padding: [60, 60], maxZoom: 18.5, animate: !calm });
  }
  draw();
  showTags();
  $("leaf").scrollTop = 0;
  if (!fromMap || small()) $("leaf").focus({ preventScroll: !(small() && fromMap) });
}
function placeOf(note) {
  if (note.lon != null) return [note.lat, note.lon];
  let p = byId.get(note.piece) || pieces.find((x) => x.name === note.feature);
  if (p && p.lat == null) p = byId.get(p.of);
  return p && p.lat != null ? [p.lat, p.lon] : null;
}
function point(note) {
  const at = placeOf(note);
  if (!at) return;
  if (spot) spot.remove();
  spot = L.marker(at, {
    icon: L.divIcon({ className: "spot" }),
    interactive: false,
    keyboard: false,
  }).addTo(chart);
  chart.setView(at, Math.max(chart.getZoom(), 16), { animate: !calm });
  $("readout").textContent = [...u(note.head)].slice(0, 160).join("");
  if (small()) $("field").scrollIntoView({ behavior: calm ? "auto" : "smooth" });
}

// the tape: distances and areas by hand
let taping = false,
  knots = [],
  string = null;
function readTape() {
  if (string) string.remove();
  string = null;
  $("undo").hidden = !knots.length;
  if (!knots.length) {
    $("readout").textContent = taping
      ? "Tap the map to lay the tape, or press Enter for its middle. Escape rolls it up."
      : "";
    return;
  }
  string = L.layerGroup([
    knots.length > 2
      ? L.polygon(
          knots,
          Object.assign({ stroke: false, fillColor: "#7b2d26", fillOpacity: 0.12 }, still),
        )
      : L.layerGroup(),
    L.polyline(knots, Object.assign({ color: "#7b2d26", weight: 3 }, still)),
    ...knots.map((k) =>
      L.circleMarker(
        k,
        Object.assign({ radius: 4, color: "#7b2d26", fillColor: "#fff", fillOpacity: 1 }, still),
      ),
    ),
  ]).addTo(chart);
  const xy = flat(knots.map((k) => [k.lat, k.lng]));
  let far = 0,
    last = 0,
    twice = 0;
  for (let i = 1; i < xy.length; i++)
    far += last = Math.hypot(xy[i][0] - xy[i - 1][0], xy[i][1] - xy[i - 1][1]);
  for (let i = 0; i < xy.length; i++) {
    const a = xy[i],
      b = xy[(i + 1) % xy.length];
    twice += a[0] * b[1] - a[1] * b[0];
  }
  $("readout").textContent =
    feet(far / 0.3048) +
    (xy.length > 2
      ? ", last leg " +
        feet(last / 0.3048) +
        " · encloses " +
        acres(Math.abs(twice) / 2 / 4046.8564224)
      : "");
}
function tape(on) {
  taping = on;
  knots = [];
  $("tape").setAttribute("aria-pressed", String(on));
  $("field").classList.toggle("taping", on);
  readTape();
}
chart.on("click", (e) => {
  if (taping) {
    knots.push(e.latlng);
    readTape();
  }
});
box.addEventListener("keydown", (e) => {
  if (taping && e.key === "Enter") {
    e.preventDefault();
    knots.push(chart.getCenter());
    readTape();
  }
});
document.addEventListener("keydown", (e) => {
  if (e.key === "Escape") {
    if (taping) tape(false);
    else if (chosen) choose(null, true);
  }
});
$("tape").addEventListener("click", () => tape(!taping));
$("undo").addEventListener("click", () => {
  knots.pop();
  readTape();
});

let me = null;
$("here").addEventListener("click", () => {
  if (!navigator.geolocation) {
    $("readout").textContent = "This browser does not tell where it is.";
    return;
  }
  $("readout").textContent = "Asking the browser where it is…";
  navigator.geolocation.getCurrentPosition(
    (g) => {
      if (me) me.remove();
      const at = [g.coords.latitude, g.coords.longitude];
      me = L.layerGroup([
        L.circle(
          at,
          Object.assign({ radius: g.coords.accuracy, color: "#194a63", weight: 1 }, still),
        ),
        L.circleMarker(
          at,
          Object.assign(
            { radius: 7, weight: 3, color: "#fff", fillColor: "#194a63", fillOpacity: 1 },
            still,
          ),
        ),
      ]).addTo(chart);
      chart.setView(at, Math.max(chart.getZoom(), 16), { animate: !calm });
      $("readout").textContent = "You are here, ± " + feet(g.coords.accuracy / 0.3048);
    },
    () => {
      $("readout").textContent = "The browser did not tell where it is.";
    },
    { enableHighAccuracy: true, timeout: 20000 },
  );
});
$("in").addEventListener("click", () => chart.zoomIn(0.75));
$("out").addEventListener("click", () => chart.zoomOut(0.75));
$("whole").addEventListener("click", () => wholePlace());
$("units").addEventListener("click", () => {
  metric = !metric;
  rescale();
  draw();
  readTape();
});
const resize = (by) => {
  size = Math.min(26, Math.max(12, size + by));
  document.documentElement.style.fontSize = size + "px";
  chart.invalidateSize();
  showTags();
};
$("smaller").addEventListener("click", () => resize(-2));
$("larger").addEventListener("click", () => resize(2));
