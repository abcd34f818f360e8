// A picture to point at: moved under a cross or clicked, nearer and farther.
// @ts-check
import { letter } from "./on_map.js";
import { button, tools } from "./parts.js";
import { el } from "./say.js";

const NEARER = 1.5;

export class PictureView {
  /**
   * @param {HTMLImageElement} image @param {{width: number, height: number}} size
   * @param {(x: number, y: number) => void} point told in the picture's own pixels
   */
  constructor(image, size, point) {
    this.size = size;
    this.zoom = 1;
    image.alt = "The picture to place";
    this.dots = el("div", { class: "picture-dots" });
    this.inner = el("div", { class: "picture-inner" }, image, this.dots);
    this.box = el("div", {
      class: "picture-box",
      tabindex: "0",
      role: "group",
      "aria-label": "The picture: arrows move it under the cross, Enter points there",
    });
    this.box.append(this.inner);
    const cross = el("div", { class: "cross", "aria-hidden": "true" });
    const nearer = (/** @type {number} */ by) => () => this.scale(this.zoom * by);
    this.node = el(
      "div",
      { class: "picture" },
      el("div", { class: "picture-frame" }, this.box, cross),
      tools(
        button("Nearer", nearer(NEARER)),
        button("Farther", nearer(1 / NEARER)),
        button("Point at the picture’s cross", () => this.middle()),
      ),
    );
    this.point = point;
    this.inner.addEventListener("click", (/** @type {MouseEvent} */ event) =>
      this.told(event.clientX, event.clientY),
    );
    this.box.addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      this.middle();
    });
    this.scale(1);
  }

  /** @param {number} zoom 1 fits the width */
  scale(zoom) {
    this.zoom = Math.max(1, Math.min(zoom, 12));
    this.inner.style.width = `${this.zoom * 100}%`;
  }

  /** Point at what lies under the cross. */
  middle() {
    const frame = this.box.getBoundingClientRect();
    this.told(frame.left + frame.width / 2, frame.top + frame.height / 2);
  }

  /** Tell of a place of the window. @param {number} left @param {number} top */
  told(left, top) {
    const box = this.inner.getBoundingClientRect();
    const { width, height } = this.size;
    const on = (/** @type {number} */ some, /** @type {number} */ most) =>
      Math.min(Math.max((some * width) / box.width, 0), most);
    this.point(on(left - box.left, width), on(top - box.top, height));
  }

  /** @param {{x: number, y: number}[]} pairs @param {{x: number, y: number} | null} waiting */
  mark(pairs, waiting) {
    this.dots.replaceChildren(
      ...[...pairs, ...(waiting ? [waiting] : [])].map(({ x, y }, n) => {
        const dot = letter(n + 1);
        dot.style.left = `${(100 * x) / this.size.width}%`;
        dot.style.top = `${(100 * y) / this.size.height}%`;
        return dot;
      }),
    );
  }
}
