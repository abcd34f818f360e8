// What to buy as things stand now: bags and dollars, before the year is worked out.
// @ts-check
import { ask, tryIt } from "./desk.js";
import { countLines, el } from "./say.js";
import { told } from "./told.js";

const usd = (/** @type {number} */ some) =>
  `$${some.toLocaleString("en-US", { minimumFractionDigits: 2, maximumFractionDigits: 2 })}`;

/** How many of what: bags, or an amount where nothing is sold in bags. @param {any} line */
function howMuch(line) {
  if (line.packs && line.pack !== 1) return `${line.packs} of ${line.pack} ${line.unit}`;
  return `${line.buy.toLocaleString("en-US", { maximumFractionDigits: 1 })} ${line.unit}`;
}

/** @param {any} line */
function row(line) {
  const cost = line.cost === null ? "no price is given" : usd(line.cost);
  return el("li", { text: `${line.name || line.item}: ${howMuch(line)}, ${cost}` });
}

/** A button that works them out, and where they then stand. */
export function toBuy() {
  const place = el("div", { "aria-live": "polite" });
  const button = el("button", {
    text: "What to buy, as things stand",
    on: {
      click: () =>
        tryIt(async () => {
          place.replaceChildren(el("p", { class: "soft", text: "Counting bags …" }));
          try {
            const { lines, said } = await ask("amounts");
            const some = lines.filter((/** @type {any} */ line) => line.buy > 0);
            const costs = some.map((/** @type {any} */ line) => line.cost || 0);
            const sum = costs.reduce(
              (/** @type {number} */ a, /** @type {number} */ b) => a + b,
              0,
            );
            const unpriced = some.filter((/** @type {any} */ line) => line.cost === null).length;
            const priced = some.length - unpriced;
            const cost = !priced
              ? "none with a price"
              : unpriced
                ? `${usd(sum)} for those with a price, ${unpriced} without one`
                : usd(sum);
            place.replaceChildren(
              el("p", {
                text: some.length
                  ? `${countLines(some.length)}, ${cost}. Nothing is written down yet.`
                  : "Nothing is to be bought for what is said so far.",
              }),
              el("ul", {}, ...some.map(row)),
              ...said.map((/** @type {string} */ text) => told(text, "soft")),
            );
          } catch (problem) {
            place.replaceChildren();
            throw problem;
          }
        }),
    },
  });
  return [el("p", {}, button), place];
}
