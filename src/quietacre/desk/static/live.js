// Figures that follow the hand: acres and feet at once, what needs the desk grey until answered.
// @ts-check
import { ask, Refused } from "./desk.js";
import { DOUBT, L, latLngs, whole } from "./on_map.js";
import { para } from "./parts.js";
import { el, sayAcres } from "./say.js";

/** @typedef {import("./measures.js").Shape} Shape */

/** No band is drawn wider. [px] */
const WIDEST = 400;

/** The figures of the piece that is drawn. */
export class LiveFigures {
  /** @param {import("./stage.js").Stage} stage @param {any[]} rates pounds an acre of the piece */
  constructor(stage, rates) {
    this.stage = stage;
    this.rates = rates;
    this.least_ms = 1000 / stage.figures.most_preview_hz;
    this.acres = el("strong", { class: "acres" });
    this.range = el("span", { class: "waits" });
    this.round = el("span");
    this.more = el("p", { class: "soft" });
    this.pounds = rates.map(() => el("li"));
    this.strips = el("ul", { class: "pounds waits" });
    this.pm = para("", "waits");
    this.node = el(
      "section",
      { class: "figures", "aria-label": "Figures of what is drawn" },
      el("p", {}, this.acres, " ", this.range, " ", this.round),
      this.more,
      el("ul", { class: "pounds" }, ...this.pounds),
      this.strips,
      rates.length ? para("Bags, dollars and days wait until you work it out.", "waits") : null,
      this.pm,
    );
    this.first = stage.shape().length ? stage.measures.acres(stage.shape()) : 0;
    const strip = { pane: "round", color: "#4a1f54", weight: 1.5, dashArray: "3 4" };
    this.strip = L.polygon([], { ...strip, fillOpacity: 0.12, interactive: false });
    /** Where the true edge may lie. */
    this.band = L.polygon([], { pane: "round", color: DOUBT, fill: false, opacity: 0.18 });
    this.layers = L.layerGroup([this.strip, this.band]);
    /** @type {Shape | null} */
    this.asked = null;
    this.busy = false;
    this.last = 0;
    /** What is grey until the desk has answered. */
    this.grey = [this.range, this.pm, this.strips];
    /** @type {number | null} */
    this.pm_ft = null;
    stage.watchers.push((shape) => this.follow(shape));
  }

  /** @param {Shape} shape */
  follow(shape) {
    const { measures } = this.stage;
    this.node.hidden = !shape.length;
    if (!shape.length) return;
    const acres = measures.acres(shape);
    this.acres.textContent = sayAcres(acres);
    if (!measures.holdFor(shape)) {
      this.acres.textContent = "";
      this.round.textContent = "This far from the place, acres are worked out when it is kept.";
      return;
    }
    this.round.textContent = `· ${whole(measures.perimeterFt(shape))} ft round`;
    const by = acres - this.first;
    this.more.textContent =
      this.first && Math.abs(by) >= 0.005
        ? `${sayAcres(Math.abs(by))} ${by > 0 ? "more" : "less"} than it was`
        : "";
    this.rates.forEach(({ what, for: use, lb_ac, unit }, n) => {
      this.pounds[n].textContent = `${what} (${use}): ${whole(lb_ac * acres)} ${unit}`;
    });
    for (const one of this.grey) one.classList.add("waits");
    this.strip.setStyle({ opacity: 0.35 });
    this.ask(shape);
  }

  /** Ask the desk what it takes longer to say: one question at a time, the newest last. */
  ask(/** @type {Shape} */ shape) {
    this.asked = shape;
    if (this.busy) return;
    const wait = Math.max(0, this.least_ms - (performance.now() - this.last));
    this.busy = true;
    setTimeout(() => this.answer(), wait);
  }

  async answer() {
    const shape = this.asked;
    this.last = performance.now();
    const { stage } = this;
    try {
      const said = await ask("strip", {
        area: stage.area,
        polygons: shape,
        ft_per_px: stage.steps.now.ft_per_px,
        picture: stage.picture,
      });
      if (shape === this.asked) this.told(said);
    } catch (problem) {
      if (!(problem instanceof Refused)) throw problem;
      if (shape === this.asked) this.range.textContent = "";
    } finally {
      this.busy = false;
      if (shape !== this.asked && this.asked) this.ask(this.asked);
    }
  }

  /** @param {any} said */
  told(said) {
    if (this.stage.ended) return;
    const half = (said.acres_high - said.acres_low) / 2;
    this.range.textContent = half > 0.004 ? `± ${half.toFixed(2)}` : "";
    this.pm_ft = said.edge_pm_ft;
    this.pm.textContent = this.pm_ft ? `Its corners are right to ± ${whole(this.pm_ft)} ft` : "";
    const strips = said.strips || [];
    this.strips.replaceChildren(
      ...strips.map((/** @type {any} */ strip) =>
        el("li", {
          text: `${strip.name}: ${sayAcres(strip.acres)}, ${whole(strip.width_ft)} ft wide`,
        }),
      ),
    );
    for (const one of this.grey) one.classList.remove("waits");
    this.strip.setLatLngs(strips.flatMap((/** @type {any} */ one) => latLngs(one.polygons)));
    this.strip.setStyle({ opacity: 1 });
    const { map } = this.stage;
    if (!map.hasLayer(this.layers)) map.addLayer(this.layers).on("zoomend", this.drawBand, this);
    this.drawBand();
  }

  /** A band along the edge, as wide as the edge may be off. */
  drawBand() {
    const { stage } = this;
    const weight = (2 * (this.pm_ft || 0)) / stage.ftPerPx();
    this.band.setLatLngs(weight ? latLngs(this.asked || []) : []);
    this.band.setStyle({ weight: Math.min(weight, WIDEST) });
  }
}
