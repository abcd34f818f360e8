// The drawing of one piece of ground: its map, its figures, its sentences; kept, or let go.
// @ts-check
import { ask, desk, Refused, tryIt } from "./desk.js";
import { askPiece, offerDraft, showClash } from "./keeping.js";
import { drawLegs } from "./legs.js";
import { LiveFigures } from "./live.js";
import { button, first } from "./parts.js";
import { layKept } from "./pictures.js";
import { el, saidKept, say } from "./say.js";
import { atPlace, home, layOut, stageAt } from "./sheet.js";
import { open } from "./stage.js";
import { draftOf } from "./steps.js";
import { newRing, PIECE_TOOLS, wideLine } from "./tools.js";

/** @typedef {import("./measures.js").Corner} Corner */

/** Ground known by a table: the table is mended, not the edge. */
const TABLES = ["legs", "deed"];
/** @type {Drawing | null} */
let shown = null;

/**
 * Draw a piece: one that is there, a new edge, or a road as a line.
 * @param {{area?: string, tool?: "ring" | "line"}} what
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
    shown?.close();
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
    /** What was typed for new pieces, so that a further step does not lose it. */
    this.names = /** @type {Record<number, string>} */ ({});
    this.kinds = /** @type {Record<number, string>} */ ({});
    this.sending = Promise.resolve();
  }

  open() {
    const { stage, what } = this;
    const figures = new LiveFigures(stage, this.rates);
    stage.watchers.push((_, dragging) => {
      if (!dragging) this.after();
    });
    stage.can = () =>
      PIECE_TOOLS.filter(({ when }) => !when || when(stage)).map(({ id, says, begin }) => [
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
    stage.sentences();
    if (desk.under) tryIt(() => layKept(stage, desk.under));
    if (what.draft) offerDraft(this, what.draft);
    else if (!what.area) this.first();
  }

  first() {
    if (this.what.tool === "line") wideLine(this.stage);
    else newRing(this.stage);
  }

  close() {
    this.stage.end();
    shown = null;
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
    if (stage.changed() || this.drafted)
      this.tellDraft(stage.changed() ? draftOf(stage.steps, this.what.edge?.was) : null);
  }

  /** @param {any} draft */
  tellDraft(draft) {
    this.drafted = !!draft;
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
    const fresh = this.what.area ? [] : [askPiece(this, -1, "", "plot")];
    const more = stage.steps.now.more.map((one, n) => askPiece(this, n, one.name, one.kind));
    this.keeping.append(
      ...fresh,
      ...more,
      el(
        "p",
        { class: "tools" },
        first("Keep", () => this.keep()),
        button("Let it go", () => this.letGo()),
      ),
    );
  }

  /** What the pieces that are kept are called. */
  pieces() {
    const { stage, what } = this;
    const { now } = stage.steps;
    const said = (/** @type {number} */ n) => {
      const box = this.keeping.querySelector(`[data-piece="${n}"]`);
      const name = box.querySelector("input").value.trim();
      if (!name) throw new Refused({ why: "Give the new piece a name first." }, 0);
      return { name, kind: box.querySelector("select").value };
    };
    const drawn = { ft_per_px: now.ft_per_px, picture: stage.picture || undefined };
    const first = what.area ? { area: what.area, was: what.edge.was } : said(-1);
    return [
      { ...first, polygons: now.shape, ...drawn },
      ...now.more.map((one, n) => ({
        ...said(n),
        like: what.area || undefined,
        polygons: one.shape,
        ...drawn,
      })),
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

  async letGo() {
    await tryIt(async () => {
      await this.tellDraft(null);
      await this.home("Let go; nothing was changed.");
    });
  }

  async back() {
    await this.home(
      this.stage.changed() ? "Not kept yet: it waits as you left it, under its name." : "",
    );
  }

  /** @param {string} text */
  async home(text) {
    shown = null;
    await home(this.stage, text);
  }
}
