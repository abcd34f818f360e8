// What is typed into a form and not sent yet outlives the screen it stands on: it is put back
// whenever the form is made anew, and leaving the page with such a form is asked about.
// @ts-check
import { desk } from "./desk.js";
import { cap, el } from "./say.js";
import { unfoldTo, wordsRound } from "./unfolded.js";

/** @typedef {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} Box */
/** @typedef {import("./ask.js").Refused} Refused */

/** What stands in half-filled forms: by form, then by box. */
const filled = /** @type {Map<string, Map<string, any>>} */ (new Map());
/** Why a form was refused that was not sent again since. */
const refused = /** @type {Map<string, Refused>} */ (new Map());
/** Answers that were refused in boxes of their own, with what is wrong with them. */
const doubted = /** @type {Map<string, {value: any, words: Node[]}>} */ (new Map());
/** What stood in a box before anybody typed. */
const first = /** @type {WeakMap<Element, any>} */ (new WeakMap());
/** Forms that are being sent: under which name, and what stands in boxes that are not shown. */
const sending = /** @type {Map<Element, {name: string, hidden: Map<string, any>}>} */ (new Map());

/** Under this name the tab keeps them over a reload. */
const KEPT = "quietacre-half-filled";
const BOXES = "input, select, textarea";

const main = /** @type {HTMLElement} */ (document.getElementById("main"));

/** The place that is open, as names of forms begin. */
const placeHere = () => `${desk.place?.folder || ""}\n`;

/** The screen that is shown, as names of forms begin. */
const here = () =>
  `${placeHere()}${desk.part}\n${main.querySelector("h2[tabindex]")?.textContent || ""}\n`;

/** The screen that was shown before the last change of it. */
let before = "";

/**
 * Parts of the screen by a name each; of several with one name each has its number.
 * @template {Element} One
 * @param {Iterable<One>} parts @param {(part: One) => string} nameOf
 */
function named(parts, nameOf) {
  /** @type {Map<string, One>} */
  const all = new Map();
  for (const part of parts) {
    const name = nameOf(part);
    let n = 0;
    while (all.has(`${name}\n${n}`)) n += 1;
    all.set(`${name}\n${n}`, part);
  }
  return all;
}

/** The forms of the screen; a drawing has drafts of its own. */
function formsHere() {
  const forms = [...main.querySelectorAll("form")].filter((form) => !form.closest(".drawing"));
  const screen = here();
  return named(
    forms,
    (form) =>
      screen +
      (form.dataset.form || wordsRound(form) + (form.querySelector("button")?.textContent || "")),
  );
}

/** @param {Element} form */
const nameOf = (form) => [...formsHere()].find(([, one]) => one === form)?.[0];

/** @param {Element} box */
const labelOf = (box) =>
  /** @type {Box} */ (box).labels?.[0]?.textContent || box.getAttribute("aria-label") || "";

/** @param {Element} form @returns {Map<string, Box>} */
const boxesOf = (form) =>
  /** @type {any} */ (
    named(form.querySelectorAll(BOXES), (box) => {
      const row = /** @type {HTMLElement | null} */ (box.closest("[data-of]"));
      return `${row?.dataset.of || ""}\n${labelOf(box)}`;
    })
  );

/** @param {any} box */
const saidIn = (box) =>
  box.type === "checkbox" ? box.checked : box.type === "file" ? box.files : box.value;

/** Put something back into a box, as if it were typed. @param {any} box @param {any} value */
function put(box, value) {
  if (saidIn(box) === value) return;
  if (box.type === "checkbox") box.checked = value;
  else if (box.type === "file") box.files = value;
  else box.value = value;
  if (box.tagName === "SELECT") box.dispatchEvent(new Event("change"));
}

/** Remember what stands in a form. @param {Element} form */
function remember(form) {
  const name = nameOf(form);
  if (!name) return;
  const values = filled.get(name) || new Map();
  for (const [label, box] of boxesOf(form)) {
    if (!first.has(box)) continue;
    const value = saidIn(box);
    if (value === first.get(box) || value?.length === 0) values.delete(label);
    else values.set(label, value);
  }
  if (values.size) filled.set(name, values);
  else filled.delete(name);
  keep();
}

/** Keep what is typed over a reload; files are picked again then. */
function keep() {
  const words = [...filled].map(([name, values]) => [
    name,
    [...values].filter(([, value]) => !(value instanceof FileList)),
  ]);
  sessionStorage.setItem(KEPT, JSON.stringify(words));
}

/** What was sent is taken; what was not shown stays. @param {string} name @param {any} hidden */
function taken(name, hidden) {
  if (hidden.size) filled.set(name, hidden);
  else filled.delete(name);
  refused.delete(name);
  keep();
}

/** Put back what was typed into the forms that stand there now. */
function putBack() {
  const forms = formsHere();
  for (const box of main.querySelectorAll(BOXES)) if (!first.has(box)) first.set(box, saidIn(box));
  const busy = new Set([...sending.values()].map(({ name }) => name));
  for (const [name, values] of [...filled]) {
    if (busy.has(name)) continue;
    const form = forms.get(name);
    if (!form) {
      opener(name)?.click();
      continue;
    }
    for (const [label, value] of [...values]) {
      const box = boxesOf(form).get(label); // those that are shown may depend on the one before
      if (box) put(box, value);
    }
    unfoldTo(form);
    const why = refused.get(name);
    if (why) showWhy(form, why);
  }
}

/** The button that makes a form. @param {string} name @returns {HTMLElement | undefined} */
const opener = (name) =>
  /** @type {HTMLElement[]} */ ([...main.querySelectorAll("[data-opens]")]).find((one) =>
    name.startsWith(`${here()}${one.dataset.opens}\n`),
  );

/**
 * Say under a form why it was refused; names that may have been meant are buttons.
 * @param {Element} form @param {Refused} why
 */
function showWhy(form, why) {
  form.querySelector(":scope > .fault")?.remove();
  const { box = "", names = [] } = why.data.instead || {};
  const buttons = names.map((/** @type {string} */ name) =>
    el("button", {
      type: "button",
      text: name,
      on: {
        click: () => {
          put(form.querySelector(`[name="${box}"]`), name);
          /** @type {HTMLFormElement} */ (form).requestSubmit();
        },
      },
    }),
  );
  const line = buttons.length ? el("span", { class: "row" }, ...buttons) : null;
  form.append(el("p", { class: "fault" }, cap(why.message), line));
}

/** Boxes of their own with what is wrong with them. @param {Element} part */
function doubtsIn(part) {
  const fields = [...part.querySelectorAll(".field")].filter((field) => !field.closest("form"));
  return named(fields, (field) => {
    const box = field.querySelector(BOXES);
    return wordsRound(field) + (box ? labelOf(box) : "");
  });
}

/** Remember the refused answers of parts that leave the screen. @param {Node[]} parts */
function rememberDoubts(parts) {
  for (const part of parts)
    if (part instanceof Element)
      for (const [name, field] of doubtsIn(part)) {
        const words = [...(field.querySelector(":scope > .fault")?.childNodes || [])];
        const box = field.querySelector(BOXES);
        if (words.length && box) doubted.set(before + name, { value: saidIn(box), words });
      }
}

/** Put refused answers back into their boxes. */
function putDoubtsBack() {
  if (!doubted.size) return;
  for (const part of main.children)
    for (const [name, field] of doubtsIn(part)) {
      const was = doubted.get(here() + name);
      const box = field.querySelector(BOXES);
      if (!was || !box) continue;
      doubted.delete(here() + name);
      put(box, was.value);
      field.querySelector(":scope > .fault")?.replaceChildren(...was.words);
    }
}

/** @param {Event} event @returns {HTMLFormElement | null} */
const formOf = ({ target }) =>
  target instanceof Element && target.matches(BOXES) ? target.closest("#main form") : null;

for (const event of ["input", "change"])
  document.addEventListener(event, (happened) => {
    const form = formOf(happened);
    if (form) remember(form);
  });

document.addEventListener(
  "submit",
  ({ target }) => {
    const form = /** @type {Element} */ (target);
    const name = nameOf(form);
    if (!name) return;
    const boxes = boxesOf(form);
    const hidden = [...(filled.get(name) || [])].filter(([label]) => !boxes.has(label));
    sending.set(form, { name, hidden: new Map(hidden) });
  },
  true,
);
document.addEventListener("asked", async (event) => {
  const { form, why } = /** @type {CustomEvent} */ (event).detail;
  const sent = sending.get(form);
  if (!sent) return;
  const { name, hidden } = sent;
  try {
    const problem = await why;
    if (problem) refused.set(name, problem);
    else taken(name, hidden);
  } finally {
    sending.delete(form);
  }
  const problem = refused.get(name);
  if (!problem || !form.isConnected) putBack();
  else if (problem.data.instead) showWhy(form, problem); // other words stand at the top
});

addEventListener("beforeunload", (event) => {
  if ([...filled.keys()].some((name) => name.startsWith(placeHere()))) event.preventDefault();
});

for (const [name, values] of JSON.parse(sessionStorage.getItem(KEPT) || "[]"))
  filled.set(name, new Map(values));

new MutationObserver((changes) => {
  const parts = "form, .field, tr";
  const isForm = (/** @type {Node} */ node) =>
    node instanceof Element && (node.matches(parts) || Boolean(node.querySelector(parts)));
  rememberDoubts(changes.flatMap(({ removedNodes }) => [...removedNodes]));
  before = here();
  if (!changes.some(({ addedNodes }) => [...addedNodes].some(isForm))) return;
  putBack();
  putDoubtsBack();
}).observe(main, { childList: true, subtree: true });
