// Elements, tables and notes: text only, never markup.
/**
 * An element with its attributes and what is in it, the figures of both printed; null and
 * undefined are left out.
 * @param {string} tag
 * @param {Record<string, any>} [opts] class, on (a click) and plain attributes
 * @param {...any} kids
 * @returns {any}
 */
function el(tag, opts = {}, ...kids) {
  const e = document.createElement(tag);
  for (const k in opts) {
    if (k === "class") e.className = opts[k];
    else if (k === "on") e.addEventListener("click", opts[k]);
    else e.setAttribute(k, printed(String(opts[k])));
  }
  for (const kid of kids.flat(3))
    if (kid != null) e.append(kid instanceof Node ? kid : printed(String(kid)));
  return e;
}
/**
 * The same for a drawing.
 * @param {string} tag
 * @param {Record<string, any>} opts
 * @param {...any} kids
 */
function draw2(tag, opts, ...kids) {
  const e = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const k in opts) e.setAttribute(k, printed(String(opts[k])));
  for (const kid of kids.flat())
    if (kid != null) e.append(kid instanceof Node ? kid : printed(String(kid)));
  return e;
}
