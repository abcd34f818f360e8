// Ground that is brought: what stands in a file, shown before anything is kept of it.
// @ts-check
import { again, ask, desk, show, tryIt } from "./desk.js";
import { dropZone } from "./drop.js";
import { feetRound } from "./ground.js";
import { el, say, sayAcres, sayRange } from "./say.js";

/** The place where files are brought, and what was found in them. */
export function bring() {
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
          el("strong", {
            text: `${area.name}: ${sayRange(area)}, ${feetRound(area.perimeter_ft)}`,
          }),
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
