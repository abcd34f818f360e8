// A picture under the map: placed by pointing at a place on it and at the same place on the ground.
// @ts-check
import { ask, askBytes, desk, tryIt } from "./desk.js";
import { Pen } from "./pen.js";
import { PictureView } from "./picture_view.js";
import { askWhere, home, layOut, middleOfPlace, readPlace, stageAt } from "./sheet.js";
import { el, say, sentences } from "./say.js";
import { layUnder } from "./under.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./stage.js").Stage} Stage */

/** @type {any} */
const L = /** @type {any} */ (window).L;
/** A place on the map so near a known corner is that corner. [px] */
const SNAPS = 8;
/** Points of a ring that shows how far off the picture may be. */
const ROUND = 24;
const whole = (/** @type {number} */ some) => Math.round(some).toLocaleString("en-US");

/** Lay a kept picture under a stage. @param {Stage} stage @param {any} row as the desk lists it */
export async function layKept(stage, row) {
  const bytes = await askBytes(`picture?picture=${encodeURIComponent(row.picture)}`);
  const image = await imageOf(bytes);
  layUnder(stage, { ...row, image });
  desk.under = row;
  say(`${row.picture} lies under the map; it may be off by ${whole(row.pm_ft)} ft.`);
}

/** @param {Blob} bytes @returns {Promise<HTMLImageElement>} */
async function imageOf(bytes) {
  const image = new Image();
  image.src = URL.createObjectURL(bytes);
  await image.decode();
  return image;
}

/** The pictures of the place; what is wrong with the others is said. @returns {Promise<any[]>} */
async function goodPictures() {
  const { pictures } = await ask("pictures");
  const bad = pictures.filter((/** @type {any} */ row) => row.why);
  if (bad.length)
    say(sentences(bad.map((/** @type {any} */ row) => `${row.picture}: ${row.why}`)), "doubts");
  return pictures.filter((/** @type {any} */ row) => !row.why);
}

/** Choose a picture to draw over. @param {Stage} stage */
export async function choosePicture(stage) {
  await tryIt(async () => {
    const pictures = await goodPictures();
    const lay = (/** @type {any} */ row) =>
      tryIt(async () => {
        await layKept(stage, row);
        stage.leave();
      });
    stage.take({
      enable: () =>
        stage.panel(
          el("p", {
            text: pictures.length
              ? "Edges drawn over a picture are as far off as it is."
              : "No picture was placed yet: place one from the map of all the ground.",
          }),
          el(
            "ul",
            { class: "sentences" },
            ...pictures.map((/** @type {any} */ row) =>
              el("li", {}, el("button", { text: row.picture, on: { click: () => lay(row) } })),
            ),
          ),
        ),
      disable: () => {},
    });
  });
}

/** Open the screen on which a picture is placed. */
export async function placePicture() {
  await tryIt(async () => {
    const middle = middleOfPlace();
    const go = async (/** @type {Corner} */ at) => {
      const stage = await stageAt(at, []);
      new Placing(stage, await goodPictures()).open();
    };
    if (middle) await go(middle);
    else askWhere((at) => tryIt(() => go(at)));
  });
}

/** @typedef {{x: number, y: number, at: Corner, miss_ft?: number}} Pair */

class Placing {
  /** @param {Stage} stage @param {any[]} pictures */
  constructor(stage, pictures) {
    this.stage = stage;
    this.pictures = pictures;
    /** @type {Pair[]} */
    this.pairs = [];
    /** @type {{x: number, y: number} | null} */
    this.waiting = null;
    /** @type {any} */
    this.file = null;
    this.size = { width: 1, height: 1 };
    this.image = new Image();
    this.view = el("div", {});
    this.table = el("div", {});
    this.answer = el("div", { "aria-live": "polite" });
    this.points = null;
    this.takeOff = () => {};
  }

  open() {
    const { stage } = this;
    const pick = el("input", {
      type: "file",
      id: "picture-file",
      accept: "image/png,image/jpeg",
      on: { change: () => pick.files[0] && tryIt(() => this.bring(pick.files[0])) },
    });
    layOut(
      stage,
      "A picture underneath",
      () => home(stage, ""),
      el("p", {
        text:
          "A phone’s screenshot, a scanned plat or a photograph of a paper map. Point at a place " +
          "on it, then at the same place on the map; three or more. It stays on this computer.",
      }),
      el(
        "div",
        { class: "field" },
        el("label", { for: "picture-file", text: "The picture (PNG or JPEG)" }),
        pick,
      ),
      stage.line,
      stage.box,
      this.view,
      this.table,
      this.answer,
      this.kept(),
    );
    this.points = L.layerGroup().addTo(stage.map);
    stage.left = () => this.ask();
  }

  /** Pictures that lie in the place already. */
  kept() {
    if (!this.pictures.length) return el("div", {});
    const again = (/** @type {any} */ row) =>
      tryIt(async () => {
        const bytes = await askBytes(`picture?picture=${encodeURIComponent(row.picture)}`);
        this.pairs = row.pairs.map((/** @type {number[]} */ [x, y, lon, lat]) => ({
          x,
          y,
          at: [lon, lat],
        }));
        await this.show(bytes, { picture: row.picture }, row);
      });
    return el(
      "section",
      {},
      el("h3", { text: "Pictures of this place" }),
      el(
        "ul",
        { class: "sentences" },
        ...this.pictures.map((row) =>
          el(
            "li",
            {},
            el("button", {
              text: `Mend the points of ${row.picture}, off by up to ${whole(row.pm_ft)} ft`,
              on: { click: () => again(row) },
            }),
          ),
        ),
      ),
    );
  }

  /** @param {File} file */
  async bring(file) {
    const answer = await ask("picture", file, { "X-Name": encodeURIComponent(file.name) });
    this.pairs = [];
    await this.show(file, { token: answer.token }, answer);
  }

  /** @param {Blob} bytes @param {any} which @param {{width: number, height: number}} size */
  async show(bytes, which, size) {
    this.which = which;
    this.size = { width: size.width, height: size.height };
    this.image = await imageOf(bytes);
    const shown = new PictureView(await imageOf(bytes), this.size, (x, y) => {
      this.waiting = { x, y };
      this.marks();
      this.ask();
      this.stage.place.scrollIntoView({ block: "nearest" });
    });
    this.shown = shown;
    this.view.replaceChildren(shown.node);
    this.marks();
    this.ask();
    if (this.pairs.length > 1) await this.place();
  }

  /** What to do next: on the picture, or on the map. */
  ask() {
    if (!this.waiting) {
      this.stage.drop();
      const count = this.pairs.length + 1;
      this.stage.panel(el("p", { text: `Point ${count}: click it on the picture.` }));
      return;
    }
    const typed = el("input", { id: "typed-place", type: "text", autocomplete: "off" });
    const take = (/** @type {Corner} */ at) => this.pair(at);
    this.stage.take(
      new Pen(this.stage, {
        what: "place",
        how: "Now point at the same place on the map: a corner near it is taken, or type it.",
        done: "",
        at: (place) => this.known(place),
        more: [
          el(
            "form",
            {
              class: "field",
              on: {
                submit: (/** @type {Event} */ event) => {
                  event.preventDefault();
                  const at = readPlace(typed.value);
                  if (at) take(at);
                  else say("Type latitude, longitude, such as 33.2, -86.3.", "doubts");
                },
              },
            },
            el("label", { for: "typed-place", text: "Or its latitude, longitude" }),
            typed,
            el("button", { type: "submit", text: "It lies there" }),
          ),
        ],
        take: ([at]) => take(at),
      }),
    );
  }

  /**
   * A corner or mark that lies nearly where the hand points, or the place itself.
   * @param {Corner} place
   * @returns {Corner}
   */
  known(place) {
    const { map } = this.stage;
    const edges = [desk.ground?.line, ...(desk.ground?.areas || []).map((one) => one.edge)];
    const corners = edges.filter(Boolean).flatMap((edge) => edge.coordinates.flat(9));
    const pairs = /** @type {Corner[]} */ ([]);
    for (let n = 0; n < corners.length; n += 2) pairs.push([corners[n], corners[n + 1]]);
    for (const mark of this.stage.marks.marks) if (mark.at) pairs.push(mark.at);
    const here = map.latLngToContainerPoint([place[1], place[0]]);
    let least = SNAPS;
    let best = place;
    for (const one of pairs) {
      const far = here.distanceTo(map.latLngToContainerPoint([one[1], one[0]]));
      if (far < least) {
        least = far;
        best = one;
      }
    }
    if (best !== place) say("The corner or mark beside it was taken for the place.");
    return best;
  }

  /** @param {Corner} at */
  async pair(at) {
    if (!this.waiting) return;
    this.pairs = [...this.pairs, { ...this.waiting, at }];
    this.waiting = null;
    this.stage.leave();
    this.marks();
    this.view.scrollIntoView({ block: "nearest" });
    if (this.pairs.length > 1) await this.place();
  }

  /** The points on picture and map, and their table. @param {any} [answer] */
  marks(answer) {
    this.shown?.mark(this.pairs, this.waiting);
    this.points.clearLayers();
    this.pairs.forEach(({ at }, n) => {
      const html = el("span", { class: "letter", text: String(n + 1) });
      const icon = L.divIcon({ className: "mark", html: el("span", {}, html), iconSize: null });
      L.marker([at[1], at[0]], { icon, interactive: false, keyboard: false }).addTo(this.points);
    });
    this.table.replaceChildren(
      el(
        "ul",
        { class: "list" },
        ...this.pairs.map((pair, n) => {
          const miss = answer?.pairs?.[n]?.miss_ft;
          const wrong = answer?.wrong === n;
          return el(
            "li",
            { class: "row" },
            el("span", { class: "letter", text: String(n + 1) }),
            el("span", {
              class: wrong ? "wide doubt" : "wide",
              text:
                (miss === undefined ? `${pair.at[1].toFixed(5)}, ${pair.at[0].toFixed(5)}` : "") +
                (miss === undefined ? "" : `misses by ${whole(miss)} ft`) +
                (wrong ? ": likely the wrong place" : ""),
            }),
            el("button", {
              text: "Take out",
              "aria-label": `Take out point ${n + 1}`,
              on: {
                click: () => {
                  this.pairs = this.pairs.filter((one) => one !== pair);
                  this.marks();
                  this.ask();
                  if (this.pairs.length > 1) this.place();
                },
              },
            }),
          );
        }),
      ),
    );
  }

  told() {
    const pairs = this.pairs.map(({ x, y, at }) => [x, y, at[0], at[1]]);
    return { ...this.which, pairs };
  }

  async place() {
    await tryIt(async () => {
      const answer = await ask("place", this.told());
      say("");
      this.marks(answer);
      this.takeOff();
      const under = { ...this.size, corners: answer.corners, image: this.image, picture: "" };
      const off = layUnder(this.stage, under);
      const rings = this.rings(answer).addTo(this.stage.map);
      this.takeOff = () => {
        off();
        rings.remove();
      };
      const keep = () =>
        tryIt(async () => {
          const kept = await ask("place/keep", { ...this.told(), on_map: false });
          const { pictures } = await ask("pictures");
          desk.under = pictures.find((/** @type {any} */ one) =>
            kept.picture.endsWith(one.picture),
          );
          await home(this.stage, `Kept: ${kept.picture}. New drawings begin with it underneath.`);
        });
      this.answer.replaceChildren(
        el("p", { class: answer.wrong === null ? "" : "doubt", text: sentences(answer.said) }),
        el("p", {
          class: "soft",
          text: "Each ring on the map is as wide as the picture may be off there, 95 times in 100.",
        }),
        el("button", { class: "first", text: "Keep the picture so placed", on: { click: keep } }),
      );
    });
  }

  /** Rings as wide as the picture may be off, over all of it. @param {any} answer */
  rings(answer) {
    const { measures } = this.stage;
    const [a, b, , d] = answer.corners;
    const { width, height } = this.size;
    const layer = L.layerGroup();
    const { grid } = answer;
    grid.y.forEach((/** @type {number} */ y, /** @type {number} */ row) => {
      grid.x.forEach((/** @type {number} */ x, /** @type {number} */ column) => {
        const spot = /** @type {Corner} */ (
          [0, 1].map((k) => a[k] + ((b[k] - a[k]) * x) / width + ((d[k] - a[k]) * y) / height)
        );
        const pm_ft = grid.pm_ft[row][column];
        const ring = Array.from({ length: ROUND }, (_, n) => {
          const turn = (2 * Math.PI * n) / ROUND;
          const [lon, lat] = measures.moved(spot, pm_ft * Math.cos(turn), pm_ft * Math.sin(turn));
          return [lat, lon];
        });
        L.polygon(ring, { color: "#8a2c0d", weight: 1, fill: false, interactive: false }).addTo(
          layer,
        );
      });
    });
    return layer;
  }
}
