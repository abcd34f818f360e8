// A picture under the map: placed by pointing at a place on it and at the same place on the ground.
// @ts-check
import { ask, askBytes, Brought, desk, tryIt } from "./desk.js";
import { DOUBT, ft, L, letter, sign } from "./on_map.js";
import { button, choiceList, field, first, para } from "./parts.js";
import { PictureView } from "./picture_view.js";
import { home, layOut, onStage, placeForm } from "./sheet.js";
import { el, say, sentences } from "./say.js";
import { layUnder } from "./under.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./stage.js").Stage} Stage */

/** A place on the map so near a known corner is that corner. [px] */
const SNAPS = 8;

/** The bytes of a picture of the place. @param {any} row as the desk lists it */
const bytesOf = (row) => askBytes(`picture?picture=${encodeURIComponent(row.picture)}`);

/** Lay a kept picture under a stage. @param {Stage} stage @param {any} row as the desk lists it */
export async function layKept(stage, { picture }) {
  const row = (await goodPictures()).find((one) => one.picture === picture);
  desk.under = row || null;
  if (!row) return;
  layUnder(stage, { ...row, image: await imageOf(await bytesOf(row)) });
  say(`${picture} lies under the map; it may be off by ${ft(row.pm_ft)}.`);
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
export const choosePicture = (stage) =>
  stage.asksAfter(async () => {
    const pictures = await goodPictures();
    const lay = (/** @type {any} */ row) =>
      tryIt(async () => {
        await layKept(stage, row);
        stage.leave();
      });
    return [
      para(
        pictures.length
          ? "Edges drawn over a picture are as far off as it is."
          : "No picture was placed yet: place one from the map of all the ground.",
      ),
      choiceList(pictures.map((row) => [row.picture, () => lay(row)])),
    ];
  });

/** Open the screen on which a picture is placed. */
export const placePicture = () =>
  onStage(async (stage) => new Placing(stage, await goodPictures()).open());

/** @typedef {{x: number, y: number, at: Corner, miss_ft?: number}} Pair */

class Placing {
  /** @param {Stage} stage @param {any[]} pictures */
  constructor(stage, pictures) {
    this.stage = stage;
    this.pictures = pictures;
    /** @type {Brought | null} the picture that is placed, where it is a new one */
    this.brought = null;
    /** @type {Pair[]} */
    this.pairs = [];
    /** @type {{x: number, y: number} | null} */
    this.waiting = null;
    this.size = { width: 1, height: 1 };
    this.image = new Image();
    /** What is asked, and the picture under it; before a picture comes, what it may be. */
    this.work = el("div", { class: "work" });
    this.intro = el("div");
    this.view = el("div");
    this.table = el("div");
    this.answer = el("div", { "aria-live": "polite" });
    this.points = L.layerGroup();
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
    this.intro.append(
      para(
        "A phone’s screenshot, a scanned plat or a photographed paper map. Point at a place on " +
          "it, then on the map: four or more, to find a wrong one. It stays on this computer.",
      ),
      field("The picture (PNG or JPEG)", pick),
    );
    this.work.append(stage.box, this.view);
    const back = () => home(stage, "");
    const side = [stage.line, this.work, this.table, this.answer, this.intro, this.kept()];
    layOut(stage, "A picture underneath", back, ...side);
    this.points.addTo(stage.map);
    stage.left = () => this.ask();
  }

  /** Pictures that lie in the place already. */
  kept() {
    const again = (/** @type {any} */ row) =>
      tryIt(async () => {
        const pairs = row.pairs.map((/** @type {number[]} */ [x, y, ...at]) => ({ x, y, at }));
        this.brought = null;
        await this.show(await bytesOf(row), { picture: row.picture }, row, pairs);
      });
    return el(
      "section",
      { hidden: !this.pictures.length },
      el("h3", { text: "Pictures of this place" }),
      choiceList(
        this.pictures.map((row) => [
          `Mend the points of ${row.picture}, off by up to ${ft(row.pm_ft)}`,
          () => again(row),
        ]),
      ),
    );
  }

  /** @param {File} file */
  async bring(file) {
    this.brought = new Brought(file, "picture");
    await this.show(file, {}, await this.brought.send(), []);
  }

  /**
   * @param {Blob} bytes @param {any} which @param {{width: number, height: number}} size
   * @param {Pair[]} pairs
   */
  async show(bytes, which, size, pairs) {
    this.which = which;
    this.size = { width: size.width, height: size.height };
    this.image = await imageOf(bytes);
    const shown = new PictureView(await imageOf(bytes), this.size, (x, y) => {
      this.waiting = { x, y };
      this.marks();
      this.ask();
    });
    this.shown = shown;
    this.view.replaceChildren(shown.node);
    await this.anew(pairs);
  }

  /** Go on with these points. @param {Pair[]} pairs */
  async anew(pairs) {
    this.pairs = pairs;
    this.waiting = null;
    this.marks();
    this.ask();
    this.stage.see(this.work);
    if (pairs.length > 1) return this.place();
    this.takeOff();
    this.answer.replaceChildren();
  }

  /** What to do next: on the picture, or on the map. */
  ask() {
    if (!this.waiting) {
      this.stage.drop();
      const count = this.pairs.length + 1;
      this.stage.panel(para(`Point ${count}: point at it on the picture.`));
      return;
    }
    const { pairs, waiting } = this;
    const take = (/** @type {Corner} */ at) => this.anew([...pairs, { ...waiting, at }]);
    const typed = placeForm("typed-place", "Or its latitude, longitude", "It lies there", take);
    this.stage.pen({
      what: "place",
      how: "Now point at the same place on the map: a corner near it is taken, or type it.",
      at: (place) => this.known(place),
      more: [typed],
      take: ([at]) => take(at),
    });
  }

  /**
   * A corner or mark that lies nearly where the hand points, or the place itself.
   * @param {Corner} place
   * @returns {Corner}
   */
  known(place) {
    const { stage } = this;
    const edges = [desk.ground?.line, ...(desk.ground?.areas || []).map((one) => one.edge)];
    const numbers = edges.filter(Boolean).flatMap((edge) => edge.coordinates.flat(9));
    const corners = stage.marks.marks.flatMap((/** @type {any} */ one) => (one.at ? [one.at] : []));
    for (let n = 0; n < numbers.length; n += 2) corners.push([numbers[n], numbers[n + 1]]);
    const best = stage.nearest(place, corners);
    if (!best || stage.measures.feet(best, place) > SNAPS * stage.ftPerPx()) return place;
    say("The corner or mark beside it was taken for the place.");
    return best;
  }

  /** The points on picture and map, and their table. @param {any} [answer] */
  marks(answer) {
    this.shown?.mark(this.pairs, this.waiting);
    this.points.clearLayers();
    this.pairs.forEach(({ at }, n) => {
      sign(at, "mark", letter(n + 1)).addTo(this.points);
    });
    this.table.replaceChildren(
      el("ul", { class: "list" }, ...this.pairs.map((pair, n) => this.row(pair, n, answer))),
    );
  }

  /** @param {Pair} pair @param {number} n @param {any} answer */
  row(pair, n, answer) {
    const miss = answer?.pairs?.[n]?.miss_ft;
    const wrong = answer?.wrong === n;
    const [lon, lat] = pair.at.map((some) => some.toFixed(5));
    const text = miss === undefined ? `${lat}, ${lon}` : `misses by ${ft(miss)}`;
    const out = () => this.anew(this.pairs.filter((one) => one !== pair));
    return el(
      "li",
      { class: "row" },
      letter(n + 1),
      el("span", {
        class: wrong ? "wide doubt" : "wide",
        text: wrong ? `${text}: likely the wrong place` : text,
      }),
      button("Take out", out, { "aria-label": `Take out point ${n + 1}` }),
    );
  }

  /** Ask about the picture and its points. @param {string} path @param {any} [more] */
  tell(path, more = {}) {
    const pairs = this.pairs.map(({ x, y, at }) => [x, y, at[0], at[1]]);
    const words = { ...this.which, pairs, ...more };
    return this.brought
      ? this.brought.ask(path, (token) => ({ ...words, token }))
      : ask(path, words);
  }

  async place() {
    await tryIt(async () => {
      const answer = await this.tell("place");
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
          const kept = await this.tell("place/keep", { on_map: false });
          const { pictures } = await ask("pictures");
          desk.under = pictures.find((/** @type {any} */ one) =>
            kept.picture.endsWith(one.picture),
          );
          await home(this.stage, `Kept: ${kept.picture}. New drawings begin with it underneath.`);
        });
      this.answer.replaceChildren(
        el("p", { class: answer.wrong === null ? "" : "doubt", text: sentences(answer.said) }),
        para("Each ring is as wide as the picture may be off there, 95 times in 100.", "soft"),
        first("Keep the picture so placed", keep),
      );
    });
  }

  /** Rings as wide as the picture may be off, over all of it. @param {any} answer */
  rings(answer) {
    const style = { color: DOUBT, weight: 1, fill: false, interactive: false };
    return L.layerGroup(
      answer.rings.map((/** @type {number[]} */ [lon, lat, radius]) =>
        L.circle([lat, lon], { ...style, radius }),
      ),
    );
  }
}
