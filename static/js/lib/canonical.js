// The one JSON text of a value: keys sorted by code point, no spaces; the same as pitcrew/base/entries.py's `canonical`.

/**
 * @param {any} value
 * @returns {string}
 */
export function canonical(value) {
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (value === null || typeof value !== "object") return JSON.stringify(value);
  const names = Object.keys(value).filter((name) => value[name] !== undefined).sort();
  return `{${names.map((name) => `${JSON.stringify(name)}:${canonical(value[name])}`).join(",")}}`;
}
