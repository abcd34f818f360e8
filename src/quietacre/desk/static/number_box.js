// A box for a number, with its label.
// @ts-check
import { el } from "./say.js";

/** A number box. @param {string} id @param {string} label @param {number | string} value */
export function numberBox(id, label, value) {
  const input = el("input", { id, type: "text", inputmode: "decimal", value });
  return {
    node: el("div", { class: "field" }, el("label", { for: id, text: label }), input),
    value: () => Number(input.value),
    input,
  };
}
