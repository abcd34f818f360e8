// Corners of an edge on the map: taken with a mouse, a finger or keys.
// @ts-check
import { crossing } from "./crossing.js";
import { L, latLng } from "./on_map.js";
import { el } from "./say.js";
import { beside, cornerAt, inserted, middle, moved } from "./steps.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./measures.js").Shape} Shape */
/** @typedef {import("./steps.js").At} At */
/** @typedef {import("./steps.js").Act} Act */

/** Half of a target, and how near each other corners are still drawn one by one. [px] */
const HALF = 22;
const APART = 22;
/** Edges at least so long on the screen show their middle. [px] */
const MIDDLE = 64;
/** Which way a key moves a corner: east, north. */
const WAYS = /** @type {Record<string, number[]>} */ ({
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
});
/** @typedef {{node: any, at: At, middle: boolean, x: number, y: number}} Handle */

/** @param {At | null} one @param {At} other */
const sameAt = (one, other) =>
  !!one && one.part === other.part && one.ring === other.ring && one.corner === other.corner;

/** The corners of all rings as buttons over the map; enable and disable are a pair. */
export class Corners {
  /**
   * @param {import("./stage.js").Stage} stage
   * @param {{show: (at: At | null, shape?: Shape) => void,
   *   laid: (seen: number, all: number) => void}} watch told of the corner that is chosen, and of
   *   how many corners can be taken here
   */
  constructor(stage, watch) {
    this.stage = stage;
    this.watch = watch;
    /** @type {At | null} */
    this.chosen = null;
    /** @type {Handle[]} */
    this.handles = [];
    /** @type {any[]} */
    this.spare = [];
    /** @type {any} */
    this.held = null;
    this.pane = el("div", {
      class: "corners leaflet-zoom-hide",
      on: {
        pointerdown: (/** @type {any} */ event) => this.down(event),
        pointermove: (/** @type {any} */ event) => this.move(event),
        pointerup: (/** @type {any} */ event) => this.up(event),
        pointercancel: () => this.let(),
        keydown: (/** @type {any} */ event) => this.key(event),
        focusin: (/** @type {any} */ event) => this.focused(event),
      },
    });
    // what happens on a corner is no affair of the map under it
    for (const name of ["mousedown", "touchstart", "dblclick", "click", "contextmenu"])
      this.pane.addEventListener(name, (/** @type {Event} */ event) => event.stopPropagation());
  }

  enable() {
    const { map } = this.stage;
    map.getPane("mapPane").append(this.pane);
    map.on("moveend zoomend resize", this.lay, this).on("click", this.tap, this);
    this.lay();
  }

  disable() {
    this.let();
    this.stage.map.off("moveend zoomend resize", this.lay, this).off("click", this.tap, this);
    this.pane.remove();
    this.chosen = null;
    this.watch.show(null);
  }

  /** @param {Corner} corner */
  point(corner) {
    return this.stage.map.latLngToLayerPoint(latLng(corner));
  }

  /** Lay the corners that are in view, so far apart that each can be taken. */
  lay() {
    const { map } = this.stage;
    const shape = this.stage.shape();
    const had = this.pane.contains(document.activeElement);
    const view = map.getSize();
    const low = map.containerPointToLayerPoint([-HALF, -HALF]);
    const high = map.containerPointToLayerPoint([view.x + HALF, view.y + HALF]);
    this.spare = this.handles.map((one) => one.node);
    this.handles = [];
    if (this.chosen && !shape[this.chosen.part]?.[this.chosen.ring]?.[this.chosen.corner])
      this.chosen = null;
    const { chosen } = this;
    const near = chosen ? [-1, 0, 1].map((by) => beside(shape, chosen, by)) : [];
    let all = 0;
    shape.forEach((rings, part) => {
      rings.forEach((ring, r) => {
        /** @type {any} */
        let last = null;
        const points = ring.map((corner) => this.point(corner));
        points.forEach((point, corner) => {
          const at = { part, ring: r, corner };
          const seen = point.x > low.x && point.x < high.x && point.y > low.y && point.y < high.y;
          const needed = near.some((one) => sameAt(one, at));
          all += 1;
          if (!needed && (!seen || (last && last.distanceTo(point) < APART))) return;
          this.put(at, point, false);
          last = point;
          const next = points[(corner + 1) % points.length];
          if (point.distanceTo(next) < MIDDLE) return;
          this.put(at, this.point(middle(shape, at)), true);
        });
      });
    });
    for (const node of this.spare) node.remove();
    this.spare = [];
    if (had && this.chosen) this.handleAt(this.chosen)?.node.focus({ preventScroll: true });
    this.watch.laid(this.handles.filter((one) => !one.middle).length, all);
  }

  /** @param {At} at @param {any} point @param {boolean} isMiddle */
  put(at, point, isMiddle) {
    // in the order they were laid before, so that Tab goes round the ring
    let node = this.spare.shift();
    if (!node) {
      node = el("button", { type: "button" });
      this.pane.append(node);
    }
    /** @type {Handle} */
    const handle = { node, at, middle: isMiddle, x: point.x, y: point.y };
    const chosen = !isMiddle && sameAt(this.chosen, at);
    node.className = `${isMiddle ? "middle" : "corner"}${chosen ? " chosen" : ""}`;
    node.tabIndex = isMiddle ? -1 : 0;
    node.dataset.n = this.handles.length;
    node.setAttribute("aria-label", isMiddle ? "Put a corner in here" : this.called(at));
    this.set(handle, point);
    this.handles.push(handle);
  }

  /** @param {Handle} handle @param {any} point */
  set(handle, point) {
    handle.x = point.x;
    handle.y = point.y;
    handle.node.style.transform = `translate(${point.x - HALF}px, ${point.y - HALF}px)`;
  }

  /** @param {At} at */
  handleAt(at) {
    return this.handles.find((one) => !one.middle && sameAt(one.at, at));
  }

  /** @param {At} at */
  called(at) {
    const shape = this.stage.shape();
    const ring = shape[at.part][at.ring];
    const of = at.ring ? ` of hole ${at.ring}` : shape.length > 1 ? ` of part ${at.part + 1}` : "";
    return `corner ${at.corner + 1} of ${ring.length}${of}`;
  }

  /** Say where a corner is. @param {At} at @param {string} [more] */
  tellOf(at, more = "") {
    const shape = this.stage.shape();
    const next = cornerAt(shape, beside(shape, at, 1));
    const feet = Math.round(this.stage.measures.feet(cornerAt(shape, at), next));
    this.stage.tell(`${this.called(at)}, ${feet.toLocaleString("en-US")} ft to the next${more}`);
  }

  /**
   * Choose a corner, bring it into view and say where it is.
   * @param {At} at @param {boolean} [focus]
   */
  choose(at, focus = true) {
    const { map } = this.stage;
    this.chosen = at;
    const place = latLng(cornerAt(this.stage.shape(), at));
    const point = map.latLngToContainerPoint(place);
    const size = map.getSize();
    const room = HALF / 4;
    const out =
      point.x < room || point.y < room || point.x > size.x - room || point.y > size.y - room;
    if (out) map.panTo(place, { animate: false });
    this.lay();
    if (focus) this.handleAt(at)?.node.focus({ preventScroll: true });
    this.watch.show(at);
    this.tellOf(at);
  }

  /** Choose the corner before or after the chosen one. @param {number} by */
  step(by) {
    const shape = this.stage.shape();
    this.choose(this.chosen ? beside(shape, this.chosen, by) : { part: 0, ring: 0, corner: 0 });
  }

  /** @param {any} event */
  focused(event) {
    const handle = this.handles[Number(event.target.dataset?.n)];
    if (!handle || handle.middle || this.held || sameAt(this.chosen, handle.at)) return;
    this.choose(handle.at);
  }

  /** The corner or middle nearest to a place on the screen. @param {any} event */
  nearest(event) {
    const at = this.stage.map.mouseEventToLayerPoint(event);
    let best = null;
    let least = HALF * HALF;
    for (const one of this.handles) {
      // a corner is taken before a middle that lies as near
      const far = (one.x - at.x) ** 2 + (one.y - at.y) ** 2 + (one.middle ? 60 : 0);
      if (far <= least) {
        best = one;
        least = far;
      }
    }
    return best;
  }

  /** @param {any} event */
  down(event) {
    if (event.button || this.held) return;
    const handle = this.nearest(event);
    if (!handle) return;
    event.preventDefault();
    this.pane.setPointerCapture(event.pointerId);
    const shape = this.stage.shape();
    const at = handle.middle ? { ...handle.at, corner: handle.at.corner + 1 } : handle.at;
    const base = handle.middle ? inserted(shape, handle.at, middle(shape, handle.at)) : shape;
    const from = this.stage.map.mouseEventToLayerPoint(event);
    this.held = {
      handle,
      at,
      base,
      pointer: event.pointerId,
      off: [handle.x - from.x, handle.y - from.y],
      begun: handle.middle,
      from,
    };
    this.stage.map.dragging.disable();
  }

  /** @param {any} event */
  move(event) {
    const held = this.held;
    if (!held || event.pointerId !== held.pointer) return;
    const now = this.stage.map.mouseEventToLayerPoint(event);
    if (!held.begun && now.distanceTo(held.from) < 3) return;
    held.begun = true;
    held.now = now;
    if (!held.frame) held.frame = requestAnimationFrame(() => this.show());
  }

  /** One frame of a drag. */
  show() {
    const held = this.held;
    if (!held) return;
    held.frame = 0;
    const point = L.point(held.now.x + held.off[0], held.now.y + held.off[1]);
    const place = this.stage.map.layerPointToLatLng(point);
    held.to = [place.lng, place.lat];
    const shape = moved(held.base, held.at, held.to);
    this.set(held.handle, point);
    const { part, ring, corner } = held.at;
    this.stage.fault(crossing(shape, part, ring, [corner - 1, corner]));
    this.stage.show(shape, true);
    this.watch.show(held.at, shape);
  }

  /** @param {any} event */
  up(event) {
    const held = this.held;
    if (!held || event.pointerId !== held.pointer) return;
    if (held.frame) {
      cancelAnimationFrame(held.frame);
      this.show();
    }
    this.let();
    if (!held.handle.middle && !held.to) {
      this.choose(held.at);
      return;
    }
    const taken = this.stage.act(
      held.handle.middle
        ? { do: "insert", at: held.handle.at, to: held.to }
        : { do: "move", at: held.at, to: held.to },
    );
    if (taken) this.choose(held.at);
    else this.lay();
  }

  /** Let go of what is held; nothing is changed by it. */
  let() {
    const held = this.held;
    if (!held) return;
    if (held.frame) cancelAnimationFrame(held.frame);
    this.held = null;
    this.stage.map.dragging.enable();
    this.stage.fault(null);
    this.stage.show(this.stage.shape(), false);
    this.lay();
  }

  /** A tap on the map chooses the corner it is nearest to, or puts one in. @param {any} event */
  tap(event) {
    const handle = this.nearest(event.originalEvent);
    if (!handle) return;
    this.choose(handle.at);
    if (handle.middle) this.put_in();
  }

  /** Move the chosen corner by steps east and north. @param {number[]} by @param {boolean} more */
  push([east, north], more) {
    if (!this.chosen) return;
    const { nudge_ft, nudge_more_ft } = this.stage.figures;
    const ft = more ? nudge_more_ft : nudge_ft;
    const act = /** @type {Act} */ ({
      do: "nudge",
      at: this.chosen,
      east_ft: east * ft,
      north_ft: north * ft,
    });
    if (this.stage.act(act)) this.choose(this.chosen);
  }

  put_in() {
    if (!this.chosen || !this.stage.act({ do: "insert", at: this.chosen })) return;
    this.choose({ ...this.chosen, corner: this.chosen.corner + 1 });
  }

  take_out() {
    if (!this.chosen) return;
    const at = this.chosen;
    if (!this.stage.act({ do: "delete", at })) return;
    // with its third corner a hole or a further part is gone
    const there = this.stage.shape()[at.part]?.[at.ring];
    if (there && at.corner <= there.length)
      this.choose({ ...at, corner: Math.max(0, at.corner - 1) });
    else this.choose({ part: 0, ring: 0, corner: 0 });
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.key === "Escape" && this.held) {
      event.stopPropagation();
      this.let();
      return;
    }
    if (WAYS[event.key]) this.push(WAYS[event.key], event.shiftKey);
    else if (event.key === "Insert" || event.key === "+") this.put_in();
    else if (event.key === "Delete") this.take_out();
    else return;
    event.preventDefault();
    event.stopPropagation();
  }
}
