// The chosen corner under a glass, moved by arrows, and what can be done to it without a key.
// @ts-check
import { desk } from "./desk.js";
import { INK } from "./on_map.js";
import { button } from "./parts.js";
import { el } from "./say.js";
import { beside, cornerAt } from "./steps.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./steps.js").At} At */

const SIDE = 132;
const LARGER = 4;
const ARROWS = /** @type {[string, string, number[]][]} */ ([
  ["↑", "north", [0, 1]],
  ["←", "west", [-1, 0]],
  ["→", "east", [1, 0]],
  ["↓", "south", [0, -1]],
]);

/** The bar under the map: the glass, arrows, and the acts on a corner. */
export class Loupe {
  /**
   * @param {import("./stage.js").Stage} stage
   * @param {import("./corners.js").Corners} corners
   */
  constructor(stage, corners) {
    this.stage = stage;
    this.more = false;
    this.glass = el("canvas", { width: SIDE * 2, height: SIDE * 2, "aria-hidden": "true" });
    const { nudge_ft: ft, nudge_more_ft: more_ft } = stage.figures;
    const turn = () => {
      this.more = !this.more;
      this.size.textContent = `by ${this.more ? more_ft : ft} ft`;
    };
    this.size = button(`by ${ft} ft`, turn, { class: "size" });
    const arrows = ARROWS.map(([text, way, by]) =>
      button(text, () => corners.push(by, this.more), {
        class: way,
        "aria-label": `Move the corner ${way}`,
      }),
    );
    this.node = el(
      "div",
      { class: "loupe", role: "group", "aria-label": "The chosen corner" },
      this.glass,
      el("div", { class: "arrows" }, ...arrows, this.size),
      el(
        "div",
        { class: "acts" },
        button("Previous corner", () => corners.step(-1)),
        button("Next corner", () => corners.step(1)),
        button("Put one in after it", () => corners.put_in()),
        button("Take it out", () => corners.take_out()),
      ),
    );
  }

  /** Draw the ground about a corner larger. @param {At | null} at @param {any} [shape] */
  show(at, shape = this.stage.shape()) {
    const pen = this.glass.getContext("2d");
    if (!pen || !this.glass.clientWidth) return;
    pen.setTransform(2, 0, 0, 2, 0, 0);
    pen.fillStyle = "#f4efe2";
    pen.fillRect(0, 0, SIDE, SIDE);
    if (!at) return;
    const middle = cornerAt(shape, at);
    const ftPx = this.stage.ftPerPx() / LARGER;
    const spot = (/** @type {Corner} */ corner) => {
      const [east, north] = this.stage.measures.apartFt(middle, corner);
      return /** @type {[number, number]} */ ([SIDE / 2 + east / ftPx, SIDE / 2 - north / ftPx]);
    };
    this.drawUnder(pen, spot);
    const trace = (/** @type {Corner[]} */ ring) => {
      pen.beginPath();
      ring.forEach((corner, n) => {
        if (n) pen.lineTo(...spot(corner));
        else pen.moveTo(...spot(corner));
      });
      pen.closePath();
      pen.stroke();
    };
    pen.strokeStyle = "#8d8570";
    pen.lineWidth = 1;
    for (const area of desk.ground?.areas || []) {
      if (area.name === this.stage.area) continue;
      const parts = area.edge.type === "Polygon" ? [area.edge.coordinates] : area.edge.coordinates;
      for (const ring of parts.flat()) trace(ring);
    }
    pen.strokeStyle = INK;
    pen.lineWidth = 2.5;
    for (const ring of shape.flat()) trace(ring);
    pen.fillStyle = "#fffdf7";
    for (const by of [-1, 1]) {
      pen.beginPath();
      pen.arc(...spot(cornerAt(shape, beside(shape, at, by))), 4, 0, 7);
      pen.fill();
      pen.stroke();
    }
    pen.strokeStyle = "#1b5fae";
    pen.beginPath();
    pen.arc(SIDE / 2, SIDE / 2, 9, 0, 7);
    pen.stroke();
  }

  /** The picture underneath, in the glass too. @param {any} pen @param {(c: Corner) => any} spot */
  drawUnder(pen, spot) {
    for (const { image, corners, width, height } of this.stage.unders) {
      const [a, b, , d] = corners.map(spot);
      pen.save();
      pen.transform(
        (b[0] - a[0]) / width,
        (b[1] - a[1]) / width,
        (d[0] - a[0]) / height,
        (d[1] - a[1]) / height,
        a[0],
        a[1],
      );
      pen.drawImage(image, 0, 0);
      pen.restore();
    }
  }
}
