// The tape: distances and areas by hand
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
  for (let i = 1; i < xy.length; i++) {
    last = Math.hypot(xy[i][0] - xy[i - 1][0], xy[i][1] - xy[i - 1][1]);
    far += last;
  }
  for (let i = 0; i < xy.length; i++) {
    const a = xy[i],
      b = xy[(i + 1) % xy.length];
    twice += a[0] * b[1] - a[1] * b[0];
  }
  $("readout").textContent =
    feet(far / FT_M) +
    (xy.length > 2
      ? ", last leg " + feet(last / FT_M) + " · encloses " + acres(Math.abs(twice) / 2 / ACRE_M2)
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
      const at = L.latLng(g.coords.latitude, g.coords.longitude);
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
      $("readout").textContent = "You are here, ± " + feet(g.coords.accuracy / FT_M);
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
