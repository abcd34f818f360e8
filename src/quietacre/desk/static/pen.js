// Points put on the map one after another: an edge, a line, one place. By clicks, by taps, or at
// the cross in the middle of the map with buttons and keys.
// @ts-check
import { crossing, meeting, same } from "./crossing.js";
import { cornerOf, ft, INK, L, latLng } from "./on_map.js";
import { button, first, para, tools } from "./parts.js";
import { el } from "./say.js";
import { LEAST } from "./steps.js";

/** @typedef {import("./measures.js").Corner} Corner */

/** A click so near the first corner closes the edge. [px] */
const CLOSES = 16;

/**
 * @typedef {object} Wanted
 * @property {"ring" | "line" | "place"} what
 * @property {string} how what to do, in one or two sentences
 * @property {string} [done] on the button that ends it
 * @property {(points: Corner[]) => any} take
 * @property {(point: Corner) => Corner} [at] moves a point to where it counts
 * @property {number} [most] ends by itself with so many points
 * @property {string[]} [words] what to do for each point, in turn
 * @property {(points: Corner[]) => void} [seen] while points are put
 * @property {Node[]} [before] shown above all
 * @property {Node[]} [more] shown under the buttons
 * @property {() => void} [gone] after the pen is put down
 */

/** Points put by hand; enable and disable are a pair. */
export class Pen {
  /** @param {import("./stage.js").Stage} stage @param {Wanted} wanted */
  constructor(stage, wanted) {
    this.stage = stage;
    this.wanted = wanted;
    /** @type {Corner[]} */
    this.points = [];
    this.ring = wanted.what === "ring";
    this.least = this.ring ? LEAST : wanted.what === "line" ? 2 : 1;
    this.most = wanted.most ?? (wanted.what === "place" ? 1 : Infinity);
    this.cross = el("div", { class: "cross", "aria-hidden": "true" });
    this.line = L.polyline([], { className: "pen", color: INK, weight: 3 });
    const ahead = { className: "pen-ahead", color: INK, weight: 2, dashArray: "2 7" };
    this.ahead = L.polyline([], ahead);
    this.dots = L.layerGroup();
    this.layers = [this.line, this.ahead, this.dots];
    this.hooks = { click: this.click, mousemove: this.over, keydown: this.key };
  }

  enable() {
    const { map } = this.stage;
    const place = map.getContainer();
    for (const layer of this.layers) layer.addTo(map);
    place.append(this.cross);
    place.classList.add("pens");
    map.on(this.hooks, this);
    map.doubleClickZoom.disable();
    this.panel();
  }

  disable() {
    const { map } = this.stage;
    for (const layer of this.layers) layer.remove();
    this.cross.remove();
    map.getContainer().classList.remove("pens");
    map.off(this.hooks, this);
    map.doubleClickZoom.enable();
    this.stage.fault(null);
    this.wanted.gone?.();
  }

  panel() {
    const { wanted } = this;
    this.end = first(wanted.done || "", () => this.finish());
    this.back = button("Take back the last one", () => this.less());
    this.end.hidden = this.back.hidden = this.most === 1;
    this.next = el("strong");
    this.stage.panel(
      ...(wanted.before || []),
      para(wanted.how),
      el("p", {}, this.next),
      tools(
        button("Put it at the cross", () => this.put(this.middle())),
        this.back,
        this.end,
      ),
      para(
        "With keys: arrows move the map under the cross, plus and minus come nearer " +
          "and go farther, Enter puts one.",
        "soft keys",
      ),
      ...(wanted.more || []),
    );
    this.draw();
  }

  middle() {
    return cornerOf(this.stage.map.getCenter());
  }

  /** @param {any} event of Leaflet */
  click(event) {
    const start = this.points[0];
    if (this.ring && this.points.length >= this.least) {
      const at = this.stage.map.latLngToContainerPoint(latLng(start));
      if (at.distanceTo(event.containerPoint) < CLOSES) {
        this.finish();
        return;
      }
    }
    this.put(cornerOf(event.latlng));
  }

  /** @param {any} event of Leaflet */
  over(event) {
    const last = this.points[this.points.length - 1];
    this.ahead.setLatLngs(last ? [latLng(last), event.latlng] : []);
  }

  /** @param {any} event of Leaflet */
  key({ originalEvent: event }) {
    if (event.target !== this.stage.map.getContainer()) return;
    if (event.key === "Enter") this.put(this.middle());
    else if (event.key === "Backspace") this.less();
    else return;
    event.preventDefault();
  }

  /** @param {Corner} place */
  put(place) {
    const point = this.wanted.at ? this.wanted.at(place) : place;
    const points = [...this.points, point];
    if (this.ring && points.length > 2) {
      const where = openCrossing(points, points.length - 2);
      if (where) {
        this.refuse(where, "This edge would cross one before it, so no corner was put here.");
        return;
      }
    }
    this.stage.fault(null);
    this.points = points;
    this.draw();
    if (points.length >= this.most) this.finish();
  }

  less() {
    this.points = this.points.slice(0, -1);
    this.draw();
  }

  finish() {
    const where = this.ring ? crossing([[this.points]], 0, 0) : null;
    if (this.points.length < this.least) this.stage.tell(`It needs ${this.least} places at least.`);
    else if (where)
      this.refuse(where, "The edge that closes it would cross another: put a corner round it.");
    else this.wanted.take(this.points);
  }

  /** @param {Corner} where @param {string} why */
  refuse(where, why) {
    this.stage.fault(where);
    this.stage.tell(why);
  }

  draw() {
    const { measures } = this.stage;
    const at = this.points.map(latLng);
    this.line.setLatLngs(at);
    this.ahead.setLatLngs([]);
    this.dots.clearLayers();
    const dot = { radius: 5, color: INK, fillColor: "#fffdf7", fillOpacity: 1, weight: 2 };
    for (const place of at) L.circleMarker(place, { ...dot, interactive: false }).addTo(this.dots);
    const count = this.points.length;
    this.end.disabled = count < this.least;
    this.back.disabled = count === 0;
    this.next.textContent = this.wanted.words?.[count] || "";
    const what = `${count} ${this.ring ? "corner" : "point"}`;
    if (count > 1) {
      const feet = measures.feet(this.points[count - 2], this.points[count - 1]);
      this.stage.tell(`${what}s, the last edge ${ft(feet)}`);
    } else if (count) this.stage.tell(what);
    this.wanted.seen?.(this.points);
  }
}

/**
 * Where an edge of a line crosses an edge before it.
 * @param {Corner[]} points @param {number} edge the place of its first point
 */
function openCrossing(points, edge) {
  for (let n = 0; n < edge - 1; n++) {
    const where = meeting(points[n], points[n + 1], points[edge], points[edge + 1]);
    if (where) return where;
  }
  return same(points[edge], points[edge + 1]) ? points[edge] : null;
}
