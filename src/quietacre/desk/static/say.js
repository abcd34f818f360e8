// Small words and parts that every screen uses. Text is always set as text, never as markup.
// @ts-check

/**
 * Make an element.
 * @param {string} tag
 * @param {Record<string, any>} [how] attributes; `on` holds listeners, `text` the text
 * @param {...(Node|string|null|undefined)} inside
 * @returns {any}
 */
export function el(tag, how = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(how)) {
    if (name === "on")
      for (const [event, run] of Object.entries(value)) made.addEventListener(event, run);
    else if (name === "text") made.textContent = value;
    else if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined)
      made.setAttribute(name, String(value));
  }
  made.append(...inside.filter((one) => one !== null && one !== undefined));
  return made;
}

/**
 * What stands at the left of a row: a name, and below it what is known of it.
 * @param {string} name @param {string} known @param {...any} more
 */
export const titled = (name, known, ...more) =>
  el(
    "div",
    { class: "wide" },
    el("strong", { text: name }),
    el("div", { class: "soft", text: known }),
    ...more,
  );

/**
 * What a form does when it is sent; the page stays. What is typed waits until it was taken.
 * @param {() => any} what does it, and gives why it was not done, if it was not
 */
export const sent = (what) => ({
  submit: (/** @type {Event} */ event) => {
    event.preventDefault();
    const detail = { form: event.currentTarget, why: what() };
    document.dispatchEvent(new CustomEvent("asked", { detail }));
  },
});

/** @param {string} text */
export const cap = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** @param {number} count */
export const countLines = (count) => (count === 1 ? "1 line" : `${count} lines`);

/** @param {number} acres */
export const sayAcres = (acres) => `${acres.toFixed(2)} ac`;

/** @param {{acres: number, acres_low: number, acres_high: number}} row */
export function sayRange(row) {
  const half = (row.acres_high - row.acres_low) / 2;
  return half > 0.004 ? `${sayAcres(row.acres)} ± ${half.toFixed(2)}` : sayAcres(row.acres);
}

/** @param {string} iso a day such as 2027-03-05 */
export function sayDay(iso) {
  const day = new Date(`${iso}T12:00:00`);
  return day.toLocaleDateString("en-US", {
    weekday: "short",
    month: "long",
    day: "numeric",
    year: "numeric",
  });
}

/**
 * Say something to the person, at the top of the page.
 * @param {string} text
 * @param {"tells"|"doubts"} [tone]
 */
export function say(text, tone = "tells") {
  const place = document.getElementById("said");
  if (!place) return;
  place.textContent = text.replace(/^[a-z](?=[a-z]*[ ,])/, (first) => first.toUpperCase());
  place.className = text ? `${tone} now` : "";
}

/** What was said just now stays in sight until the next press. */
export function letGoOnPress() {
  for (const event of ["pointerdown", "keydown"])
    document.addEventListener(
      event,
      () => document.getElementById("said")?.classList.remove("now"),
      true,
    );
}

/** What the desk said, as sentences; one that begins with a name stays. @param {string[]} [said] */
export const sentences = (said) =>
  (said || [])
    .map((text) => (/^[^.]*: /.test(text) ? text : text.charAt(0).toUpperCase() + text.slice(1)))
    .map((text) => (/[.?!]$/.test(text) ? text : `${text}.`))
    .join(" ");

/**
 * What was kept: names and acres, what the desk said of it, and what is to be looked at in it.
 * @param {any} kept
 */
export function saidKept(kept) {
  const names = kept.areas.map((/** @type {any} */ one) => `${one.name}, ${sayAcres(one.acres)}`);
  const notes = kept.areas.flatMap((/** @type {any} */ one) => one.notes || []);
  const look = notes.filter((/** @type {any} */ note) => note.level !== "info");
  const texts = look.map((/** @type {any} */ note) => note.text);
  return sentences([`Kept: ${names.join("; ")}`, ...(kept.said || []), ...texts]);
}
