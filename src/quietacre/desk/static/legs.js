// Ground known by a deed or a tape: its table, its closure, each leg lit on the map.
// @ts-check
import { ask, tryIt } from "./desk.js";
import { INK, L, labelled, latLng, cornerOf, ROUND } from "./on_map.js";
import { button, field, first, folded, numberBox, para, pieceBoxes, tools } from "./parts.js";
import { home, layOut, onStage } from "./sheet.js";
import { el, saidKept, say, sayRange, sentences } from "./say.js";

/** @typedef {import("./measures.js").Corner} Corner */
/** @typedef {import("./stage.js").Stage} Stage */

const WAIT_MS = 350;
/** Columns that every leg has, and those few have. */
const COLUMNS = /** @type {[string, string][]} */ ([
  ["bearing", "Bearing"],
  ["distance", "Length"],
  ["unit", "Unit"],
]);
const MORE = /** @type {[string, string][]} */ ([
  ["back_bearing", "Bearing back"],
  ["slope_pct", "Slope, %"],
  ["radius_ft", "Radius, ft"],
  ["turn", "Turn"],
]);
/** What is known of the compass and the steps, where it is. */
const KNOWN = /** @type {[string, string][]} */ ([
  ["declination_deg", "Where the compass points, degrees east of true north"],
  ["pace_ft", "A pace is (feet)"],
  ["vara_ft", "A vara is (feet)"],
]);
const EMPTY = { bearing: "", distance: "", unit: "ft" };
/** Rows that an empty table begins with. */
const BEGINS = 4;
const one_ft = (/** @type {number} */ some) =>
  some.toLocaleString("en-US", { maximumFractionDigits: 1 });

/**
 * A deed's or a tape's table: a new piece, or that of an area which is known by one.
 * @param {string} [area]
 */
export const drawLegs = (area) =>
  onStage(async (stage) => {
    stage.area = area || null;
    new Legs(stage, area ? await ask("table", { area }) : null).open();
  });

class Legs {
  /** @param {Stage} stage @param {any} first what stands, null for a new table */
  constructor(stage, first) {
    this.stage = stage;
    this.first = first;
    /** @type {any[]} */
    this.rows = first?.rows || Array.from({ length: BEGINS }, () => ({ ...EMPTY }));
    this.more = false;
    /** A deed's own words, while no row of it was touched. @type {string | null} */
    this.text = first?.text ?? null;
    this.deed = first?.from === "text";
    /** @type {{corner: number, lat: number, lon: number}[]} */
    this.placed = (first?.placed || []).map((/** @type {number[]} */ [corner, lat, lon]) => ({
      corner,
      lat,
      lon,
    }));
    this.known = KNOWN.map(([key, text]) => numberBox(key, text, first?.[key] ?? ""));
    for (const { input } of this.known) input.addEventListener("input", () => this.later());
    this.table = el("div", { class: "across" });
    this.figures = el("div", { class: "figures", "aria-live": "polite" });
    this.keeping = el("div");
    this.lit = -1;
    const second = () => this.put((this.legOf?.get(this.rows[this.lit]) ?? 0) + 1);
    this.second = button("", second, { hidden: true });
    /** @type {any} */
    this.answer = first;
    this.asked = 0;
  }

  open() {
    const { stage } = this;
    const text = el("textarea", { id: "deed-text", rows: "5" });
    this.draw();
    layOut(
      stage,
      stage.area ? `The table of ${stage.area}` : "A deed or a tape table",
      () => home(stage, ""),
      this.figures,
      stage.line,
      stage.box,
      folded(
        "Read the calls of a deed’s text",
        field(
          "Beginning at …",
          text,
          button("Read these calls", () => tryIt(() => this.read(text.value))),
        ),
      ),
      this.table,
      folded("The compass, paces and varas", ...this.known.map(({ node }) => node)),
      this.keeping,
    );
    this.layer = L.layerGroup().addTo(stage.map);
    if (this.first) this.told(this.first);
    else this.look();
  }

  /** @param {string} text of a deed */
  async read(text) {
    const answer = await ask("table", { text });
    this.rows = answer.rows;
    this.text = text;
    this.deed = true;
    // 0 where it says that its bearings are true
    this.known[0].input.value ||= answer.declination_deg ?? "";
    this.draw();
    await this.look();
  }

  /** The rows as boxes. */
  draw() {
    this.more ||= this.rows.some((row) => MORE.some(([key]) => row[key]));
    const columns = this.more ? [...COLUMNS, ...MORE] : COLUMNS;
    const head = el("tr", {}, el("th", { text: "Leg" }));
    for (const [, word] of columns) head.append(el("th", { text: word }));
    this.lines = this.rows.map((row, n) => {
      const problem = el("div", { class: "fault" });
      const boxes = columns.map(([key, word]) =>
        el("input", {
          type: "text",
          class: key,
          value: row[key] ?? "",
          autocomplete: "off",
          "aria-label": `${word} of leg ${n + 1}`,
          on: {
            input: (/** @type {any} */ event) => {
              row[key] = event.target.value;
              this.text = null;
              this.later();
            },
            focus: () => this.light(n),
          },
        }),
      );
      const gone = () => {
        this.rows = this.rows.filter((one) => one !== row);
        this.text = null;
        this.draw();
        this.later();
      };
      const out = button("×", gone, { "aria-label": `Take out leg ${n + 1}` });
      const line = el("tr", {}, el("th", { text: n + 1 }));
      for (const box of boxes) line.append(el("td", {}, box));
      line.append(el("td", {}, out));
      const under = el("tr", { hidden: true }, el("td", { colspan: columns.length + 2 }, problem));
      return { line, under, problem };
    });
    const add = () => {
      this.text = null;
      this.rows = [...this.rows, { ...EMPTY, unit: this.rows.at(-1)?.unit || "ft" }];
      this.draw();
      /** @type {any} */ (this.table.querySelector("tr:last-child input"))?.focus();
    };
    const wider = () => {
      this.more = true;
      this.draw();
    };
    this.table.replaceChildren(
      el(
        "table",
        { class: "legs" },
        head,
        ...this.lines.flatMap(({ line, under }) => [line, under]),
      ),
      tools(
        button("One more leg", add),
        this.more ? null : button("Slopes, curves, back bearings", wider),
        button("Its first corner is here", () => this.put()),
        this.second,
      ),
    );
  }

  /** Rows in which anything stands. @returns {any[]} */
  filled() {
    return this.rows.filter((row) => row.bearing || row.distance || row.words);
  }

  /** Where the first corner lies, or that where the lit leg begins. */
  put(corner = 1) {
    this.stage.pen({
      what: "place",
      how: `Point at corner ${corner}, where leg ${corner} begins.`,
      take: ([[lon, lat]]) => {
        const others = this.placed.filter((one) => one.corner !== corner);
        this.placed = [...others, { corner, lat, lon }];
        this.seen = false;
        this.stage.leave();
        tryIt(() => this.look());
      },
    });
  }

  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => tryIt(() => this.look()), WAIT_MS);
  }

  said() {
    const rows = this.filled();
    const known = KNOWN.map(([key], n) => [key, this.known[n].value()]);
    const area = this.stage.area || undefined;
    const told = this.text === null ? { rows, deed: this.deed } : { text: this.text };
    return { ...told, placed: this.placed, area, ...Object.fromEntries(known) };
  }

  async look() {
    const mine = ++this.asked;
    const said = this.said();
    const rows = this.filled();
    if (!rows.length) {
      const text = "Type each leg’s bearing (N 45 E) and length; the figures follow.";
      this.figures.replaceChildren(para(text));
      return;
    }
    const answer = await ask("table", said);
    if (mine === this.asked) this.told(answer);
  }

  /** @param {any} answer */
  told(answer) {
    this.answer = answer;
    const filled = this.filled();
    this.lines?.forEach(({ under, problem }, n) => {
      const place = filled.indexOf(this.rows[n]);
      problem.textContent = place < 0 ? "" : answer.rows[place]?.problem || "";
      under.hidden = !problem.textContent;
    });
    /** Which leg each row that is filled is. */
    this.legOf = new Map(filled.map((row, n) => [row, answer.rows[n]?.leg]));
    const closed = answer.acres !== null;
    this.figures.replaceChildren(
      closed ? el("p", {}, el("strong", { class: "acres", text: sayRange(answer) })) : "",
      ...answer.lines.map((/** @type {any} */ line) =>
        para(sentences([line.text]), line.doubt ? "doubt" : ""),
      ),
    );
    this.trace();
    this.offer(closed && !!answer.polygons);
  }

  /** The legs on the map, where they lie, or about its middle while nobody knows. */
  trace() {
    this.layer.clearLayers();
    const legs = this.answer?.legs || [];
    const { measures, map } = this.stage;
    const middle = cornerOf(map.getCenter());
    this.drawn = legs.map((/** @type {any} */ leg, /** @type {number} */ n) => {
      const line =
        leg.line ||
        leg.xy_ft.map((/** @type {number[]} */ [e, north]) => measures.moved(middle, e, north));
      const filled = this.rows.findIndex((row) => this.legOf?.get(row) === n);
      const shape = L.polyline(line.map(latLng), { className: "leg", color: INK, weight: 3 });
      return labelled(shape, String(filled + 1))
        .on("click", () => this.light(filled))
        .addTo(this.layer);
    });
    if (legs.some((/** @type {any} */ leg) => leg.line) && !this.seen) {
      this.seen = true;
      map.fitBounds(L.featureGroup(this.drawn).getBounds(), ROUND);
    }
    this.light(this.lit);
  }

  /** Light a leg on the map and in the table. @param {number} n its row */
  light(n) {
    this.lit = n;
    const place = this.legOf?.get(this.rows[n]);
    this.lines?.forEach(({ line }, m) => {
      line.classList.toggle("lit", m === n);
    });
    this.drawn?.forEach((/** @type {any} */ leg, /** @type {number} */ m) => {
      const lit = m === place;
      leg.setStyle({ weight: lit ? 8 : 3, dashArray: lit ? "14 5" : null });
      if (lit) leg.bringToFront();
    });
    const leg = this.answer?.legs?.[place ?? -1];
    // a second corner turns it right
    this.second.hidden = !(leg && n && this.placed.length);
    this.second.textContent = `Leg ${n + 1} begins here`;
    if (leg) this.stage.tell(`leg ${n + 1}, ${one_ft(leg.feet)} ft`);
  }

  /** @param {boolean} whole */
  offer(whole) {
    if (!whole) {
      this.keeping.replaceChildren();
      return;
    }
    if (this.keeping.childElementCount) return;
    const { area } = this.stage;
    const { input, kinds, nodes } = pieceBoxes("piece-name", "Its name");
    const keep = () =>
      tryIt(async () => {
        const what = area ? {} : { name: input.value.trim(), kind: kinds.value };
        if (!area && !what.name) {
          say("Give the new piece a name first.", "doubts");
          return;
        }
        const kept = await ask("table/keep", { ...this.said(), ...what });
        await home(this.stage, saidKept(kept));
      });
    this.keeping.replaceChildren(...(area ? [] : nodes), first("Keep", keep));
  }
}
