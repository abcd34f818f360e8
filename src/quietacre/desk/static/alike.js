// Whether two answers of the server say the same.
// @ts-check

/** Two runs of one sum may differ in their last digits, by this share. */
const LAST_DIGITS = 1e-9;

/**
 * Whether two values as JSON has them are alike, numbers but for their last digits.
 * @param {any} one @param {any} other @returns {boolean}
 */
export function alike(one, other) {
  if (typeof one === "number" && typeof other === "number")
    return Math.abs(one - other) <= LAST_DIGITS * Math.max(Math.abs(one), Math.abs(other));
  if (typeof one !== "object" || typeof other !== "object" || !one || !other) return one === other;
  const keys = Object.keys(one);
  return (
    Array.isArray(one) === Array.isArray(other) &&
    keys.length === Object.keys(other).length &&
    keys.every((key) => key in other && alike(one[key], other[key]))
  );
}
