// The map on which a piece is drawn: what lies round it, what is drawn, and the tool in hand.
// @ts-check
import { ask, desk, tryIt } from "./desk.js";
import { marksLayer } from "./mark_layer.js";
import { Measures } from "./measures.js";
import { thinAll } from "./names.js";
import {
  cornerOf,
  DRAWN,
  INK,
  isSmall,
  L,
  labelled,
  latLng,
  latLngs,
  ROUND,
  sign,
} from "./on_map.js";
import { choices, para } from "./parts.js";
import { Pen } from "./pen.js";
import { el, say, sentences } from "./say.js";
import { after, begun, changed } from "./steps.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./measures.js").Shape} Shape */
/** @typedef {import("./parts.js").Choice} Choice */
/** @typedef {import("./steps.js").Act} Act */
/** @typedef {import("./steps.js").Steps} Steps */
/**
 * A tool in hand: its hooks are set by enable and taken off by disable.
 * @typedef {{enable: () => void, disable?: () => void, changed?: () => void, asks?: boolean}} Held
 */

/** How a place is seen when nothing lies there yet. */
const NEAR_ZOOM = 17;
/** More names than these are not shown. */
const MOST_NAMES = 24;
/** The panes of the map, and how high each lies. */
const PANES = /** @type {[string, string][]} */ ([
  ["under", "250"],
  ["round", "350"],
  ["drawn", "450"],
]);

export class Stage {
  /**
   * @param {any} place where the map goes
   * @param {{figures: any, marks: any, middle: Corner}} about what the desk gives for the
   *   latitude, what stands on the place, and its middle
   * @param {Shape} shape
   */
  constructor(place, { figures, marks, middle }, shape) {
    this.place = place;
    this.figures = figures;
    this.marks = marks;
    this.middle = middle;
    this.measures = new Measures(figures.live);
    /** @type {Steps} */
    this.steps = begun(shape);
    /** @type {Held | null} */
    this.tool = null;
    /** @type {string | null} */
    this.area = null;
    /** @type {any} */
    this.edge = null;
    /** @type {string | null} the picture that edges are drawn from */
    this.picture = null;
    this.ended = false;
    this.box = el("div", { class: "panel" });
    this.line = el("p", { class: "corner-line", role: "status" });
    this.list = el("ul", { class: "sentences" });
    /** @type {() => Choice[]} what can be done while no tool is in hand */
    this.can = () => [];
    /** @type {string | null | undefined} the sentence that was chosen last */
    this.chosen = null;
    /** @type {((shape: Shape, dragging: boolean) => void)[]} */
    this.watchers = [];
    /** @type {() => void} */
    this.left = () => {};
    /** @type {(event: KeyboardEvent) => void} */
    this.keys = () => {};
    /** @type {import("./under.js").Under[]} */
    this.unders = [];
  }

  /** Begin the map; the place stands in the page by now. */
  begin() {
    const map = L.map(this.place, {
      attributionControl: false,
      zoomSnap: 0.25,
      maxZoom: 24,
      doubleClickZoom: true,
    });
    this.map = map;
    for (const [name, high] of PANES) map.createPane(name).style.zIndex = high;
    L.control.scale({ imperial: true, metric: false }).addTo(map);
    this.round = L.featureGroup().addTo(map);
    this.drawn = L.polygon([], {
      ...DRAWN,
      renderer: L.svg({ pane: "drawn", padding: 0.3 }),
      className: "drawn",
      fillColor: "#d8b46a",
      fillOpacity: 0.28,
      smoothFactor: 0,
      noClip: true,
    }).addTo(map);
    this.others = L.layerGroup().addTo(map);
    this.wrong = L.layerGroup().addTo(map);
    const bounds = this.drawRound();
    const mine = this.steps.now.shape.length ? L.polygon(latLngs(this.steps.now.shape)) : null;
    if (mine) map.fitBounds(mine.getBounds(), ROUND);
    else if (bounds?.isValid()) map.fitBounds(bounds, ROUND);
    else map.setView(latLng(this.middle), NEAR_ZOOM, { animate: false });
    this.drawMarks();
    map.on("moveend", () => thinAll(map));
    this.show(this.steps.now.shape, false);
  }

  end() {
    this.ended = true;
    this.can = () => [];
    this.left = () => {};
    this.leave();
    this.map.remove();
  }

  /** What lies round the piece: the property line and the neighbors, to look at only. */
  drawRound() {
    const ground = desk.ground;
    if (!ground) return null;
    const style = { pane: "round", interactive: false, color: INK };
    if (ground.line)
      L.geoJSON(ground.line, {
        style: { ...style, weight: 2, dashArray: "8 4 2 4", fill: false },
      }).addTo(this.round);
    for (const area of ground.areas) {
      if (area.name === this.area) continue;
      const shape = L.geoJSON(area.edge, {
        style: { ...style, weight: 1.5, fillColor: "#c9c19a", fillOpacity: 0.3 },
      }).addTo(this.round);
      if (ground.areas.length <= MOST_NAMES) labelled(shape, area.name, "faint");
    }
    return this.round.getBounds();
  }

  /** Gates, stands and taped lines of the place. */
  drawMarks() {
    this.markLayer?.remove();
    this.markLayer = marksLayer(this.marks, "round").addTo(this.map);
    thinAll(this.map);
  }

  /** How many feet a pixel of the screen is, at the middle of the map. */
  ftPerPx() {
    const size = this.map.getSize();
    const [west, east] = [0, 100].map((x) => this.map.containerPointToLatLng([x, size.y / 2]));
    return this.measures.feet(cornerOf(west), cornerOf(east)) / 100;
  }

  shape() {
    return this.steps.now.shape;
  }

  /** The nearest of some corners. @param {Corner} place @param {Corner[]} of */
  nearest(place, of) {
    const far = of.map((corner) => this.measures.feet(corner, place));
    return of[far.indexOf(Math.min(...far))];
  }

  /** Take an act, or say why not and show where. @param {Act} act */
  act(act) {
    const hand = act.do !== "undo" && act.do !== "redo" && act.do !== "become";
    const put = /** @type {Act} */ (hand ? { ft_per_px: this.ftPerPx(), ...act } : act);
    const { steps, refused } = after(this.steps, put, this.measures);
    this.fault(refused ? refused.at : null);
    if (refused) {
      this.tell(refused.text);
      say(refused.text, "doubts");
      return false;
    }
    say("");
    this.goOn(steps);
    return true;
  }

  /** Go on from steps that were kept elsewhere. @param {Steps} steps */
  goOn(steps) {
    this.steps = steps;
    this.show(steps.now.shape, false);
  }

  /** Show a shape, and let its figures follow. @param {Shape} shape @param {boolean} dragging */
  show(shape, dragging) {
    this.drawn.setLatLngs(latLngs(shape));
    if (!dragging) this.showMore();
    for (const watch of this.watchers) watch(shape, dragging);
  }

  /** Further pieces, as a split makes them. */
  showMore() {
    this.others.clearLayers();
    const style = { ...DRAWN, dashArray: "10 5", fillColor: "#9fb8c4", fillOpacity: 0.35 };
    for (const { shape, name } of this.steps.now.more)
      labelled(L.polygon(latLngs(shape), style), name).addTo(this.others);
  }

  changed() {
    return changed(this.steps);
  }

  /** Mark where edges cross; nothing to take the mark off. @param {Corner | null} at */
  fault(at) {
    this.wrong.clearLayers();
    this.drawn.getElement()?.classList.toggle("crosses", !!at);
    if (at) sign(at, "wrong-place", "×").addTo(this.wrong);
  }

  /** Say where the hand is, for eyes and screen readers. @param {string} text */
  tell(text) {
    this.line.textContent = text;
  }

  /** What the tool in hand asks and shows. @param {...(Node | string | null)} nodes */
  panel(...nodes) {
    this.box.replaceChildren(.../** @type {Node[]} */ (nodes.filter((one) => one !== null)));
  }

  /** Take a tool in hand; the one before is put down. @param {Held} tool */
  take(tool) {
    this.drop();
    this.tool = tool;
    const chosen = this.list.contains(document.activeElement);
    if (chosen) this.chosen = document.activeElement?.textContent;
    tool.enable();
    this.sentences();
    // the sentence that was chosen is gone, so keys go on to where the tool asks
    if (chosen && tool.asks) this.focusAsked();
    else if (chosen) this.place.focus({ preventScroll: true });
    this.see(tool.asks ? this.box : this.place);
  }

  /** Bring a part into sight: on a phone, where words stand under the map, to the top. */
  see(/** @type {Element} */ part = this.place) {
    part.scrollIntoView({ block: isSmall() ? "start" : "nearest" });
  }

  /** Take a pen in hand. @param {import("./pen.js").Wanted} wanted */
  pen(wanted) {
    this.take(new Pen(this, wanted));
  }

  /** Take a tool that only asks in the panel. @param {...(Node | string | null)} nodes */
  asks(...nodes) {
    this.take({ enable: () => this.panel(...nodes), asks: true });
  }

  /**
   * Take a tool that asks once the desk has answered. What comes after the tool was put down
   * is not shown.
   * @param {() => Promise<Node[]>} nodes
   */
  asksAfter(nodes) {
    const held = {
      enable: () => this.panel(para("One moment …")),
      asks: true,
    };
    this.take(held);
    return tryIt(async () => {
      try {
        const asked = await nodes();
        if (this.tool !== held) return;
        this.panel(...asked);
        if (document.activeElement === document.body) this.focusAsked();
        this.see(this.box);
      } catch (problem) {
        if (this.tool === held) this.leave();
        throw problem;
      }
    });
  }

  /** The first box or button that the tool in hand shows. */
  focusAsked() {
    const asks = /** @type {HTMLElement | null} */ (
      this.box.querySelector("input, select, button")
    );
    asks?.focus({ preventScroll: true });
  }

  /** What can be done now, a sentence each. */
  sentences() {
    const leave = /** @type {Choice} */ (["Leave it", () => this.leave(), { class: "leaves" }]);
    this.list.replaceChildren(...choices(this.tool ? [leave] : this.can()));
  }

  drop() {
    const tool = this.tool;
    this.tool = null;
    tool?.disable?.();
    this.fault(null);
    this.tell("");
  }

  /** Put the tool down and show what else can be done. */
  leave() {
    this.drop();
    this.panel();
    this.sentences();
    const all = [...this.list.querySelectorAll("button")];
    const back = all.find((one) => one.textContent === this.chosen) || all[0];
    back?.focus({ preventScroll: true });
    this.left();
  }

  /**
   * Ask the desk for an operation on the piece, take what it gives as one step, and put the tool
   * down.
   * @param {string} what @param {any} more @param {string} label
   * @param {{name?: (n: number) => string, out?: string[], kind?: string,
   *   ft_per_px?: number}} [how]
   */
  operate(what, more, label, { name, out = [], kind = "plot", ft_per_px } = {}) {
    const { steps, tool } = this;
    return tryIt(async () => {
      const answer = await ask("shape", { do: what, polygons: this.shape(), ...more });
      if (this.ended) return;
      if (this.steps !== steps)
        return say(
          `The piece was changed meanwhile: “${label}” was not done. Do it again.`,
          "doubts",
        );
      const [shape, ...rest] = answer.pieces.map((/** @type {any} */ one) => open(one.polygons));
      const told = sentences(answer.said) || `Done: ${label}.`;
      // nothing to take back where nothing was changed
      if (!rest.length && !out.length && `${shape}` === `${this.shape()}`) return say(told);
      const made = rest.map((/** @type {Shape} */ one, /** @type {number} */ n) => ({
        name: name?.(n) || "",
        kind,
        shape: one,
      }));
      const all = [...this.steps.now.more, ...made];
      if (!this.act({ do: "become", shape, label, more: all, out, ft_per_px })) return;
      if (tool && this.tool === tool) this.leave();
      this.see();
      // after what an act says
      say(told);
    });
  }
}

/**
 * Rings without their first corner repeated at the end.
 * @param {Shape} polygons
 * @returns {Shape}
 */
export const open = (polygons) =>
  polygons.map((rings) =>
    rings.map((ring) => {
      const last = ring[ring.length - 1];
      const twice = ring.length > 1 && ring[0][0] === last[0] && ring[0][1] === last[1];
      return twice ? ring.slice(0, -1) : ring;
    }),
  );
