// A place where files are dropped or picked.
// @ts-check
import { el } from "./say.js";

/**
 * @param {{id: string, text: string, accept?: string}} what the box: its id, what it says, and
 *   which files it takes
 * @param {(files: FileList) => void} take
 * @returns {HTMLElement}
 */
export function dropZone(what, take) {
  const pick = el("input", {
    type: "file",
    id: what.id,
    multiple: true,
    ...(what.accept ? { accept: what.accept } : {}),
    on: { change: () => take(pick.files) },
  });
  const drop = el(
    "div",
    {
      class: "drop",
      on: {
        dragover: (/** @type {DragEvent} */ event) => {
          event.preventDefault();
          drop.classList.add("over");
        },
        dragleave: () => drop.classList.remove("over"),
        drop: (/** @type {DragEvent} */ event) => {
          event.preventDefault();
          drop.classList.remove("over");
          if (event.dataTransfer) take(event.dataTransfer.files);
        },
      },
    },
    el("label", { for: what.id, text: what.text }),
    pick,
  );
  return drop;
}
