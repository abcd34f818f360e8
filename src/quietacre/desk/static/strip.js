// The strip of one piece: its width, what changes it, where it is too thin, what would help.
// @ts-check
import { again, ask, tryIt } from "./desk.js";
import { printPiece } from "./prints.js";
import { el, sayAcres } from "./say.js";
import { told } from "./told.js";

const feet = (/** @type {number} */ ft) => `${Math.round(ft).toLocaleString("en-US")} ft`;

/**
 * A place for the strip of a patch or burn block; it is worked out when it is opened.
 *
 * @param {string} name the piece of ground
 * @param {number} place which one it is in property.toml, counted from 0
 * @param {() => Promise<void>} changed shows the piece anew
 */
export function stripOf(name, place, changed) {
  const inside = el("div", { "aria-live": "polite" });
  const box = el("details", { class: "strip" }, el("summary", { text: "Its strip" }), inside);
  let asked = false;
  box.addEventListener("toggle", async () => {
    if (asked || !(/** @type {HTMLDetailsElement} */ (box).open)) return;
    asked = true;
    inside.replaceChildren(el("p", { class: "soft", text: "Working it out …" }));
    await tryIt(async () => {
      const found = await ask(`strip_of?area=${encodeURIComponent(name)}`);
      inside.replaceChildren(
        ...(found.strip
          ? shown(found, name, place, changed)
          : [el("p", { text: "This piece has no strip." })]),
      );
    });
  });
  return box;
}

/**
 * @param {any} found @param {string} name @param {number} place
 * @param {() => Promise<void>} changed
 */
function shown(found, name, place, changed) {
  const strip = found.strip;
  const round = strip.kind === "strip" ? "" : " firebreak";
  return [
    el("p", {
      text:
        `${strip.name}: ${feet(strip.width_ft)} wide${round}, ${sayAcres(strip.acres)}. ` +
        (strip.passes
          ? `One cut takes ${strip.passes.count} passes, ${Math.round(strip.passes.minutes)} ` +
            `minutes and ${strip.passes.fuel_gal.toFixed(1)} gal of fuel.`
          : ""),
    }),
    printPiece(strip.name),
    strip.law ? el("p", { class: "doubt", text: `Law: ${strip.law}` }) : null,
    ...strip.notes
      .filter((/** @type {any} */ note) => note.level === "warning")
      .map((/** @type {any} */ note) => told(note.text, "doubt", name)),
    ...estimates(strip),
    ...changes(found.changes, strip.width_ft, place, changed),
    ...weak(strip.weak),
    ...cures(strip.remedies, name),
    ...strip.cautions.map((/** @type {string} */ text) => el("p", { class: "soft", text })),
  ].filter((node) => node !== null);
}

/** What the width is made of, for each estimate. @param {any} strip */
function estimates(strip) {
  if (!strip.estimates.length) return [];
  const built = strip.estimates.find((/** @type {any} */ one) => one.name === strip.design);
  const own = built && Math.round(built.width_ft) !== Math.round(strip.width_ft);
  return [
    el("h3", { text: "How wide it must be" }),
    ...strip.estimates.map((/** @type {any} */ one) =>
      el("p", {
        text:
          `With ${one.word}${one.name === strip.design ? ", which it is built for" : ""}: ` +
          `${feet(one.required_ft)}, of ` +
          one.terms
            .filter((/** @type {any} */ term) => term.ft >= 0.5)
            .map((/** @type {any} */ term) => `${term.term} ${feet(term.ft)}`)
            .join(", ") +
          `. In ${one.passes} whole passes of the mower that makes ${feet(one.width_ft)}.`,
      }),
    ),
    own
      ? el("p", { text: `You set its width to ${feet(strip.width_ft)}; that is what is mowed.` })
      : null,
  ].filter((node) => node !== null);
}

/**
 * @param {any[]} list @param {number} now_ft @param {number} place
 * @param {() => Promise<void>} changed
 */
function changes(list, now_ft, place, changed) {
  if (!list.length) return [];
  return [
    el("h3", { text: "What each setting does to it" }),
    el(
      "ul",
      { class: "list" },
      ...list.map((one) => {
        const by = one.width_ft - now_ft;
        return el(
          "li",
          {},
          el(
            "div",
            { class: "row" },
            el("div", {
              class: "wide",
              text:
                `When ${one.words}: ${feet(one.width_ft)}, ` +
                `${feet(Math.abs(by))} ${by < 0 ? "less" : "more"}.`,
            }),
            el("button", {
              text: "It is so",
              "aria-label": `It is so: ${one.words}`,
              on: { click: () => take(one, place, changed) },
            }),
          ),
        );
      }),
    ),
  ];
}

/** @param {any} one @param {number} place @param {() => Promise<void>} changed */
async function take(one, place, changed) {
  await tryIt(async () => {
    await ask("set", { key: `area[${place + 1}].strip.${one.key}`, value: one.value });
    await again();
    await changed();
  });
}

/** @param {any[]} list */
function weak(list) {
  if (!list.length) return [];
  return [
    el("h3", { text: "Where it is too thin" }),
    el(
      "ul",
      {},
      ...list.map((one) =>
        el("li", {
          text: `${feet(one.length_ft)} along: ${one.reason}; ${feet(one.available_ft)} fit there.`,
        }),
      ),
    ),
  ];
}

/** @param {any[]} list @param {string} name the piece of ground */
function cures(list, name) {
  if (!list.length) return [];
  return [
    el("h3", { text: "What would help, the cheapest first" }),
    el(
      "ol",
      {},
      ...list.map((one) =>
        el(
          "li",
          {},
          el("strong", { text: `${one.remedy}${one.costs ? ` (costs ${one.costs})` : ""}: ` }),
          told(one.text, null, name, "span"),
          one.works === false ? " Not enough by itself." : "",
        ),
      ),
    ),
  ];
}
