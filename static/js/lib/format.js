// Numbers as people type them and as screens show them; the same rules as pitcrew/units.py.

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
 * What was typed for an input, as a number in the input's unit. The unit may be typed along; another one is refused.
 * @param {string} typed
 * @param {{unit?: string | null, unit_label?: string | null, least?: number | null, most?: number | null}} input
 * @returns {number}
 */
export function parseNumber(typed, input) {
  const [value, rest] = splitNumber(typed);
  const unit = input.unit_label || input.unit || "";
  if (rest && plainUnit(rest) !== plainUnit(input.unit ?? "") && plainUnit(rest) !== plainUnit(input.unit_label ?? "")) {
    const wanted = unit && input.unit !== "1" ? `a number in ${unit}` : "a number without a unit";
    throw new BadTyping(`'${typed.trim()}' ends in '${rest}'; expected ${wanted}. Type the number alone.`);
  }
  const { least = null, most = null } = input;
  if ((least !== null && value < least) || (most !== null && value > most)) {
    throw new BadTyping(`'${typed.trim()}' is outside what is possible here (${span(least, most, unit)}). Look again and type it once more.`);
  }
  return value;
}

/**
 * A number with `digits` significant figures and no exponent where a person would write none.
 * @param {number} value
 * @param {number} [digits]
 */
export function numberText(value, digits = 3) {
  if (value === 0 || !Number.isFinite(value)) return value === 0 ? "0" : String(value);
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(value))));
  if (decimals > 9 || Math.abs(value) >= 1e9) return value.toPrecision(digits);
  const text = value.toFixed(decimals);
  return text.includes(".") ? text.replace(/\.?0+$/, "") : text;
}

/** @param {string} unit */
const plainUnit = (unit) => unit.replaceAll(/[·*\s]/g, "").replaceAll("Ω", "ohm").replaceAll("²", "^2").replace(/^°(?=[CF])/, "deg").replace(/^°$/, "deg");

function span(least, most, unit) {
  const tail = unit && unit !== "1" ? ` ${unit}` : "";
  if (least !== null && most !== null) return `${least} to ${most}${tail}`;
  return least !== null ? `${least}${tail} or more` : `${most}${tail} or less`;
}
