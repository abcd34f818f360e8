// The drawing of one piece of ground: its map, its figures, its sentences; kept, or let go.
// @ts-check
import { ask, desk, Refused, tryIt } from "./desk.js";
import { offerDraft, showClash } from "./keeping.js";
import { drawLegs } from "./legs.js";
import { LiveFigures } from "./live.js";
import { button, first, pieceBoxes, tools } from "./parts.js";
import { layKept } from "./pictures.js";
import { el, saidKept, say } from "./say.js";
import { atPlace, home, layOut, stageAt } from "./sheet.js";
import { open } from "./stage.js";
import { begunOn, draftOf } from "./steps.js";
import { newRing, PIECE_TOOLS, wideLine } from "./tools.js";

/** @typedef {import("./measures.js").Corner} Corner */

/** Ground known by a table: the table is mended, not the edge. */
const TABLES = ["legs", "deed"];
/** @type {Drawing | null} */
let shown = null;

/**
 * Draw a piece: one that is there, a new edge, or a road as a line.
 * @param {{area?: string, tool?: "ring" | "line", kind?: string}} what
 */
export const draw = (what) =>
  atPlace(async (middle) => {
    const edge = what.area ? await ask(`edge?area=${encodeURIComponent(what.area)}`) : null;
    if (TABLES.includes(edge?.known)) {
      await drawLegs(what.area);
      return;
    }
    const shape = edge ? open(edge.polygons) : [];
    const at = shape[0]?.[0]?.[0] || middle;
    const [stage, rates, draft] = await Promise.all([
      stageAt(at, shape),
      what.area ? ask("rates") : { areas: {} },
      ask(`draft?area=${encodeURIComponent(what.area || "")}`),
    ]);
    shown?.stage.end();
    shown = new Drawing({ ...what, edge, draft: draft.draft }, stage);
    shown.rates = rates.areas[what.area || ""] || [];
    shown.open();
  });

/** The shape that is drawn now, null when none is. */
export const shownShape = () => shown?.stage.shape();

export class Drawing {
  /** @param {any} what @param {import("./stage.js").Stage} stage */
  constructor(what, stage) {
    this.what = what;
    /** @type {any[]} */
    this.rates = [];
    this.stage = stage;
    this.stage.area = what.area || null;
    this.stage.edge = what.edge;
    this.steps = el("p", { class: "steps-row" });
    this.keeping = el("div", { class: "keeping" });
    this.name = what.area || "A new piece of ground";
    /** Boxes for the names of new pieces; what was typed in them outlives a further step. */
    this.boxes = /** @type {Record<string, ReturnType<typeof pieceBoxes>>} */ ({});
    this.sending = Promise.resolve();
  }

  open() {
    const { stage, what } = this;
    const figures = new LiveFigures(stage, this.rates);
    stage.watchers.push((_, dragging) => {
      if (!dragging) this.after();
    });
    stage.can = () =>
      PIECE_TOOLS.filter((tool) => tool[3](stage)).map(([id, says, begin]) => [
        says,
        () => begin(stage),
        { "data-tool": id },
      ]);
    stage.keys = (event) => this.key(event);
    layOut(
      stage,
      this.name,
      () => this.back(),
      figures.node,
      stage.line,
      this.steps,
      this.keeping,
      stage.box,
      stage.list,
    );
    if (desk.under) tryIt(() => layKept(stage, desk.under));
    if (what.draft) offerDraft(this, what.draft);
    else if (!what.area) this.first();
  }

  first() {
    if (this.what.tool === "line") wideLine(this.stage);
    else newRing(this.stage);
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const typing = event.target instanceof Element && event.target.matches("input, select");
    if (typing || !(event.ctrlKey || event.metaKey) || !/^[zy]$/i.test(event.key)) return;
    this.turn(event.key.toLowerCase() === "y" || event.shiftKey ? "redo" : "undo");
    event.preventDefault();
  }

  /** @param {"undo" | "redo"} way */
  turn(way) {
    this.stage.act({ do: way });
    this.stage.tool?.changed?.();
  }

  /** After each step: what can be taken back, what can be kept, and the draft told to the desk. */
  after() {
    const { stage } = this;
    const { done, undone, now } = stage.steps;
    const turns = /** @type {["undo" | "redo", string][]} */ ([]);
    if (done.length) turns.push(["undo", `Take back: ${now.label}`]);
    if (undone.length) turns.push(["redo", `Bring again: ${undone[0].label}`]);
    this.steps.replaceChildren(...turns.map(([way, text]) => button(text, () => this.turn(way))));
    this.showKeeping();
    if (begunOn(stage.steps)) this.tellDraft(draftOf(stage.steps, this.what.edge?.was));
  }

  /** @param {any} draft */
  tellDraft(draft) {
    const told = { area: this.what.area || "", draft };
    // one after another, so that an older draft never comes last
    this.sending = this.sending
      .then(() => ask("draft", told))
      .catch((problem) => say(`The drawing is not put aside: ${problem.message}`, "doubts"));
    return this.sending;
  }

  showKeeping() {
    const { stage } = this;
    this.keeping.replaceChildren();
    if (!stage.changed()) return;
    this.keeping.append(
      ...this.fresh().flatMap((box) => box.nodes),
      tools(
        first("Keep", () => this.keep()),
        button("Let it go", () => this.letGo()),
      ),
    );
  }

  /** The boxes of the pieces that are new: of this one, and of those that it was split into. */
  fresh() {
    const box = (/** @type {Parameters<typeof pieceBoxes>} */ ...how) => {
      this.boxes[how[0]] ??= pieceBoxes(...how);
      return this.boxes[how[0]];
    };
    const { more } = this.stage.steps.now;
    const { area, kind } = this.what;
    const own = area ? [] : [box("piece-name", "Its name", "", kind)];
    const others = more.map(({ name, kind }, n) =>
      box(`piece-name-${n}`, "Name of the other piece", name, kind),
    );
    return [...own, ...others];
  }

  /** The pieces that are kept, and what they are called. */
  pieces() {
    const { stage, what } = this;
    const { now } = stage.steps;
    const called = this.fresh().map(({ input, kinds }) => {
      const name = input.value.trim();
      if (!name) throw new Refused({ why: "Give the new piece a name first." }, 0);
      return { name, kind: kinds.value };
    });
    const drawn = {
      ft_per_px: now.ft_per_px,
      picture: stage.picture || undefined,
      picture_was: stage.unders.at(-1)?.was,
    };
    const own = what.area ? { area: what.area, was: what.edge.was } : called.shift();
    const like = what.area || undefined;
    return [
      { ...own, polygons: now.shape, ...drawn },
      ...now.more.map(({ shape }, n) => ({ ...called[n], like, polygons: shape, ...drawn })),
    ];
  }

  async keep() {
    await tryIt(async () => {
      const { now, done } = this.stage.steps;
      const label = done.length > 1 ? `${this.name} drawn: ${done.length} steps` : now.label;
      try {
        const kept = await ask("keep", { pieces: this.pieces(), out: now.out, label });
        await this.tellDraft(null);
        await this.home(saidKept(kept));
      } catch (problem) {
        if (!(problem instanceof Refused) || !problem.data.clash) throw problem;
        showClash(this, problem.data);
      }
    });
  }

  letGo() {
    return tryIt(async () => {
      await this.tellDraft(null);
      await this.home("Let go; nothing was changed.");
    });
  }

  back() {
    const waits = "Not kept yet: it waits as you left it, under its name.";
    return this.home(this.stage.changed() ? waits : "");
  }

  /** @param {string} text */
  home(text) {
    shown = null;
    return home(this.stage, text);
  }
}
