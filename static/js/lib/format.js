// Numbers as people type them and as screens show them; the same rules as pitcrew/base/typed.py and unitwords.py.

const NUMBER = /^\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?)\s*(.*?)\s*$/s;
const FRACTION = /^\s*([+-])?(?:(\d{1,4})(?:\s+|-))?(\d{1,3})\/([1-9]\d{0,2})\s*(\D.*?)?\s*$/s;
const FEET = new RegExp(
  String.raw`^\s*([+-])?(\d{1,4})\s*(?:'|ft|feet|foot)\.?\s*-?\s*` +
  String.raw`(\d{1,4}(?:[.,]\d+)?|(?:\d{1,4}(?:\s+|-))?\d{1,3}\/[1-9]\d{0,2})\s*(?:"|''|inch(?:es)?|in)?\s*$`);
const LONGEST = 60;
const TIMES = String.raw`\s*[-·*.×x]?\s*`;
const POUNDS = "lbs?f?|pounds?", INCHES = 'in|inch(?:es)?|"', FEET_WORDS = "ft|foot|feet", METERS = "m|met(?:er|re)s?", NEWTONS = "N|newtons?";
const TORQUES = [
  [POUNDS, FEET_WORDS, "ft*lbf"], [FEET_WORDS, POUNDS, "ft*lbf"], [POUNDS, INCHES, "in*lbf"], [INCHES, POUNDS, "in*lbf"],
  ["ozf?", INCHES, "oz*in"], [INCHES, "ozf?", "oz*in"], ["kgf?", "cm", "kgf*cm"],
  [NEWTONS, METERS, "N*m"], [NEWTONS, "cm", "N*cm"], [NEWTONS, "mm", "N*mm"],
].map(([first, second, unit]) => [new RegExp(`^(?:${first})${TIMES}(?:${second})$`, "i"), unit]);
const WORDS = new Map(Object.entries({
  degF: "f,deg f,° f,fahrenheit", degC: "deg c,° c,celsius", deg: "degrees", ft: "',feet,foot,ft,ft.", in: '",inch,inches,in,in.',
  m: "meter,meters,metre,metres", mm: "millimeter,millimeters,millimetres", cm: "cm", lb: "lb,lb.,lbs,lbs.,pounds", kg: "kg,kgs,kilograms",
  A: "amps,amp,a", V: "volts,volt,v", ohm: "ohms,ohm", N: "newtons", psi: "psi", bar: "bar", min: "min,mins,minutes", h: "hrs,hr,hour,hours",
  s: "secs,sec,seconds", rpm: "rpm", "A*h": "ah", "%": "percent",
}).flatMap(([unit, words]) => words.split(",").map((word) => [word, unit])));

/** A typed text that cannot be taken; `sentence` is for the person. */
export class BadTyping extends Error {
  /** @param {string} sentence */
  constructor(sentence) {
    super(sentence);
    this.sentence = sentence;
  }
}

/** Text with plain signs: `½` as 1/2, minus signs, primes and curled quotes as on a keyboard. */
const plainText = (text) =>
  text.replace(/[¼-¾⅐-⅞]/g, (sign) => ` ${sign.normalize("NFKC")}`)
    .replaceAll("−", "-").replaceAll("⁄", "/").replace(/[′’]/g, "'").replace(/[″”]/g, '"');

/**
 * The number and the rest, as `splitNumber`, but fractions and feet with inches are read too: `16¼ in`, `1' 6"`.
 * @param {string} text
 * @returns {[number, string]}
 */
export function splitAmount(text) {
  if (text.length > LONGEST) return splitNumber(text);
  const plain = plainText(text);
  const feet = FEET.exec(plain);
  if (feet) {
    const inches = inchesOf(feet[3]);
    if (inches >= 12) throw new BadTyping(`'${text}' can be read in two ways: there are 12 inches in a foot. Type it in one unit.`);
    return [(feet[1] === "-" ? -1 : 1) * (Number(feet[2]) * 12 + inches), "in"];
  }
  const parts = FRACTION.exec(plain);
  return parts ? [(parts[1] === "-" ? -1 : 1) * wholeAndPart(parts), parts[5] ?? ""] : splitNumber(text);
}

const wholeAndPart = (parts) => Number(parts[2] ?? 0) + Number(parts[3]) / Number(parts[4]);

function inchesOf(typed) {
  const parts = FRACTION.exec(typed);
  return parts ? wholeAndPart(parts) : Number(typed.replace(",", "."));
}

/**
 * The leading number (decimal point or comma) and the rest. `1.234,5` can be read in two ways and is refused.
 * @param {string} text
 * @returns {[number, string]}
 */
export function splitNumber(text) {
  if (text.length > LONGEST) throw new BadTyping(`'${text.slice(0, LONGEST)}…' is too long for a number. Type one number, such as 6.2.`);
  const found = NUMBER.exec(plainText(text));
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
  const [value, rest] = splitAmount(typed);
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
  const same = Object.keys(units).find((name) => plainUnit(name) === plain);
  if (same) return same;
  const named = rest === "C" && "degC" in units ? "degC" : TORQUES.find(([form]) => form.test(rest))?.[1] ?? WORDS.get(rest.toLowerCase()) ?? "";
  return named === own || named in units ? named : "";
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

/**
 * Whether a number lies within a limit's window as it is printed, whose ends are rounded inward: one that is ok by a hair may not.
 * @param {{good?: string[]}} limit
 * @param {number} number
 */
export function inPrinted({ good }, number) {
  const [least, most] = good ?? ["", ""];
  return !(least && number < Number(least)) && !(most && number > Number(most));
}
