// What stands there before a place is open.
// @ts-check
import { bring } from "./bring.js";
import { ask, desk, opened, Refused, show, tryIt } from "./desk.js";
import { el, say, sayDay, sent, titled } from "./say.js";

/** @returns {HTMLElement[]} */
export function begin() {
  const name = el("input", { id: "new-name", type: "text", autocomplete: "off" });
  const folder = el("input", { id: "folder", type: "text", autocomplete: "off" });
  const { places } = desk.start;
  return [
    ...(desk.unread?.put_back ? [unread()] : []),
    ...(places.length
      ? [el("h2", { text: "Places you had open" }), el("ul", { class: "list" }, ...places.map(row))]
      : []),
    ...bring(),
    el("h2", { text: "Begin a place without a file" }),
    form(
      name,
      "What do you call it?",
      `It is kept as plain files in ${desk.start.home}, yours to copy and to read.`,
      "Begin this place",
      () => ({ new: name.value || "My place" }),
    ),
    el("h2", { text: "Look at the sample" }),
    el("p", {
      text:
        "An invented place with walks, plots, a vine patch and a year of " +
        "work. You get a copy to try things on.",
    }),
    el("button", {
      text: "Open a copy of the sample",
      on: { click: () => open({ sample: true }) },
    }),
    el("h2", { text: "Open a folder or a copy that was kept" }),
    form(
      folder,
      "Where does it lie?",
      "Type or paste it: the folder that a place is kept in, as it stands under its name, or the " +
        ".zip of a copy. A copy is laid out as a new folder; nothing is written over.",
      "Open it",
      () => ({ folder: folder.value }),
    ),
    pickCopy(),
    el("h2", { text: "Start it without a terminal" }),
    el("p", { text: "A starter on your desktop opens this desk with a double-click." }),
    el("button", {
      text: "Put a starter on the desktop",
      on: {
        click: () =>
          tryIt(async () => {
            const made = await ask("shortcut", {});
            say(
              `The starter is ${made.file}.` +
                (made.tried ? "" : " This kind is untried: if it does not start, say so."),
            );
          }),
      },
    }),
    el("p", {
      class: "soft",
      text:
        "The desk listens on this computer alone, so a phone cannot reach " +
        "it: give the phone the finished map file instead.",
    }),
  ];
}

/** The settings of an open place that cannot be read, put back as they were kept last. */
const unread = () => {
  const { on, clock } = desk.unread.put_back;
  return el(
    "div",
    { class: "field" },
    el("p", {
      class: "why",
      text:
        `They were kept here last on ${sayDay(on)}, at ${clock}. What was changed by hand since ` +
        "is not lost: “Take back the last change” brings that file back.",
    }),
    el("button", {
      text: "Put the settings back as they were kept",
      class: "first",
      on: {
        click: () =>
          tryIt(async () => {
            await opened(await ask("put-back", {}));
            say("The settings are as they were kept last.");
          }),
      },
    }),
  );
};

/** @param {any} one */
const row = (one) =>
  el(
    "li",
    {},
    el(
      "div",
      { class: "row" },
      titled(one.name, one.folder),
      el("button", {
        text: "Open",
        "aria-label": `Open ${one.name}`,
        on: { click: () => open({ folder: one.folder }) },
      }),
    ),
  );

/**
 * A box with its button.
 * @param {any} input @param {string} label @param {string} why @param {string} button
 * @param {() => any} what
 */
const form = (input, label, why, button, what) =>
  el(
    "form",
    {
      class: "field",
      on: sent(() => open(what())),
    },
    el("label", { for: input.id, text: label }),
    input,
    el("p", { class: "why", text: why }),
    el("button", { type: "submit", text: button }),
  );

/** The zip of a copy, picked instead of typed. */
function pickCopy() {
  const pick = el("input", {
    type: "file",
    id: "copy-file",
    accept: ".zip",
    on: {
      change: () =>
        tryIt(async () => {
          const [file] = pick.files;
          say("One moment: the copy is laid out and compared …");
          await opened(await ask("restore", file, { "X-Name": encodeURIComponent(file.name) }));
          say("The copy is laid out and open.");
        }),
    },
  });
  return el(
    "div",
    { class: "field" },
    el("label", { for: pick.id, text: "Or pick the .zip of a copy" }),
    pick,
  );
}

/** @param {any} what */
async function open(what) {
  return tryIt(async () => {
    say("");
    try {
      await opened(await ask("open", what));
    } catch (problem) {
      // a place whose settings cannot be read is open all the same: they can be put back
      if (problem instanceof Refused && "put_back" in problem.data) {
        desk.unread = problem.data;
        await show("ground");
      }
      throw problem;
    }
  });
}
