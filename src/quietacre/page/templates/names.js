// Names on the map: each where it fits, never one on another; the chosen and the largest ground
// first.
const tags = [],
  pins = [];
for (const p of [...R.areas].sort((a, b) => b.acres - a.acres))
  tags.push({ at: L.latLng(p.lat, p.lon), name: p.called || p.name, id: p.id });
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
for (const f of L0("taped")) {
  const at = L.polyline(lines(f)).getBounds().getCenter();
  tags.push({ at, name: f.name, id: null });
}
const MOST_EM = 9;
const pen = /** @type {CanvasRenderingContext2D} */ (
  document.createElement("canvas").getContext("2d")
);
// how many rows a name takes: the browser breaks it between words, a word that is too long inside
function rowsOf(name, most) {
  let rows = 1,
    used = 0;
  for (const word of name.split(" ")) {
    const wide = pen.measureText(word).width + 3;
    if (used && used + pen.measureText(" ").width + wide > most) {
      rows += 1;
      used = 0;
    }
    used += (used ? pen.measureText(" ").width : 0) + wide;
    while (used > most) {
      rows += 1;
      used -= most;
    }
  }
  return rows;
}
function sizeOf(t) {
  if (t.em === size) return t;
  const em = 0.78 * size;
  pen.font = "600 " + em + "px " + getComputedStyle(box).fontFamily;
  const rows = rowsOf(t.name, MOST_EM * em),
    long = pen.measureText(t.name).width + 6;
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
    .map((e) => e.getBoundingClientRect())
    .filter((r) => r.width)
    .map((r) => [r.left - home.left, r.top - home.top, r.right - home.left, r.bottom - home.top]);
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
  const order = chosen ? [...tags].sort((a, b) => +(b.id === chosen) - +(a.id === chosen)) : tags;
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
        el("span", {}, t.name),
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
/**
 * Where a note points at, null when it has no place.
 * @param {any} note
 * @returns {?[number, number]}
 */
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
  $("readout").textContent = [...printed(note.head)].slice(0, 160).join("");
  if (small()) $("field").scrollIntoView({ behavior: calm ? "auto" : "smooth" });
}
