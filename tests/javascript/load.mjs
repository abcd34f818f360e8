// Scripts of the page, read as they stand and run without a page.
import { readFileSync } from "node:fs";

const TEMPLATES = new URL("../../src/quietacre/page/templates/", import.meta.url);

/**
 * The names that scripts define.
 * @param {string[]} files scripts, in the order the page has them
 * @param {string[]} names what to give back
 * @param {Record<string, any>} given what they need of the page
 */
export function load(files, names, given = {}) {
  const text = files.map((file) => readFileSync(new URL(file, TEMPLATES), "utf-8")).join("\n");
  const body = `"use strict";\n${text}\nreturn { ${names.join(", ")} };`;
  return new Function(...Object.keys(given), body)(...Object.values(given));
}

/** A module of the desk, from a folder in which node takes it for one. @param {string} file */
export const desk = (file) => import(`${process.env.DESK_MODULES}/${file}`);

/** What Python packed and said, for the same to come out here. */
export const cases = JSON.parse(readFileSync(process.env.CASES ?? "", "utf-8"));
