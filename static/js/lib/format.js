// Numbers as people type them and as screens show them; the same rules as pitcrew/base/units.py.

const NUMBER = /^\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?)\s*(.*?)\s*$/s;
const LONGEST = 60;

/** A typed text that cannot be taken; `sentence` is for the person. */
export class BadTyping extends Error {
  /** @param {string} sentence */
  constructor(sentence) {
    super(sentence);
    this.sentence = sentence;
  }
}

/**
 * The leading number (decimal point or comma) and the rest. `1.234,5` can be read in two ways and is refused.
 * @param {string} text
 * @returns {[number, string]}
 */
export function splitNumber(text) {
  if (text.length > LONGEST) throw new BadTyping(`'${text.slice(0, LONGEST)}…' is too long for a number. Type one number, such as 6.2.`);
  const found = NUMBER.exec(text.replaceAll("−", "-"));
  if (!found) throw new BadTyping(`'${text}' is not a number. Type one, such as 6.2 or 6,2.`);
  const [, digits, rest] = found;
  if (rest && "0123456789.,".includes(rest[0])) {
    throw new BadTyping(`'${text}' can be read in two ways. Type it with one decimal mark and no thousands marks.`);
  }
  const value = Number(digits.replace(",", "."));
  if (!Number.isFinite(value)) throw new BadTyping(`'${text}' is too large to be a measurement. Type it again.`);
  return [value, rest];
}

/**
 * What was typed for an input. A unit may be typed along if it is one of `units`; the number is then in that unit.
 * @param {string} typed
 * @param {{unit?: string | null, unit_label?: string | null, least?: number | null, most?: number | null}} input
 * @param {Record<string, [number, number]>} [units] by name: SI = value * scale + offset
 * @returns {{value: number, unit: string | null}}
 */
export function parseNumber(typed, input, units = {}) {
  const text = typed.trim();
  const [value, rest] = splitNumber(typed);
  const own = input.unit || "1";
  const label = own === "1" ? "" : input.unit_label || own;
  const unit = rest ? unitOf(rest, own, input.unit_label, units) : own;
  if (!unit) throw new BadTyping(`'${text}' ends in '${rest}'; expected a number ${label ? `in ${label}` : "without a unit"}. Type the number alone.`);
  const inOwn = unit === own ? value : (value * units[unit][0] + units[unit][1] - units[own][1]) / units[own][0];
  const { least = null, most = null } = input;
  if ((least !== null && inOwn < least) || (most !== null && inOwn > most)) {
    throw new BadTyping(`'${text}' is outside what is possible here (${span(least, most, label)}). Look again and type it once more.`);
  }
  return { value, unit: rest ? unit : input.unit || null };
}

/** The unit that was typed after a number: the input's own by name or label, or another of `units`; "" for anything else. */
function unitOf(rest, own, label, units) {
  const plain = plainUnit(rest);
  if (plain === plainUnit(own) || (label && plain === plainUnit(label))) return own;
  return Object.keys(units).find((name) => plainUnit(name) === plain) ?? "";
}

/** @param {string} unit */
const plainUnit = (unit) =>
  unit.replaceAll(/[·*\s]/g, "").replaceAll("Ω", "ohm").replaceAll("²", "^2").replaceAll("³", "^3").replace("µ", "u").replace(/^°(?=[CF]$)/, "deg").replace(/^°$/, "deg");

function span(least, most, unit) {
  const tail = unit ? ` ${unit}` : "";
  if (least !== null && most !== null) return `${least} to ${most}${tail}`;
  return least !== null ? `${least}${tail} or more` : `${most}${tail} or less`;
}

/**
 * A number with at most `decimals` decimals, as the sentences of a limit write it.
 * @param {number} value
 * @param {number} decimals
 */
export function decimalText(value, decimals) {
  const fixed = value.toFixed(decimals);
  const text = fixed.includes(".") ? fixed.replace(/\.?0+$/, "") : fixed;
  return text === "-0" ? "0" : text;
}
