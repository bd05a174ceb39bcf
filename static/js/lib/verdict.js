// Judging a reading by its limit: the same steps, words and numbers as pitcrew/domain/checks/readings.py.
// tests/data/verdicts.json runs through both. A limit's numbers are SI; its sentences are templates written in Python.

import { decimalText, inPrinted } from "./format.js";

/** @typedef {"ok" | "watch" | "stop" | "unjudged"} Verdict */
/** @typedef {{key: string, numbers?: Record<string, number>, words?: Record<string, string>}} Said what a sentence is made of; numbers are SI */
/** @typedef {{verdict: Verdict, sentence: string, result: number | string | null, said: Said}} Judgement */

const RANK = { ok: 0, watch: 1, unjudged: 2, stop: 3 };
const BOUNDS = ["stop_low", "watch_low", "watch_high", "stop_high"];
const EQUAL = 1e-9;
const LARGEST = 1e12;
const DEEPEST = 20;
const MOST_DECIMALS = 6;
const WORDED = {
  because: "{why}",
  nothing_judges: "Nothing here can be judged yet. See the file mistakes.",
  unreadable: "The formula of this check cannot be read. Load the checklist again.",
  divides_by_zero: "The numbers lead to a division by zero. Look at each of them again.",
  too_large: "The result is too large to be a measurement. Look at each number again.",
  no_value: "{name} is missing. Give it a number.",
  no_answer: "{label}: no answer yet. Give it, or say why it can't be measured.",
  no_number: "{label}: a number in {unit} is wanted. Type it again.",
  impossible: "{label}: this is outside what is possible here. Look again and type it once more.",
};

class NoResult extends Error {
  constructor(key, words) {
    super(key);
    this.said = { key, words };
  }
}

/**
 * The worse of two verdicts: stop, then unjudged, then watch, then ok.
 * @param {Verdict} a
 * @param {Verdict} b
 * @returns {Verdict}
 */
export function worse(a, b) {
  return RANK[a] >= RANK[b] ? a : b;
}

/**
 * The verdict on a reading's inputs: the worst of its number and its answers. A missing input, an incomparable reading or a
 * formula without a result is unjudged; an answer or a comparison that means stop outranks that. An answer that means unjudged makes the number
 * incomparable: it is kept, but neither ok nor stop is said of it.
 * @param {Record<string, any> | null} limit
 * @param {Record<string, {typed: string, value: number | string | boolean | null, unit?: string | null}>} inputs
 * @param {string} [unjudgedBecause]
 * @returns {Judgement}
 */
export function judge(limit, inputs, unjudgedBecause = "") {
  if (!limit) return unjudgedBecause ? because(unjudgedBecause) : without({ key: "nothing_judges" });
  const [result, numbers] = judgeNumber(limit, inputs, unjudgedBecause || limit.unjudged_because || "");
  const answers = [...judgeAnswers(limit, inputs), ...judgeStops(limit, inputs)];
  const incomparable = [...numbers, ...answers].some(({ verdict }) => verdict === "unjudged");
  const outcomes = [...numbers.filter(({ verdict }) => !incomparable || verdict === "unjudged"), ...answers];
  if (!outcomes.length) return without({ key: "nothing_judges" });
  const worst = outcomes.reduce((kept, next) => (RANK[next.verdict] > RANK[kept.verdict] ? next : kept));
  const decided = incomparable && worst.verdict === "stop";
  return { ...worst, result: decided ? worst.result : result ?? worst.result };
}

/** @returns {[number | null, Judgement[]]} */
function judgeNumber(limit, inputs, why) {
  try {
    const values = valuesOf(limit, inputs);
    for (const [place, [formula, sign, number, sentence]] of (limit.unjudged_when ?? []).entries()) {
      const value = evaluate(formula, values);
      if (holds(value, sign, number)) {
        return [resultOf(limit, values), [{ verdict: "unjudged", sentence, result: null, said: compared(`unjudged_when.${place}`, value, number) }]];
      }
    }
    if (why) return [resultOf(limit, values), [because(why)]];
    if (limit.result === null || limit.result === undefined) return [null, []];
    const result = evaluate(limit.result, values);
    return [result, BOUNDS.some((name) => known(limit[name])) ? [compare(limit, result)] : []];
  } catch (error) {
    if (error instanceof NoResult) return [null, [without(error.said)]];
    throw error;
  }
}

/** The comparisons that mean stop and hold, by the inputs that are there, whatever else is missing or cannot be compared. */
function judgeStops(limit, inputs) {
  if (!limit.stop_when?.length) return [];
  const values = {};
  for (const name of Object.keys(limit.inputs ?? {})) Object.assign(values, unless(() => valuesOf(limit, inputs, name), {}));
  return limit.stop_when.flatMap(([formula, sign, number, sentence], place) => unless(() => {
    const value = evaluate(formula, values);
    return holds(value, sign, number) ? [{ verdict: "stop", sentence, result: null, said: compared(`stop_when.${place}`, value, number) }] : [];
  }, []));
}

/** What `work` gives, or `otherwise` where there is no result. */
function unless(work, otherwise) {
  try {
    return work();
  } catch (error) {
    if (error instanceof NoResult) return otherwise;
    throw error;
  }
}

/** The number of a reading that is kept though it is not judged. */
function resultOf(limit, values) {
  try {
    return limit.result === null || limit.result === undefined ? null : evaluate(limit.result, values);
  } catch (error) {
    if (error instanceof NoResult) return null;
    throw error;
  }
}

function valuesOf(limit, inputs, only = "") {
  const values = {};
  for (const name of only ? [only] : Object.keys(limit.inputs ?? {}).sort()) {
    const wanted = limit.inputs[name];
    const given = inputs[name] ?? {};
    const value = given.value ?? null;
    if (value === null || value === "") {
      if (wanted.required ?? true) throw new NoResult("no_answer", { label: wanted.label });
    } else if (wanted.kind === "number") {
      values[name] = inSi(wanted, value, given.unit || wanted.unit);
    }
  }
  return values;
}

function inSi(wanted, value, unit) {
  const scale = Object.hasOwn(wanted.units ?? {}, unit) ? wanted.units[unit] : null;
  if (!known(value) || Math.abs(value) > LARGEST || !scale) throw new NoResult("no_number", { label: wanted.label, unit: wanted.unit });
  const si = value * scale[0] + scale[1];
  if (below(si, wanted.least) || below(wanted.most, si)) throw new NoResult("impossible", { label: wanted.label });
  return si;
}

function evaluate(expression, values) {
  const result = valueOf(expression, values, 0);
  if (!(Math.abs(result) <= LARGEST)) throw new NoResult("too_large");
  return result;
}

function valueOf(expression, values, level) {
  if (typeof expression === "number") return expression;
  if (typeof expression === "string") {
    if (!Object.hasOwn(values, expression)) throw new NoResult("no_value", { name: expression });
    return values[expression];
  }
  if (!Array.isArray(expression) || level >= DEEPEST || expression.length < 2) throw new NoResult("unreadable");
  return apply(expression[0], expression.slice(1).map((item) => valueOf(item, values, level + 1)));
}

function apply(sign, numbers) {
  const [left, right] = numbers;
  if (sign === "-" && numbers.length === 1) return -left;
  if (sign === "abs" && numbers.length === 1) return Math.abs(left);
  if (sign === "min" || sign === "max") return Math[sign](...numbers);
  if (numbers.length !== 2) throw new NoResult("unreadable");
  if (sign === "+") return left + right;
  if (sign === "-") return left - right;
  if (sign === "*") return left * right;
  if (sign !== "/") throw new NoResult("unreadable");
  if (right === 0) throw new NoResult("divides_by_zero");
  return left / right;
}

function holds(value, sign, number) {
  if (sign === "==") return !below(value, number) && !below(number, value);
  if (sign === "<") return below(value, number);
  if (sign === ">") return below(number, value);
  return sign === "<=" ? !below(number, value) : !below(value, number);
}

/** Whether a is below b by more than the rounding of one calculation; false where there is no bound. */
function below(a, b) {
  return known(a) && known(b) && b - a > EQUAL * Math.max(Math.abs(a), Math.abs(b));
}

/** The verdict on one number. Exactly on a bound is not beyond it. */
const WINDOW = / is good \([^()]*\)/;

function compare(limit, result) {
  if (below(result, limit.stop_low)) return say(limit, "stop", "stop_low", result, limit.stop_low);
  if (below(limit.stop_high, result)) return say(limit, "stop", "stop_high", result, limit.stop_high);
  for (const name of ["stop_low", "watch_low", "stop_high", "watch_high"]) {
    const bound = limit[name];
    if (!known(bound)) continue;
    const guard = limit.guards?.[name] ?? 0;
    const isLow = name.endsWith("low");
    if (isLow ? below(result, bound + guard) : below(bound - guard, result)) {
      const beyond = isLow ? below(result, bound) : below(bound, result);
      return say(limit, "watch", beyond ? name : `near_${name}`, result, bound);
    }
  }
  return say(limit, "ok", "ok", result, null);
}

/** The sentence of an outcome. Result and bound get as many decimals as it takes to tell them apart; what is good, as many as its window's ends. */
function say(limit, verdict, name, result, bound) {
  let decimals = limit.decimals;
  if (bound === null) decimals = Math.max(decimals, ...(limit.good ?? []).map((end) => (end.split(".")[1] ?? "").length));
  const most = decimals + MOST_DECIMALS;
  while (bound !== null && decimals < most && shown(limit, result, decimals) === shown(limit, bound, decimals)) decimals += 1;
  const template = limit.sentences[name] ?? "{result}";
  const fits = bound !== null || inPrinted(limit, Number(decimalText((result - limit.offset) / limit.scale, decimals)));
  const filled = put(fits ? template : template.replace(WINDOW, " is good"), "{result}", shown(limit, result, decimals));
  return {
    verdict, sentence: bound === null ? filled : put(filled, "{limit}", shown(limit, bound, decimals)), result,
    said: bound === null ? { key: name, numbers: { result } } : compared(name, result, bound),
  };
}

function shown(limit, si, decimals) {
  const number = decimalText((si - limit.offset) / limit.scale, decimals);
  return limit.shown_name ? `${number} ${limit.shown_name}` : number;
}

/** @returns {Judgement[]} */
function judgeAnswers(limit, inputs) {
  const outcomes = [];
  for (const name of Object.keys(limit.answers ?? {}).sort()) {
    const verdicts = limit.answers[name];
    const value = inputs[name]?.value ?? null;
    if (value === null || value === "") continue;
    const answer = typeof value === "boolean" ? (value ? "yes" : "no") : String(value);
    const found = Object.hasOwn(verdicts, answer) ? verdicts[answer] : "unjudged";
    const verdict = Object.hasOwn(RANK, found) ? found : "unjudged";
    const key = `answer_${verdict}`;
    const label = limit.inputs[name]?.label ?? name;
    const sentence = put(put(limit.sentences[key] ?? "{label}: {answer}.", "{label}", label), "{answer}", answer);
    outcomes.push({ verdict, sentence, result: answer, said: { key, words: { input: name, label, answer } } });
  }
  return outcomes;
}

const compared = (key, result, limit) => ({ key, numbers: { result, limit } });
const because = (why) => without({ key: "because", words: { why } });

/** Unjudged for one of the reasons in WORDED. @param {Said} said @returns {Judgement} */
function without(said) {
  const sentence = WORDED[said.key].replace(/\{(\w+)\}/g, (_, name) => said.words[name]);
  return { verdict: "unjudged", sentence, result: null, said };
}
const known = (value) => typeof value === "number" && Number.isFinite(value);
const put = (template, name, text) => template.split(name).join(text);
