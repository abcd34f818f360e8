// One change of the settings kept, or why not; answers that need each other are kept together.
// @ts-check
import { asKept } from "./boxes.js";
import { again, ask, desk, Refused, show } from "./desk.js";
import { openGroup } from "./forms.js";
import { GROUPS, ONE_OF } from "./groups.js";
import { el, say } from "./say.js";
import { asOpen } from "./unfolded.js";

/**
 * What a box answered: what stood there, what stands there now, and how to tell it.
 * @typedef {{was: any, value: any, fault?: HTMLElement, kept?: (now: any) => void}} Answer
 */

/** Answers that were refused and still stand in their boxes, by table and key. */
const waiting = /** @type {Map<string, Map<string, Answer>>} */ (new Map());

/**
 * Keep one change, or say why not beside its box; another hand's change meanwhile is shown.
 * Answers of the same table that were refused before are tried with it: some need each other.
 * @param {string} key @param {any[]} path @param {any} was @param {any} value
 * @param {boolean} redraw
 * @param {HTMLElement} [fault] @param {(now: any) => void} [kept]
 * @returns {Promise<Refused | null>} why it was not kept; null when it was
 */
export async function change(key, path, was, value, redraw, fault, kept) {
  if (fault) fault.textContent = "";
  const own = { was: was === undefined ? null : was, value, fault, kept };
  const others = waitingWith(key, path);
  others?.delete(path[path.length - 1]);
  const asked = { key, path, value, was: own.was };
  try {
    const together = others?.size ? await keptTogether(asked, others) : [];
    if (!together.length) await ask("set", asked);
    await again();
    for (const one of [own, ...together]) told(one);
    if (together.length) others?.clear();
    if (redraw) await asOpen(desk.redraw);
    say(keptWords(together));
    return null;
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    if (problem.data.clash) return clash(own, problem.data.theirs);
    if (fault) others?.set(path[path.length - 1], own);
    if (fault) say(""); // what was kept before is no word on this
    if (fault) fault.replaceChildren(problem.message, ...toMake(problem.message));
    else say(problem.message, "doubts");
    return problem;
  }
}

/**
 * A button that takes a row or a table out, as it stands by then.
 * @param {string} name @param {string} key @param {any[]} path
 */
export const takeOut = (name, key, path) =>
  el("button", {
    text: `Take ${name} out`,
    on: {
      click: () => {
        const now = path.reduce((part, one) => part?.[one], desk.place.settings);
        return change(key, path, now, null, true);
      },
    },
  });

/**
 * The refused answers of the table that a key is of; undefined for what is no key of a table,
 * and for the name of the place, which is changed by itself: it may leave an id behind.
 * @param {string} key @param {any[]} path
 */
function waitingWith(key, path) {
  const name = path[path.length - 1];
  if (typeof name !== "string" || !key.endsWith(`.${name}`) || key === "property.name")
    return undefined;
  const table = key.slice(0, -name.length - 1);
  const all = waiting.get(table) || new Map();
  waiting.set(table, all);
  for (const [one, { fault }] of all) if (!fault?.isConnected) all.delete(one);
  return all;
}

/**
 * Keep an answer and those that wait beside it as one change; none when it cannot be.
 * @param {{key: string, path: any[], value: any, was: any}} asked
 * @param {Map<string, Answer>} others
 * @returns {Promise<Answer[]>}
 */
async function keptTogether(asked, others) {
  const also = Object.fromEntries(
    [...others].map(([name, { was, value }]) => [name, { was, value }]),
  );
  try {
    await ask("set", { ...asked, also });
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    return [];
  }
  return [...others.values()];
}

/** Tell a box that its answer is kept. @param {Answer} answer */
function told({ value, fault, kept }) {
  if (fault) fault.textContent = "";
  if (kept) kept(value === null ? undefined : asKept(value));
}

/** @param {Answer[]} together answers that waited, and were kept too */
function keptWords(together) {
  const names = together.map(
    ({ fault }) => fault?.closest(".field")?.querySelector("label")?.textContent,
  );
  const waited = names.filter(Boolean).join(", ");
  const more = waited ? `, with what waited for it: ${waited}` : "";
  return `Kept${more}. “Take back the last change” undoes it.`;
}

/**
 * Where a name that nothing has yet is made: a button to it.
 * @param {string} message @returns {Node[]}
 */
function toMake(message) {
  const found = /there is no (\w+(?: \w+)?) named “([^”]*)”/.exec(message);
  const table = found?.[1].replace(" ", "_");
  const group = GROUPS.find(([, tables]) => table && tables.includes(table));
  if (!table || !group) return [];
  const go = async () => {
    await show("settings");
    const add = openGroup([table])?.querySelector(`[data-item="${table}[+]"]`);
    if (!add || !found) return;
    /** @type {HTMLDetailsElement} */ (add).open = true;
    // it was typed once already
    const name = /** @type {HTMLInputElement|null} */ (add.querySelector("input"));
    if (!name) return;
    name.focus();
    name.value = found[2];
    name.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const text = `Add ${ONE_OF[table]} under “${group[0]}”`;
  return [" ", el("button", { class: "box-link", type: "button", text, on: { click: go } })];
}

/** What stands in a box, as a person would say it. @param {any} value */
function asSaid(value) {
  const plain = asKept(value);
  if (plain === null || plain === undefined) return "is blank";
  if (typeof plain === "number") return `says ${plain}`;
  if (typeof plain === "boolean") return `says ${plain ? "yes" : "no"}`;
  const some = Array.isArray(plain) ? plain : [plain];
  if (some.some((one) => typeof one === "object")) return "holds several boxes";
  const days = some.map((one) =>
    String(one).replace(/^(\d\d)-(\d\d)$/, (_, month, day) => `${Number(month)}/${Number(day)}`),
  );
  return `says “${days.join(", ")}”`;
}

/** Say what another hand wrote meanwhile. @param {Answer} own @param {any} theirs */
async function clash({ value, fault, kept }, theirs) {
  const text =
    `Changed by another hand meanwhile: it ${asSaid(theirs)} now. Yours was not kept: it ` +
    `${asSaid(value)}. Leave it, or answer again.`;
  await again();
  if (kept) kept(theirs === null ? undefined : theirs);
  if (fault) fault.textContent = text;
  else say(text, "doubts");
  return new Refused({ why: text }, 0);
}
