// Acres and lengths in the page, from numbers that the desk gives for the latitude of the place.
// The powers and what each is multiplied by are Python's; nothing of the formula is told here.
// @ts-check

/** @typedef {[number, number]} Corner longitude, latitude in degrees */
/** @typedef {Corner[][][]} Shape polygons of rings, the edge before its holes */
/**
 * @typedef {object} Live
 * @property {number} lat_deg
 * @property {number} reach_deg
 * @property {[number, number, number, number][]} terms
 * @property {number[]} east_ft
 * @property {number[]} north_ft
 */

const TURN = 360;

/** The shorter way from one longitude to another. @param {number} by */
const turned = (by) => (Math.abs(by) > TURN / 2 ? by - TURN * Math.round(by / TURN) : by);

/** @param {number[]} powers @param {number} x */
const sumOf = (powers, x) => powers.reduceRight((sum, by) => sum * x + by, 0);

/** The numbers of a place, and what is worked out with them. */
export class Measures {
  /** @param {Live} live */
  constructor(live) {
    this.live = live;
  }

  /** Whether the numbers hold for a shape. @param {Shape} shape */
  holdFor(shape) {
    const { lat_deg, reach_deg } = this.live;
    return shape.flat(2).every(([, lat]) => Math.abs(lat - lat_deg) <= reach_deg);
  }

  /** Acres inside one ring, whichever way it runs. @param {Corner[]} ring */
  ringAcres(ring) {
    const { lat_deg, terms } = this.live;
    const sums = terms.map(() => 0);
    for (let n = 0; n < ring.length; n++) {
      const [lon, lat] = ring[n];
      const [lon2, lat2] = ring[(n + 1) % ring.length];
      const wide = turned(lon2 - lon);
      const high = lat2 - lat;
      const middle = (lat + lat2) / 2 - lat_deg;
      for (let t = 0; t < terms.length; t++) {
        const [i, j, k] = terms[t];
        let some = 1;
        for (let p = 0; p < i; p++) some *= wide;
        for (let p = 0; p < j; p++) some *= high;
        for (let p = 0; p < k; p++) some *= middle;
        sums[t] += some;
      }
    }
    return Math.abs(sums.reduce((sum, some, t) => sum + terms[t][3] * some, 0));
  }

  /** Acres of a shape, its holes taken off. @param {Shape} shape */
  acres(shape) {
    let sum = 0;
    for (const rings of shape)
      rings.forEach((ring, n) => {
        sum += n ? -this.ringAcres(ring) : this.ringAcres(ring);
      });
    return sum;
  }

  /** How long a degree is at a latitude: east, north. [ft] @param {number} lat */
  degreeFt(lat) {
    const m = lat - this.live.lat_deg;
    return [sumOf(this.live.east_ft, m), sumOf(this.live.north_ft, m)];
  }

  /** Feet east and north from one corner to another. @param {Corner} from @param {Corner} to */
  apartFt(from, to) {
    const [east, north] = this.degreeFt((from[1] + to[1]) / 2);
    return [turned(to[0] - from[0]) * east, (to[1] - from[1]) * north];
  }

  /** @param {Corner} from @param {Corner} to */
  feet(from, to) {
    return Math.hypot(...this.apartFt(from, to));
  }

  /** Feet round all rings. @param {Shape} shape */
  perimeterFt(shape) {
    let sum = 0;
    for (const ring of shape.flat())
      ring.forEach((corner, n) => {
        sum += this.feet(corner, ring[(n + 1) % ring.length]);
      });
    return sum;
  }

  /**
   * A corner moved by feet.
   * @param {Corner} corner @param {number} east @param {number} north
   * @returns {Corner}
   */
  moved(corner, east, north) {
    const [by, up] = this.degreeFt(corner[1]);
    return [corner[0] + east / by, corner[1] + north / up];
  }
}
