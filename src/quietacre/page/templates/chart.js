// The map, and what is done on it by hand.
const chart = map_ground, shapes = new Map(), tags = [], still = { interactive: false };
const box = chart.getContainer();
box.setAttribute("role", "application");
box.setAttribute("aria-label", "Map of the ground. Arrow keys move it, plus and minus change its scale.");
let chosen = null, leaf = "ground", query = "", spot = null;

if (D.tiles) {
 L.tileLayer(D.tiles.url, { maxZoom: 22, maxNativeZoom: D.tiles.most_zoom }).addTo(chart);
 $("credit").textContent = D.tiles.credit || "";
}
const under = chart.createPane("under"); under.style.zIndex = 250;
const picture = D.under && L.imageOverlay(D.under.data, D.under.bounds, { pane: "under", alt: "" });
for (const b of L0("boundary")) L.polygon(rings(b), Object.assign({ color: "#23261f", weight: 2.5, dashArray: "12 5 2 5", fill: false }, still)).addTo(chart);
function ground(f) {
 const piece = byId.get(f.id), kind = piece.kind;
 const layer = L.polygon(rings(f), { color: KINDS[kind][1], weight: 2, fillColor: "url(#pat-" + kind + ")", fillOpacity: 1, className: "ground" }).addTo(chart);
 layer.on("click", (e) => { if (!taping) { L.DomEvent.stopPropagation(e); choose(piece.id, true); } });
 const node = layer.getElement();
 node.setAttribute("tabindex", "0"); node.setAttribute("role", "button");
 node.setAttribute("aria-label", [...piece.name].slice(0, 200).join("") + ", " + KINDS[kind][0]);
 node.addEventListener("keydown", (e) => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); e.stopPropagation(); choose(piece.id, true); } });
 shapes.set(piece.id, layer);
}
for (const f of L0("areas")) ground(f);
for (const f of L0("strips")) ground(f);

// lines that can be shown or put away: name, word, color, dash, width in the key, shown at first, how it is drawn
const lines = (f) => f.lines.map(run);
const EXTRAS = [
 ["bands", "± of a walked edge", "#23261f66", "", 9, true, (f) => L.polygon(rings(f), Object.assign({ stroke: false, fillColor: "#23261f", fillOpacity: 0.22 }, still))],
 ["previous", "vine edge, last survey", "#4a1f54", "3 4", 2, true, (f) => L.polygon(rings(f), Object.assign({ color: "#4a1f54", weight: 2, dashArray: "3 5", fill: false }, still))],
 ["weak", "strip too thin", "#a51c14", "6 3", 6, true, (f) => L.polyline(lines(f), Object.assign({ color: "#a51c14", weight: 7, lineCap: "butt", dashArray: "7 4" }, still))],
 ["passes", "mower passes", "#5f1a42", "", 1, false, (f) => L.polyline(lines(f), Object.assign({ color: "#5f1a42", weight: 1.2 }, still))],
 ["walks", "walks as recorded", "#1d3f8a", "2 3", 2.5, false, (f) => L.polyline(lines(f), Object.assign({ color: "#1d3f8a", weight: 1.6, dashArray: "1 4" }, still))],
 ["removed", "fixes set aside", "#a51c14", "4 5", 5, false, (f) => L.circleMarker(run(f.at)[0], Object.assign({ radius: 3, color: "#a51c14", weight: 1.5, fill: false }, still))],
];
const extras = new Map();
for (const [name, , , , , at_first, how] of EXTRAS) if (L0(name).length) extras.set(name, { on: at_first, group: null, make: () => L.layerGroup(L0(name).map(how)) });
if (picture) extras.set("under", { on: true, group: picture, make: () => picture });
function show(name, on) {
 const x = extras.get(name);
 if (!x) return;
 x.on = on; x.group = x.group || x.make();
 if (on) x.group.addTo(chart); else x.group.remove();
 const tick = $("show-" + name);
 if (tick) tick.checked = on;
 $("field").classList.toggle("over", Boolean(D.tiles) || Boolean(picture && extras.get("under").on));
}
for (const name of extras.keys()) show(name, extras.get(name).on);
$("field").classList.toggle("over", Boolean(D.tiles || picture));

for (const f of L0("waypoints")) {
 const at = run(f.at)[0];
 L.marker(at, { icon: L.divIcon({ className: "pin" }), keyboard: false, interactive: false }).addTo(chart);
 tag(at, f.name || "mark", "", null, 14);
}
function tag(at, name, size, id, drop) {
 const letters = [...name], label = el("span", {}, letters.length > 60 ? letters.slice(0, 60).join("") + "…" : name);
 const holder = el("span", { class: "label" }, label, size ? el("i", {}, size) : null);
 if (drop) holder.style.marginTop = drop + "px";
 const mark = L.marker(at, { icon: L.divIcon({ className: "tag", html: holder, iconSize: [0, 0] }), interactive: false, keyboard: false });
 tags.push({ mark, id, box: holder }); return mark;
}
// the largest ground is labelled first
for (const p of [...R.areas].sort((a, b) => b.acres - a.acres)) tag([p.lat, p.lon], p.name, acres(p.acres), p.id);
function showTags() {
 const free = [], view = chart.getSize(), em = size / 16;
 for (const t of tags) {
  const at = chart.latLngToContainerPoint(t.mark.getLatLng());
  let fits = at.x > -80 && at.y > -40 && at.x < view.x + 80 && at.y < view.y + 40;
  const w = Math.min(150, t.box.textContent.length * 5 + 16) * em, h = 16 * em, mine = [at.x - w / 2, at.y - h, at.x + w / 2, at.y + h];
  if (fits && t.id) {
   const b = shapes.get(t.id).getBounds(), q = chart.latLngToContainerPoint(b.getNorthEast()), s = chart.latLngToContainerPoint(b.getSouthWest());
   fits = q.x - s.x > 46 && s.y - q.y > 22;
  } else if (fits) fits = chart.getZoom() > 14;
  fits = fits && !free.some((o) => o[0] < mine[2] && mine[0] < o[2] && o[1] < mine[3] && mine[1] < o[3]);
  if (fits) { free.push(mine); t.mark.addTo(chart); } else t.mark.remove();
 }
}
let all = L.latLngBounds([]);
for (const layer of shapes.values()) all.extend(layer.getBounds());
for (const b of L0("boundary")) for (const p of rings(b)) all.extend(p[0]);
function whole(paper) {
 if (!all.isValid()) return chart.setView([0, 0], 2, { animate: false });
 const room = paper !== true && !small() && $("key").open ? $("key").offsetWidth + 20 : 24;
 chart.fitBounds(all, { paddingTopLeft: [24, paper === true ? 24 : small() ? 64 : 60], paddingBottomRight: [room, paper === true ? 24 : small() ? 64 : 34], animate: false });
}
let scale = null, size = 16;
function rescale() {
 if (scale) scale.remove();
 scale = L.control.scale({ position: "bottomleft", maxWidth: 130, metric, imperial: !metric }).addTo(chart);
}
chart.on("moveend", showTags);

function choose(id, fromMap) {
 if (chosen && shapes.has(chosen)) shapes.get(chosen).setStyle({ weight: 2 });
 chosen = id; leaf = "ground";
 const layer = id && shapes.get(id);
 if (layer) {
  layer.setStyle({ weight: 5 });
  if (byId.get(id).kind === "strip" && extras.has("passes")) show("passes", true);
  const key = !small() && $("key").open ? $("key").offsetWidth : 0;
  if (!fromMap) chart.fitBounds(layer.getBounds(), { paddingTopLeft: [60, 60], paddingBottomRight: [60 + key, 60], maxZoom: 18, animate: !calm });
 }
 draw();
 $("leaf").scrollTop = 0;
 if (!fromMap || small()) $("leaf").focus({ preventScroll: !(small() && fromMap) });
}
function placeOf(note) {
 if (note.lon != null) return [note.lat, note.lon];
 const p = byId.get(note.piece) || pieces.find((x) => x.name === note.feature);
 return p && p.lat != null ? [p.lat, p.lon] : null;
}
function point(note) {
 const at = placeOf(note);
 if (!at) return;
 if (spot) spot.remove();
 spot = L.marker(at, { icon: L.divIcon({ className: "spot" }), interactive: false, keyboard: false }).addTo(chart);
 chart.setView(at, Math.max(chart.getZoom(), 16), { animate: !calm });
 $("readout").textContent = [...note.text].slice(0, 160).join("");
 if (small()) $("field").scrollIntoView({ behavior: calm ? "auto" : "smooth" });
}

// the key: kinds, then lines with a tick each
const used = new Set(pieces.map((p) => p.kind));
const sample = (color, dash, width) => swatch(null, draw2("path", Object.assign({ d: "M0 8H26", stroke: color, "stroke-width": width }, dash ? { "stroke-dasharray": dash } : {})));
for (const k in KINDS) if (used.has(k)) $("key-list").append(el("li", {}, swatch(k), KINDS[k][0]));
if (L0("boundary").length) $("key-list").append(el("li", {}, sample("#23261f", "8 3 2 3", 2), "property line"));
function ticked(name, word, mark) {
 if (!extras.has(name)) return;
 const tick = el("input", { type: "checkbox", id: "show-" + name });
 tick.checked = extras.get(name).on;
 tick.addEventListener("change", () => show(name, tick.checked));
 $("key-list").append(el("li", {}, el("label", { for: "show-" + name }, mark, tick, word)));
}
for (const [name, word, color, dash, width] of EXTRAS) ticked(name, word, sample(color, dash, width));
ticked("under", "picture underneath", swatch("picture"));
if (small()) $("key").removeAttribute("open");

// the tape: distances and areas by hand
let taping = false, knots = [], string = null;
function readTape() {
 if (string) string.remove();
 string = null;
 $("undo").hidden = !knots.length;
 if (!knots.length) { $("readout").textContent = taping ? "Tap the map to lay the tape, or press Enter for its middle. Escape rolls it up." : ""; return; }
 string = L.layerGroup([
  knots.length > 2 ? L.polygon(knots, Object.assign({ stroke: false, fillColor: "#7b2d26", fillOpacity: 0.12 }, still)) : L.layerGroup(),
  L.polyline(knots, Object.assign({ color: "#7b2d26", weight: 3 }, still)),
  ...knots.map((k) => L.circleMarker(k, Object.assign({ radius: 4, color: "#7b2d26", fillColor: "#fff", fillOpacity: 1 }, still)))]).addTo(chart);
 const xy = flat(knots.map((k) => [k.lat, k.lng])); let far = 0, last = 0, twice = 0;
 for (let i = 1; i < xy.length; i++) far += last = Math.hypot(xy[i][0] - xy[i - 1][0], xy[i][1] - xy[i - 1][1]);
 for (let i = 0; i < xy.length; i++) { const a = xy[i], b = xy[(i + 1) % xy.length]; twice += a[0] * b[1] - a[1] * b[0]; }
 $("readout").textContent = feet(far / 0.3048) + (xy.length > 2 ? ", last leg " + feet(last / 0.3048) + " · encloses " + acres(Math.abs(twice) / 2 / 4046.8564224) : "");
}
function tape(on) { taping = on; knots = []; $("tape").setAttribute("aria-pressed", String(on)); $("field").classList.toggle("taping", on); readTape(); }
chart.on("click", (e) => { if (taping) { knots.push(e.latlng); readTape(); } });
box.addEventListener("keydown", (e) => { if (taping && e.key === "Enter") { e.preventDefault(); knots.push(chart.getCenter()); readTape(); } });
document.addEventListener("keydown", (e) => { if (e.key === "Escape") { if (taping) tape(false); else if (chosen) choose(null, true); } });
$("tape").addEventListener("click", () => tape(!taping));
$("undo").addEventListener("click", () => { knots.pop(); readTape(); });

let me = null;
$("here").addEventListener("click", () => {
 if (!navigator.geolocation) { $("readout").textContent = "This browser does not tell where it is."; return; }
 $("readout").textContent = "Asking the browser where it is…";
 navigator.geolocation.getCurrentPosition((g) => {
  if (me) me.remove();
  const at = [g.coords.latitude, g.coords.longitude];
  me = L.layerGroup([L.circle(at, Object.assign({ radius: g.coords.accuracy, color: "#194a63", weight: 1 }, still)), L.circleMarker(at, Object.assign({ radius: 7, weight: 3, color: "#fff", fillColor: "#194a63", fillOpacity: 1 }, still))]).addTo(chart);
  chart.setView(at, Math.max(chart.getZoom(), 16), { animate: !calm });
  $("readout").textContent = "You are here, ± " + feet(g.coords.accuracy / 0.3048);
 }, () => { $("readout").textContent = "The browser did not tell where it is."; }, { enableHighAccuracy: true, timeout: 20000 });
});
$("in").addEventListener("click", () => chart.zoomIn(0.75));
$("out").addEventListener("click", () => chart.zoomOut(0.75));
$("whole").addEventListener("click", () => whole());
$("units").addEventListener("click", () => { metric = !metric; rescale(); draw(); readTape(); });
const resize = (by) => { size = Math.min(26, Math.max(12, size + by)); document.documentElement.style.fontSize = size + "px"; chart.invalidateSize(); showTags(); };
$("smaller").addEventListener("click", () => resize(-2));
$("larger").addEventListener("click", () => resize(2));
