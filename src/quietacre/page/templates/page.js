"use strict";
(function () {
const D = JSON.parse(document.getElementById("ledger-data").textContent);
const R = D.report, chart = map_ground;
const $ = (id) => document.getElementById(id);
const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
let metric = D.units === "metric", leaf = "ground", chosen = null, query = "";

// ---- words and units ------------------------------------------------------
const KINDS = {
 plot: ["plot", "#6b4d00"], patch: ["vine patch", "#4a1f54"], native: ["native browse", "#425a17"],
 timber: ["timber", "#234229"], water: ["water", "#194a63"], road: ["road", "#4b463c"],
 keepout: ["keep out", "#34322d"], burn: ["burn block", "#7b2c12"], strip: ["mowed strip", "#8c2760"],
 firebreak: ["firebreak", "#5f2a12"] };
const n = (v, d) => v.toLocaleString("en-US", { minimumFractionDigits: d, maximumFractionDigits: d });
const acres = (v) => metric ? n(v * 0.40468564224, 2) + " ha" : n(v, 2) + " ac";
const feet = (v) => metric ? n(v * 0.3048, v < 160 ? 1 : 0) + " m" : n(v, 0) + " ft";
const pounds = (v) => metric ? n(v * 0.45359237, 1) + " kg" : n(v, v < 100 ? 1 : 0) + " lb";
const rate = (v) => metric ? n(v * 1.12085, 1) + " kg/ha" : n(v, 1) + " lb/ac";
const gallons = (v) => metric ? n(v * 3.785411784, 1) + " L" : n(v, 1) + " gal";
const tons = (v) => metric ? n(v * 0.90718474, 2) + " t" : n(v, 2) + " tons";
const money = (v) => v == null ? "" : "$" + n(v, 2);
const amount = (v, u) => u === "lb" ? pounds(v) : u === "fl oz" ? (metric ? n(v * 29.5735, 0) + " mL" : n(v, 1) + " fl oz") : n(v, 1) + " " + u;
const span = (lo, hi, f) => hi - lo > 1e-9 ? "between " + f(lo) + " and " + f(hi) : "as drawn";

// ---- small builders: text only, never markup ------------------------------
function el(tag, opts, ...kids) {
 const e = document.createElement(tag);
 for (const k in opts || {}) {
  if (k === "class") e.className = opts[k];
  else if (k === "on") e.addEventListener("click", opts[k]);
  else e.setAttribute(k, opts[k]);
 }
 for (const kid of kids.flat()) if (kid != null) e.append(kid instanceof Node ? kid : String(kid));
 return e;
}
function swatch(kind) {
 const ns = "http://www.w3.org/2000/svg", box = el("span", { class: "swatch", "aria-hidden": "true" });
 const svg = document.createElementNS(ns, "svg"), r = document.createElementNS(ns, "rect");
 r.setAttribute("width", "100%"); r.setAttribute("height", "100%"); r.setAttribute("fill", "url(#pat-" + kind + ")");
 svg.append(r); box.append(svg); return box;
}
function table(heads, rows) {
 const num = heads.map((h) => h.startsWith("#"));
 return el("table", {}, el("thead", {}, el("tr", {}, heads.map((h, i) => el("th", { scope: "col", class: num[i] ? "num" : "" }, h.replace("#", ""))))),
  el("tbody", {}, rows.map((r) => el("tr", {}, r.map((c, i) => el("td", { class: num[i] ? "num" : "" }, c))))));
}
const MARK = { warning: "!", caution: "?", info: "i" }, SAY = { warning: "Warning", caution: "Caution", info: "Note" };
const said = (note) => el("p", { class: "said " + note.level }, el("b", {}, SAY[note.level] + ": "), note.text);

// ---- what there is --------------------------------------------------------
const pieces = R.areas.map((a) => Object.assign({ group: "area" }, a))
 .concat(R.strips.map((s) => Object.assign({ group: "strip" }, s)));
const byId = new Map(pieces.map((p) => [p.id, p]));
const notes = [];
for (const note of R.notes) notes.push(note);
for (const p of pieces) {
 for (const note of p.notes || []) notes.push(Object.assign({ piece: p.id }, note));
 for (const note of (p.need && p.need.notes) || []) notes.push(Object.assign({ piece: p.id }, note));
}
const ORDER = { warning: 0, caution: 1, info: 2 };
notes.sort((a, b) => ORDER[a.level] - ORDER[b.level]);
const worth = notes.filter((x) => x.level !== "info");

// ---- the map --------------------------------------------------------------
const shapes = new Map(), tags = [];
const L0 = (name) => D.layers[name] || [];
const geo = (f, style, more) => L.geoJSON({ type: "Feature", properties: {}, geometry: f.geometry }, Object.assign({ style }, more || {})).addTo(chart);
for (const b of L0("boundary")) geo(b, { color: "#23261f", weight: 2.5, dashArray: "12 5 2 5", fill: false, interactive: false });
function ground(f, piece) {
 const kind = piece.kind;
 const layer = geo(f, { color: KINDS[kind][1], weight: 2, fillColor: "url(#pat-" + kind + ")", fillOpacity: 1, className: "ground" });
 layer.on("click", (e) => { if (!taping) { L.DomEvent.stopPropagation(e); choose(piece.id, true); } });
 layer.eachLayer((path) => {
  const node = path.getElement();
  node.setAttribute("tabindex", "0"); node.setAttribute("role", "button");
  node.setAttribute("aria-label", piece.name.slice(0, 200) + ", " + KINDS[kind][0]);
  node.addEventListener("keydown", (e) => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); choose(piece.id, true); } });
 });
 shapes.set(piece.id, layer);
}
for (const f of L0("areas")) ground(f, byId.get(f.id));
for (const f of L0("strips")) ground(f, byId.get(f.id));
const quiet = { interactive: false };
for (const f of L0("bands")) geo(f, Object.assign({ stroke: false, fillColor: "#23261f", fillOpacity: 0.16 }, quiet));
for (const f of L0("previous")) geo(f, Object.assign({ color: "#4a1f54", weight: 2, dashArray: "3 5", fill: false }, quiet));
for (const f of L0("weak")) geo(f, Object.assign({ color: "#b3261e", weight: 6, opacity: 0.9, lineCap: "butt", dashArray: "7 4" }, quiet));
for (const f of L0("waypoints")) {
 const c = f.geometry.coordinates;
 L.marker([c[1], c[0]], { icon: L.divIcon({ className: "pin" }), keyboard: false, interactive: false }).addTo(chart);
 tag([c[1], c[0]], f.name, "", null, 14);
}
function tag(at, name, size, id, drop) {
 const box = el("span", {}, name.length > 60 ? name.slice(0, 60) + "…" : name, size ? el("i", {}, size) : null);
 if (drop) box.style.marginTop = drop + "px";
 const mark = L.marker(at, { icon: L.divIcon({ className: "tag", html: box, iconSize: [0, 0] }), interactive: false, keyboard: false });
 tags.push({ mark, id, box }); return mark;
}
// the largest ground is labelled first
for (const p of [...R.areas].sort((a, b) => b.acres - a.acres)) tag([p.lat, p.lon], p.name, acres(p.acres), p.id);
function showTags() {
 const free = [];
 for (const t of tags) {
  let fits = true;
  const at = chart.latLngToContainerPoint(t.mark.getLatLng());
  const w = Math.min(150, t.box.textContent.length * 5 + 16), box = [at.x - w / 2, at.y - 16, at.x + w / 2, at.y + 16];
  if (t.id) {
   const b = shapes.get(t.id).getBounds(), q = chart.latLngToContainerPoint(b.getNorthEast()), s = chart.latLngToContainerPoint(b.getSouthWest());
   fits = q.x - s.x > 46 && s.y - q.y > 22;
  } else fits = chart.getZoom() > 14;
  fits = fits && !free.some((o) => o[0] < box[2] && box[0] < o[2] && o[1] < box[3] && box[1] < o[3]);
  if (fits) { free.push(box); t.mark.addTo(chart); } else t.mark.remove();
 }
}
let all = L.latLngBounds([]);
chart.eachLayer((x) => { if (x.getBounds) all.extend(x.getBounds()); });
const whole = (paper) => {
 if (!all.isValid()) return;
 const room = paper !== true && innerWidth > 760 && $("key").open ? $("key").offsetWidth + 20 : 24;
 chart.fitBounds(all, { paddingTopLeft: [24, paper === true ? 24 : 56], paddingBottomRight: [room, 28], animate: false });
};
let scale = null;
function rescale() {
 if (scale) scale.remove();
 scale = L.control.scale({ position: "bottomleft", maxWidth: 160, metric, imperial: !metric }).addTo(chart);
}
chart.on("zoomend", showTags);
if (!all.isValid()) chart.setView([0, 0], 2);

// ---- choosing -------------------------------------------------------------
let spot = null;
function choose(id, fromMap) {
 if (chosen && shapes.has(chosen)) shapes.get(chosen).setStyle({ weight: 2 });
 chosen = id; leaf = "ground";
 const layer = id && shapes.get(id);
 if (layer) {
  layer.setStyle({ weight: 5 }); layer.bringToFront();
  if (!fromMap) chart.fitBounds(layer.getBounds(), { padding: [60, 60], maxZoom: 18, animate: !calm });
 }
 draw();
 $("leaf").scrollTop = 0;
 if (!fromMap || innerWidth <= 760) $("leaf").focus({ preventScroll: !(innerWidth <= 760 && fromMap) });
}
function point(note) {
 if (note.lon == null) return;
 if (spot) spot.remove();
 spot = L.marker([note.lat, note.lon], { icon: L.divIcon({ className: "spot" }), interactive: false, keyboard: false }).addTo(chart);
 chart.setView([note.lat, note.lon], Math.max(chart.getZoom(), 16), { animate: !calm });
}

// ---- leaves of the ledger -------------------------------------------------
const LEAVES = { ground: "Ground", year: "Year", buy: "To buy", look: "Look into" };
const Y = R.year || { tasks: [], quiet: [], trips: 0 };
function draw() {
 $("place").textContent = R.property.name;
 document.title = R.property.name + " · ground and ledger";
 const t = R.totals;
 $("gist").textContent = acres(t.total_acres) + " measured (" + span(t.total_acres_low, t.total_acres_high, acres) + ") · " +
  R.areas.length + " pieces of ground" + (t.cost ? " · " + money(t.cost) + " to buy" : "") + " · made " + R.made_on;
 $("units").textContent = metric ? "Show acres and feet" : "Show hectares and meters";
 const bar = $("leaves"); bar.replaceChildren();
 for (const k in LEAVES) {
  const count = k === "buy" ? R.shopping.length : k === "look" ? worth.length : k === "year" ? Y.trips : R.areas.length;
  bar.append(el("button", { type: "button", role: "tab", id: "tab-" + k, "aria-selected": String(leaf === k), "aria-controls": "leaf",
   on: () => { leaf = k; chosen && choose(null, true); leaf = k; draw(); } }, LEAVES[k] + " " + count));
 }
 $("leaf").setAttribute("aria-labelledby", "tab-" + leaf);
 $("leaf").replaceChildren(...(leaf === "buy" ? buying() : leaf === "year" ? yearly() : leaf === "look" ? looking() : chosen ? card(byId.get(chosen)) : listing()));
 for (const tg of tags) if (tg.id) tg.box.querySelector("i").textContent = acres(byId.get(tg.id).acres);
}
function listing() {
 const list = el("ul", { class: "rows" });
 const fill = () => {
  const want = query.toLowerCase();
  const rows = pieces.filter((p) => (p.name + " " + KINDS[p.kind][0]).toLowerCase().includes(want));
  list.replaceChildren(...rows.map((p) => el("li", {}, el("button", { type: "button", on: () => choose(p.id) }, swatch(p.kind),
   el("span", { class: "name" }, p.name), el("span", { class: "num" }, acres(p.acres)),
   el("span", { class: "sub" }, KINDS[p.kind][0] + (p.width_ft ? ", " + feet(p.width_ft) + " wide" : "") + (p.mix ? ", " + p.mix : "") + (p.plant ? ", plant " + p.plant : ""))))));
  if (!rows.length) list.replaceChildren(el("li", {}, "Nothing by that name."));
 };
 const find = el("input", { class: "find", type: "search", "aria-label": "Find a piece of ground", placeholder: "Find a piece of ground" });
 find.value = query; find.addEventListener("input", () => { query = find.value; fill(); });
 fill();
 const kinds = Object.entries(R.totals.by_kind).map(([k, v]) => [KINDS[k][0], acres(v)]);
 return [find, list, el("h3", {}, "By kind"), table(["kind", "#area"], kinds),
  R.totals.overlap_acres > 0.005 ? el("p", {}, acres(R.totals.overlap_acres) + " drawn twice, counted once.") : null,
  R.property.acres ? el("p", {}, "Inside the property line: " + acres(R.property.acres)) : null,
  el("h3", {}, "Before you act on it"), ...cautionList()].filter(Boolean);
}
const cautionList = () => R.cautions.map((c) => el("p", { class: "said caution" }, el("b", {}, c.topic + ": "), c.text + " Who decides: " + c.defer_to + "."));
function card(p, paper) {
 const out = [];
 if (!paper) out.push(el("button", { type: "button", on: () => choose(null, true) }, "‹ All ground"));
 out.push(el("h2", {}, p.name), el("p", { class: "kind" }, swatch(p.kind), KINDS[p.kind][0] + (p.vine ? " (" + p.vine + ")" : "")));
 out.push(el("p", {}, el("span", { class: "big num" }, acres(p.acres)), " " + (p.group === "strip" && p.acres_low === p.acres_high ? "as laid out" : span(p.acres_low, p.acres_high, acres))));
 if (p.group === "area") {
  out.push(el("p", { class: "soft" }, p.method + ", " + feet(p.perimeter_ft) + " round · " + p.source));
  for (const a of (p.walk && p.walk.advice) || []) out.push(el("p", { class: "said info" }, a));
 } else {
  out.push(el("p", {}, feet(p.width_ft) + " wide, " + feet(p.length_ft) + " along the edge"));
  if (p.case) out.push(el("p", { class: "soft" }, "Holds for: " + p.case.why));
  if (p.width) out.push(el("h3", {}, "How wide it must be"), table(["estimate", "#growth", "#asks", "#passes", "#built"],
   ["low", "central", "stress"].map((k) => [k, feet(p.width[k].terms[0].ft), feet(p.width[k].required_ft), n(p.width[k].passes, 0), feet(p.width[k].width_ft)])),
   el("p", { class: "soft" }, "Edge error " + feet(p.width.central.terms[3].ft) + ", watch lane " + feet(p.width.central.terms[4].ft) + ", live nodes " + feet(p.width.central.terms[2].ft) + "."));
  if (p.weak && p.weak.length) out.push(el("h3", {}, "Too thin"), table(["why", "#there", "#along"], p.weak.map((w) => [w.reason, feet(w.available_ft), feet(w.length_ft)])));
  if (p.advance) out.push(el("h3", {}, "Since the last survey"), el("p", {}, p.advance.text[0].toUpperCase() + p.advance.text.slice(1)), table(["side", "#mean", "#farthest"], p.advance.sectors.map((s) => [s.direction, feet(s.mean_ft), feet(s.most_ft)])));
  if (p.law) out.push(el("p", { class: "said warning" }, el("b", {}, "Law: "), (p.law.state || "state not given") + ": " + p.law.text));
 }
 const need = p.need || {};
 if (need.seed && need.seed.length) out.push(el("h3", {}, "Sow: " + need.seed[0].mix + ", " + (need.seed[0].method)),
  table(["seed", "#rate", "#pour", "#between"], need.seed.map((s) => [s.crop + (s.from_memory ? " (rate from memory)" : ""), rate(s.bulk_lb_ac), pounds(s.lb), pounds(s.lb_low) + " – " + pounds(s.lb_high)])),
  el("p", { class: "soft" }, need.seed.map((s) => s.crop + ": " + (s.basis === "pls" ? n(100 * s.pls_frac, 1) + " % live seed" : "bulk rate") + (s.depth_in ? ", " + s.depth_in[0] + "–" + s.depth_in[1] + " in. deep" : "")).join("; ")));
 if (need.fertilizer && need.fertilizer.length) out.push(el("h3", {}, "Spread"),
  table(["product", "#rate", "#pounds", "#bags"], need.fertilizer.map((f) => [f.grade, rate(f.lb_ac), pounds(f.lb) + " (" + pounds(f.lb_low) + " – " + pounds(f.lb_high) + ")", n(f.bags_exact, 1)])),
  el("p", { class: "soft" }, "Gives " + ["n", "p2o5", "k2o"].map((k) => n(need.fertilizer.reduce((a, f) => a + f[k + "_lb_ac"], 0), 0) + " " + { n: "N", p2o5: "P₂O₅", k2o: "K₂O" }[k]).join(", ") + " lb/ac"));
 if (need.lime) out.push(el("h3", {}, "Lime"), el("p", {}, tons(need.lime.ton) + " (" + tons(need.lime.ton_low) + " – " + tons(need.lime.ton_high) + ")" + (need.lime.product ? " of " + need.lime.product : "")), el("p", { class: "soft" }, need.lime.text));
 for (const s of need.spray || []) out.push(el("h3", {}, "Spray: " + s.name), el("p", {}, gallons(s.gal) + " on " + acres(s.acres) + ": " + amount(s.product, s.unit) + " of product; " + s.loads_full + " full tanks and " + gallons(s.last_load_gal) + (s.on ? "; " + s.on : "")),
  el("p", { class: "soft" }, "A full tank takes " + amount(s.product_per_load, s.unit) + ", the last " + amount(s.product_last_load, s.unit) + ". Wear: " + (s.ppe || "what the label lists")), ...s.cautions.map((c) => el("p", { class: "said caution" }, c)));
 if (need.setting && need.setting.length) out.push(el("h3", {}, "Set the machine"), ...need.setting.map((s) => el("p", {}, s)));
 if (need.cost) out.push(el("p", {}, "Cost: " + money(need.cost) + " (" + money(need.cost_ac) + " an acre)"));
 const jobs = Y.tasks.filter((t) => t.area_id === p.id);
 if (jobs.length) out.push(el("h3", {}, "When"), el("ul", { class: "tasks" }, jobs.map((t) => { const line = taskLine(t, false); if (t.scheduled) line.firstChild.textContent = t.scheduled; return line; })));
 if (p.history && p.history.length) out.push(el("h3", {}, "History"), ...p.history.map((h) => el("p", {}, h)));
 if (p.note) out.push(el("p", {}, p.note));
 const mine = notes.filter((x) => x.piece === p.id && !(paper && x.level === "info"));
 if (mine.length) out.push(el("h3", {}, "Notes"), ...mine.map(said));
 for (const c of p.cautions || []) out.push(el("p", { class: "said caution" }, c));
 return out;
}
const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
const DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
function sayDay(iso) { const [y, m, d] = iso.split("-").map(Number); return DAYS[new Date(Date.UTC(y, m - 1, d)).getUTCDay()] + " " + d; }
const monthDay = (md) => MONTHS[+md.slice(0, 2) - 1].slice(0, 3) + " " + +md.slice(3);
function taskLine(t, where) {
 return el("li", { class: "task " + t.status }, el("span", { class: "num day" }, t.scheduled ? sayDay(t.scheduled) : "—"),
  el("span", {}, el("b", {}, (where ? t.area + ": " : "") + t.label), t.status === "done" ? " (done)" : "", el("br"),
   el("span", { class: "soft" }, t.machine + ", " + n(t.minutes, 0) + " min" + (t.amounts.length ? "; " + t.amounts.join("; ") : "") + "; any day " + t.earliest + " to " + t.latest),
   t.notes.map((x) => el("p", { class: "said warning" }, x))));
}
function yearly() {
 const out = [el("h2", {}, "The year, worked backwards"), el("p", { class: "soft" }, Y.trips + " trips on your own days.")];
 for (const q of Y.quiet) out.push(el("p", { class: "said caution" }, el("b", {}, "Quiet: "), q.name + ", " + monthDay(q.start) + " to " + monthDay(q.end) + (q.keeps_out === "all" ? ", everything" : ", " + q.keeps_out.join(", ")) + " (" + (q.source || "no source given") + ")"));
 let month = "", list = null;
 for (const t of Y.tasks.filter((x) => x.scheduled)) {
  const now = MONTHS[+t.scheduled.slice(5, 7) - 1] + " " + t.scheduled.slice(0, 4);
  if (now !== month) { month = now; list = el("ul", { class: "tasks" }); out.push(el("h3", {}, month), list); }
  list.append(taskLine(t, true));
 }
 const missed = Y.tasks.filter((x) => x.status === "unplaced");
 if (missed.length) out.push(el("h3", {}, "Does not fit"), el("ul", { class: "tasks" }, missed.map((t) => taskLine(t, true))));
 if (!Y.tasks.length) out.push(el("p", {}, "Nothing is planned: give a plot a planting date."));
 return out;
}
function buying() {
 const t = table(["item", "#need", "#buy", "#cost"], R.shopping.map((s) => [
  el("span", {}, el("b", {}, s.item), el("br"), el("span", { class: "soft" }, s.what + (s.from_stock ? ", " + amount(s.from_stock, s.unit) + " from the shed" : "") + (s.note ? "; " + s.note : ""))),
  amount(s.need, s.unit), s.packs == null ? amount(s.buy, s.unit) : s.packs + " × " + amount(s.pack, s.unit), money(s.cost)]));
 const who = el("details", {}, el("summary", {}, "What each piece of ground takes"), ...R.shopping.map((s) => el("p", {}, el("b", {}, s.item + ": "), s.used_by.map((u) => u.area + " " + amount(u.amount, s.unit)).join("; "))));
 return [el("h2", {}, "To buy"), R.shopping.length ? t : el("p", {}, "Nothing: no mix, soil test or spray is named yet."),
  R.totals.cost ? el("p", { class: "big num" }, money(R.totals.cost)) : null, R.shopping.length ? who : null].filter(Boolean);
}
function looking() {
 if (!worth.length) return [el("h2", {}, "Look into"), el("p", {}, "Nothing is amiss.")];
 return [el("h2", {}, "Look into"), el("ul", { class: "rows" }, worth.map((x) => el("li", {}, el("button", { type: "button", on: () => point(x) },
  el("span", { class: "mark " + x.level, "aria-label": SAY[x.level] }, MARK[x.level]), el("span", { class: "name" }, x.feature || x.source || "The property"), el("span", { class: "num" }, x.lon == null ? "" : "show"),
  el("span", { class: "sub" }, x.text)))))];
}

// ---- key, tape, position, settings ---------------------------------------
const used = new Set(pieces.map((p) => p.kind));
const line = (color, dash, width) => { const s = swatch("keepout"), r = s.querySelector("rect"); r.setAttribute("fill", "#fffdf8");
 const ns = "http://www.w3.org/2000/svg", l = document.createElementNS(ns, "path"); l.setAttribute("d", "M0 8H26"); l.setAttribute("stroke", color); l.setAttribute("stroke-width", width); if (dash) l.setAttribute("stroke-dasharray", dash); s.firstChild.append(l); return s; };
for (const k in KINDS) if (used.has(k)) $("key-list").append(el("li", {}, swatch(k), KINDS[k][0]));
for (const [name, word, color, dash, width] of [["boundary", "property line", "#23261f", "8 3 2 3", 2], ["bands", "± of a walked edge", "#23261f55", "", 9], ["previous", "vine edge, last survey", "#4a1f54", "3 4", 2], ["weak", "strip too thin", "#b3261e", "6 3", 6]])
 if (L0(name).length) $("key-list").append(el("li", {}, line(color, dash, width), word));
if (innerWidth <= 760) $("key").removeAttribute("open");
let taping = false, knots = [], string = null;
const D2R = Math.PI / 180;
function flat(pts) {
 const p0 = pts[0].lat * D2R, s = Math.sin(p0), w = 1 - 0.0066943799901413165 * s * s;
 const north = 6378137 * (1 - 0.0066943799901413165) / Math.pow(w, 1.5) * D2R, east = 6378137 / Math.sqrt(w) * Math.cos(p0) * D2R;
 return pts.map((p) => [(p.lng - pts[0].lng) * east, (p.lat - pts[0].lat) * north]);
}
function readTape() {
 if (string) string.remove();
 if (!knots.length) { $("readout").textContent = taping ? "Tap the map to lay the tape; Escape rolls it up." : ""; return; }
 string = L.layerGroup([L.polyline(knots, { color: "#7b2d26", weight: 3, interactive: false }), ...knots.map((k) => L.circleMarker(k, { radius: 4, color: "#7b2d26", fillColor: "#fff", fillOpacity: 1, interactive: false }))]).addTo(chart);
 const xy = flat(knots); let far = 0, twice = 0;
 for (let i = 1; i < xy.length; i++) far += Math.hypot(xy[i][0] - xy[i - 1][0], xy[i][1] - xy[i - 1][1]);
 for (let i = 0; i < xy.length; i++) { const a = xy[i], b = xy[(i + 1) % xy.length]; twice += a[0] * b[1] - a[1] * b[0]; }
 $("readout").textContent = feet(far / 0.3048) + (xy.length > 2 ? " · encloses " + acres(Math.abs(twice) / 2 / 4046.8564224) : "");
}
function tape(on) { taping = on; knots = []; $("tape").setAttribute("aria-pressed", String(on)); chart.getContainer().style.cursor = on ? "crosshair" : ""; readTape(); }
chart.on("click", (e) => { if (taping) { knots.push(e.latlng); readTape(); } });
document.addEventListener("keydown", (e) => { if (e.key === "Escape") { if (taping) tape(false); else if (chosen) choose(null, true); } });
let me = null;
$("here").addEventListener("click", () => {
 if (!navigator.geolocation) { $("readout").textContent = "This browser does not tell where it is."; return; }
 $("readout").textContent = "Asking the browser where it is…";
 navigator.geolocation.getCurrentPosition((g) => {
  if (me) me.remove();
  const at = [g.coords.latitude, g.coords.longitude];
  me = L.layerGroup([L.circle(at, { radius: g.coords.accuracy, color: "#194a63", weight: 1, interactive: false }), L.circleMarker(at, { radius: 6, color: "#fff", fillColor: "#194a63", fillOpacity: 1, interactive: false })]).addTo(chart);
  chart.setView(at, Math.max(chart.getZoom(), 16), { animate: !calm });
  $("readout").textContent = "You are here, ± " + feet(g.coords.accuracy / 0.3048);
 }, () => { $("readout").textContent = "The browser did not tell where it is."; }, { enableHighAccuracy: true, timeout: 20000 });
});
$("tape").addEventListener("click", () => tape(!taping));
$("in").addEventListener("click", () => chart.zoomIn(0.75));
$("out").addEventListener("click", () => chart.zoomOut(0.75));
$("whole").addEventListener("click", () => whole());
$("units").addEventListener("click", () => { metric = !metric; rescale(); draw(); readTape(); });
let size = 16;
const resize = (by) => { size = Math.min(24, Math.max(12, size + by)); document.documentElement.style.fontSize = size + "px"; chart.invalidateSize(); showTags(); };
$("smaller").addEventListener("click", () => resize(-2));
$("larger").addEventListener("click", () => resize(2));

// ---- paper ----------------------------------------------------------------
function sheets() {
 const blank = () => el("td", {}, " ");
 const hand = () => { const t = table(["date", "what was done", "amount", "minutes"], []); t.className = "hand"; for (let i = 0; i < 3; i++) t.tBodies[0].append(el("tr", {}, blank(), blank(), blank(), blank())); return t; };
 const worked = pieces.filter((p) => ["plot", "patch", "native", "burn", "strip", "firebreak"].includes(p.kind));
 const words = $("key-list").cloneNode(true); words.removeAttribute("id"); words.className = "paper-key";
 $("sheets").replaceChildren(words, el("div", { class: "sheet" }, ...buying(), ...cautionList()), el("div", { class: "sheet" }, ...yearly()),
  ...worked.map((p) => el("div", { class: "sheet" }, ...card(p, true), el("h3", {}, "By hand"), hand())));
}
let before = null;
function toPaper() {
 if (before) return;
 before = { c: chart.getCenter(), z: chart.getZoom() }; sheets();
 // the paper's size must be known before the map is fitted to it
 Object.assign($("field").style, { width: "700px", height: "600px" });
 chart.invalidateSize({ animate: false }); whole(true); showTags();
}
function fromPaper() { if (!before) return; const b = before; before = null; $("sheets").replaceChildren(); Object.assign($("field").style, { width: "", height: "" }); chart.invalidateSize({ animate: false }); chart.setView(b.c, b.z, { animate: false }); showTags(); }
addEventListener("beforeprint", toPaper);
addEventListener("afterprint", fromPaper);
$("print").addEventListener("click", () => print());

rescale(); draw(); whole(); showTags();
document.documentElement.dataset.ready = "yes";
})();
