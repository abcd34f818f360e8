// The ground: what was brought, the map and the list, and one piece by itself.
// @ts-check
import { again, ask, desk, Refused, show, tryIt } from "./desk.js";
import { dropZone } from "./drop.js";
import { draw } from "./drawing.js";
import { pieceForm } from "./forms.js";
import { printPiece } from "./prints.js";
import { marksLayer } from "./mark_layer.js";
import { thinAll } from "./names.js";
import { placeSentences } from "./place_tools.js";
import { el, say, sayAcres, sayRange } from "./say.js";
import { stripOf } from "./strip.js";
import { walkedAgain } from "./survey.js";

/** @type {any} */
const L = /** @type {any} */ (window).L;
/** Kinds of ground that a strip or a firebreak goes round. */
const STRIPS = ["patch", "burn"];
const FEET = (/** @type {number} */ feet) => `${Math.round(feet).toLocaleString("en-US")} ft round`;

/** @returns {Promise<{nodes: Node[], after?: () => void}>} */
export async function showGround() {
  let why = "";
  if (!desk.ground) {
    try {
      desk.ground = await ask("ground");
    } catch (problem) {
      if (!(problem instanceof Refused)) throw problem;
      why = problem.message;
    }
  }
  const ground = desk.ground || { areas: [], notes: [], total_acres: 0, line: null };
  const chart = el("div", {
    id: "chart",
    role: "group",
    "aria-label": "Map of the pieces in the list beside it",
  });
  const list = el("ul", { class: "list" }, ...ground.areas.map(pieceRow));
  const empty = el("p", {
    text: "No ground yet. Bring a walk from your phone or a drawing, below.",
  });
  const side = el(
    "section",
    { "aria-label": "Pieces of ground" },
    el("h2", {
      text: ground.areas.length
        ? `${pieces(ground.areas.length)}, ${sayAcres(ground.total_acres)}`
        : "Ground",
    }),
    why ? el("p", { class: "doubt", text: why }) : null,
    ...ground.notes.filter((/** @type {any} */ note) => note.level !== "info").map(noteLine),
    ground.areas.length ? list : empty,
  );
  return {
    nodes: [
      ...(ground.areas.length
        ? [el("div", { class: "beside" }, el("div", {}, chart, placeSentences()), side)]
        : [side, placeSentences()]),
      ...bring(),
      el(
        "p",
        { class: "row" },
        el("button", { text: "Take back the last change", on: { click: takeBack } }),
        el("button", { text: "Bring it again", on: { click: bringAgain } }),
      ),
    ],
    after: () => ground.areas.length && drawMap(chart, ground),
  };
}

/** @param {number} count */
const pieces = (count) => (count === 1 ? "1 piece" : `${count} pieces`);

/** @param {any} note */
const noteLine = (note) =>
  el("p", { class: note.level === "warning" ? "doubt" : "soft", text: note.text });

/** @param {string} kind @returns {{kind: string, word: string}} */
const kindOf = (kind) => desk.start.kinds.find((/** @type {any} */ one) => one.kind === kind);

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
      el(
        "div",
        { class: "wide" },
        el("strong", { text: area.name }),
        el("div", {
          class: "soft",
          text: `${kindOf(area.kind).word} · ${sayRange(area)} · ${FEET(area.perimeter_ft)}`,
        }),
      ),
      el("button", {
        text: "Look at it",
        "aria-label": `Look at ${area.name}`,
        on: { click: () => showPiece(area.name) },
      }),
    ),
  );
}

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
    shape.on("click", () => showPiece(area.name)).addTo(all);
  }
  map.fitBounds(all.getBounds(), { padding: [16, 16] });
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

/** @param {string} name */
async function showPiece(name) {
  const area = desk.ground.areas.find((/** @type {any} */ one) => one.name === name);
  const main = /** @type {HTMLElement} */ (document.getElementById("main"));
  if (!area) return;
  const place = desk.place.settings.area.findIndex((/** @type {any} */ one) => one.name === name);
  const title = el("h2", { tabindex: "-1", text: area.name });
  await tryIt(async () => {
    main.replaceChildren(
      el(
        "p",
        {},
        el("button", { text: "Back to all the ground", on: { click: () => show("ground") } }),
      ),
      title,
      el("p", { text: `${sayRange(area)}, ${FEET(area.perimeter_ft)}. ${area.method}.` }),
      ...area.notes.map(noteLine),
      el(
        "p",
        {},
        el("button", {
          class: "first",
          text: "Draw or mend its edge",
          on: { click: () => draw({ area: area.name }) },
        }),
      ),
      ...(STRIPS.includes(area.kind) ? [stripOf(name, place, () => anew(name))] : []),
      ...(area.kind === "patch" ? [walkedAgain(name, () => anew(name))] : []),
      printPiece(area.name),
      ...(await pieceForm("area", place)),
      el(
        "p",
        {},
        el("button", {
          text: `Take ${area.name} out`,
          on: { click: () => takeOut(area.name, place) },
        }),
        el("span", {
          class: "soft",
          text: " Its file stays; “Take back the last change” brings it back.",
        }),
      ),
    );
    title.focus();
  });
}

/** Show a piece again, measured anew. @param {string} name */
async function anew(name) {
  desk.ground = await ask("ground");
  await showPiece(name);
}

/** @param {string} name @param {number} place */
async function takeOut(name, place) {
  await tryIt(async () => {
    await ask("set", { key: `area[${place + 1}]`, value: null });
    await again();
    await show("ground");
    say(`${name} was taken out. “Take back the last change” brings it back.`);
  });
}

async function takeBack() {
  await tryIt(async () => {
    const done = await ask("undo", {});
    await again();
    await show("ground");
    say(`Taken back: ${done.label || done.step?.label || "the last change"}.`);
  });
}

async function bringAgain() {
  await tryIt(async () => {
    const done = await ask("redo", {});
    await again();
    await show("ground");
    say(`Brought again: ${done.label || done.step?.label || "what was taken back"}.`);
  });
}

/** The place where files are brought, and what was found in them. */
function bring() {
  const found = el("div", { "aria-live": "polite" });
  const drop = dropZone(
    {
      id: "files",
      text:
        "Drop files here, or pick them: a phone’s GPX or KML, a drawing, a " +
        "deed’s text, a tape table.",
    },
    (files) => look(files, found),
  );
  return [el("h2", { text: "Bring ground" }), drop, found];
}

/** @param {FileList} files @param {HTMLElement} place */
async function look(files, place) {
  for (const file of Array.from(files)) {
    const part = el(
      "section",
      {},
      el("h3", { text: file.name }),
      el("p", { class: "soft", text: "Reading …" }),
    );
    place.append(part);
    await tryIt(async () => part.replaceChildren(...(await looked(file, {}))));
  }
}

/**
 * Look into one file, and offer what can be kept of it.
 * @param {File} file
 * @param {any} known
 * @returns {Promise<Node[]>}
 */
async function looked(file, known) {
  const answer = await ask("file", file, {
    "X-Name": encodeURIComponent(file.name),
    "X-Known": JSON.stringify(known),
  });
  const head = el("h3", { text: file.name });
  if (!answer.found) {
    const pins = /--corners/.test(answer.said);
    return [
      head,
      el("p", { class: "doubt", text: answer.said }),
      ...(pins
        ? ["straight", "curved"].map((way) =>
            el("button", {
              text: `The edge is ${way} between pins`,
              on: {
                click: (/** @type {Event} */ event) =>
                  tryIt(async () => {
                    const section = /** @type {HTMLElement} */ (event.target).closest("section");
                    if (section)
                      section.replaceChildren(...(await looked(file, { ...known, corners: way })));
                  }),
              },
            }),
          )
        : []),
    ];
  }
  const areas = answer.found.areas;
  const name = el("input", {
    type: "text",
    id: `name-${answer.token}`,
    value: areas.length === 1 ? stem(file.name, areas[0].name) : "",
  });
  const kind = el(
    "select",
    { id: `kind-${answer.token}` },
    ...desk.start.kinds.map((/** @type {any} */ one) =>
      el("option", { value: one.kind, text: one.word }),
    ),
  );
  const keep = el("button", {
    class: "first",
    text:
      areas.length === 1
        ? "Keep this piece of ground"
        : `Keep these ${areas.length} pieces of ground`,
    on: {
      click: () => kept(answer.token, areas.length === 1 ? name.value : "", kind.value, known),
    },
  });
  return [
    head,
    el(
      "ul",
      { class: "list" },
      ...areas.map((/** @type {any} */ area) =>
        el(
          "li",
          {},
          el("strong", { text: `${area.name}: ${sayRange(area)}, ${FEET(area.perimeter_ft)}` }),
          ...area.warnings.map((/** @type {string} */ text) => el("div", { class: "soft", text })),
        ),
      ),
    ),
    ...answer.found.warnings.map((/** @type {string} */ text) => el("p", { class: "soft", text })),
    areas.length === 1
      ? el("div", { class: "field" }, el("label", { for: name.id, text: "Its name" }), name)
      : null,
    el("div", { class: "field" }, el("label", { for: kind.id, text: "What it is" }), kind),
    keep,
  ].filter(Boolean);
}

/** @param {string} file @param {string} name */
const stem = (file, name) =>
  name.includes(file) || name.includes("/")
    ? file.replace(/\.[^.]*$/, "").replace(/[-_]+/g, " ")
    : name;

/** @param {string} token @param {string} name @param {string} kind @param {any} known */
async function kept(token, name, kind, known) {
  await tryIt(async () => {
    const added = await ask("add", { tokens: [token], as: name || null, kind, known });
    await again();
    await show("ground");
    const count = added.areas.length;
    say(
      count
        ? `Kept: ${added.areas.map(saySize).join("; ")}.`
        : "Every edge in it is an area already; nothing was changed.",
    );
  });
}

/** @param {any} one */
const saySize = (one) => `${one.name}, ${sayAcres(one.acres)}`;
