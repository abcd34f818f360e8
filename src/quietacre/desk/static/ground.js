// The ground: what was brought, the map and the list, and one piece by itself.
// @ts-check
import { alike } from "./alike.js";
import { bring } from "./bring.js";
import { ask, desk, Refused, tryIt } from "./desk.js";
import { pieces, unmeasured } from "./first.js";
import { later, loadRest } from "./later.js";
import { marksLayer } from "./mark_layer.js";
import { thinAll } from "./names.js";
import { placeSentences } from "./place_tools.js";
import { el, say, sayAcres, sayRange, titled } from "./say.js";
import { turnButtons } from "./take_back.js";
import { told } from "./told.js";

/** @type {any} */
const L = /** @type {any} */ (window).L;
/** Room that the ground leaves for the buttons on the left and the scale below. [px] */
const ROOM = { paddingTopLeft: [60, 16], paddingBottomRight: [16, 40] };
/** What comes next, said while nothing is meant for any piece. */
const NEXT =
  "Next: under “Look at it” say what is sown on a piece and on which day, or what its strip is " +
  "like; then work it out. The shopping list and the year follow from that.";
/** Whether something is meant for a piece of ground. @param {any} area */
const isMeant = (area) =>
  ["mix", "plantings", "strip", "feed", "tasks", "soil_test"].some((key) => area?.[key]);
/** @param {number} feet */
export const feetRound = (feet) => `${Math.round(feet).toLocaleString("en-US")} ft round`;

/** @returns {Promise<{nodes: Node[], after?: () => any}>} */
export async function showGround() {
  const host = el("div", {}, ...(desk.ground ? [] : unmeasured(desk.place)));
  return {
    nodes: [host, ...bring(), turnButtons("ground")],
    after: () => tryIt(() => measured(host)),
  };
}

/** Show one piece by itself. @param {string} name */
const lookedAt = (name) => tryIt(async () => (await later("piece")).showPiece(name));

/** Put the measured ground in the place of the names. @param {HTMLElement} host */
async function measured(host) {
  let why = "";
  if (!desk.ground) {
    try {
      desk.ground = await ask("ground?kept");
    } catch (problem) {
      if (!(problem instanceof Refused)) throw problem;
      why = problem.message;
    }
  }
  if (!host.isConnected) return;
  const named = desk.place.settings?.area || [];
  const ground = desk.ground || { areas: [], notes: [], total_acres: 0, line: null };
  const chart = el("div", {
    id: "chart",
    role: "group",
    "aria-label": "Map of the pieces in the list beside it",
  });
  const side = el(
    "section",
    { "aria-label": "Pieces of ground" },
    el("h2", {
      text: ground.areas.length
        ? `${pieces(ground.areas.length)}, ${sayAcres(ground.total_acres)}`
        : why && named.length
          ? `${pieces(named.length)}, not measured`
          : "Ground",
    }),
    why ? told(why, "doubt") : null,
    ground.areas.length && !named.some(isMeant) ? el("p", { text: NEXT }) : null,
    ...ground.notes
      .filter((/** @type {any} */ note) => note.level !== "info")
      .map((/** @type {any} */ note) => noteLine(note)),
    ground.areas.length
      ? el("ul", { class: "list" }, ...ground.areas.map(pieceRow))
      : why && named.length
        ? el("ul", { class: "list" }, ...named.map(unmeasuredRow))
        : el("p", { text: "No ground yet. Bring a walk from your phone or a drawing, below." }),
  );
  host.replaceChildren(
    ...(ground.areas.length
      ? [el("div", { class: "beside" }, el("div", {}, chart, placeSentences()), side)]
      : [side, placeSentences()]),
  );
  if (ground.areas.length) drawMap(chart, ground);
  loadRest();
  if (ground.kept) await measuredAnew(host, ground);
}

/**
 * Hold the ground that was kept of the last opening against what is measured now; where they
 * differ, what is measured now stands there. @param {HTMLElement} host @param {any} kept
 */
async function measuredAnew(host, kept) {
  let now = null;
  let why = "";
  try {
    now = await ask("ground");
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    why = problem.message;
  }
  if (desk.ground !== kept) return; // read again meanwhile
  desk.ground = now;
  if (alike({ ...now, kept: true }, kept) || !host.isConnected) return;
  await measured(host);
  say(why || "The ground was measured again: it is not as it was when the place was last open.");
}

/** A note, said of one piece or of the whole place. @param {any} note @param {string} [area] */
export const noteLine = (note, area = "") =>
  told(note.text, note.level === "warning" ? "doubt" : "soft", area);

/** @param {string} kind @returns {{kind: string, word: string, sheet: boolean}} */
export const kindOf = (kind) =>
  desk.start.kinds.find((/** @type {any} */ one) => one.kind === kind);

/** The letter of a kind: the first of its word. @param {string} kind */
const letterOf = (kind) => kindOf(kind).word[0].toUpperCase();

/** @param {any} area */
function pieceRow(area) {
  return el(
    "li",
    {},
    el(
      "div",
      { class: "row" },
      el("span", { class: "letter", "aria-hidden": "true", text: letterOf(area.kind) }),
      titled(
        area.name,
        `${kindOf(area.kind).word} · ${sayRange(area)} · ${feetRound(area.perimeter_ft)}`,
      ),
      lookAt(area.name),
    ),
  );
}

/** A piece that has a name and no figures yet. @param {any} area */
const unmeasuredRow = (area) =>
  el(
    "li",
    {},
    el(
      "div",
      { class: "row" },
      titled(area.name, kindOf(area.kind)?.word || area.kind),
      lookAt(area.name),
    ),
  );

/** @param {string} name */
const lookAt = (name) =>
  el("button", {
    text: "Look at it",
    "aria-label": `Look at ${name}`,
    on: { click: () => lookedAt(name) },
  });

/** @param {HTMLElement} place @param {any} ground */
function drawMap(place, ground) {
  const map = L.map(place, { attributionControl: false, zoomSnap: 0.25, preferCanvas: false });
  const all = L.featureGroup().addTo(map);
  if (ground.line)
    L.geoJSON(ground.line, {
      style: { color: "#22261f", weight: 2, dashArray: "8 4 2 4", fill: false },
    }).addTo(all);
  const largestFirst = [...ground.areas].sort((one, other) => other.acres - one.acres);
  for (const area of largestFirst) {
    const shape = L.geoJSON(area.edge, {
      style: { color: "#22261f", weight: 2, fillColor: "#c9c19a", fillOpacity: 0.5 },
    });
    const label = document.createElement("span");
    label.textContent = `${letterOf(area.kind)} ${area.name}`;
    shape.bindTooltip(label, { permanent: ground.areas.length <= 24, direction: "center" });
    shape.on("click", () => lookedAt(area.name)).addTo(all);
  }
  map.fitBounds(all.getBounds(), ROOM);
  L.control.scale({ imperial: true, metric: false }).addTo(map);
  // marks that cannot be read are said where they are changed
  ask("marks").then(
    (marks) => {
      marksLayer(marks).addTo(map);
      thinAll(map);
    },
    () => {},
  );
  thinAll(map);
  map.on("zoomend", () => thinAll(map));
}
