// Cards of looks, one a row and one tap each: the links of the hold path that no one can compute, and the looks of a zone.

import { copyOf, el } from "../../lib/dom.js";
import { judge } from "../../lib/verdict.js";
import { photoField } from "../photos.js";
import { readingEntry } from "./entries.js";
import { zoneOf } from "./plan.js";
import { powerBand, shapeOf, WORDS } from "./screens.js";
import { sentenceCase } from "./take.js";

/** The check that stands as a row on the card. */
export const ROW = "path-look";

/** @param {any[]} checks @returns {any[]} those that are rows of the card, in the order of the path */
export const rowsOf = (checks) => checks.filter(({ check }) => check === ROW);

/** A zone with at least this many looks gets a card. */
const FEWEST = 3;

/**
 * The looks that stand on one card with a check: of one zone and one state of power, each with one good answer that a tap can give.
 * None if the check is not a look, or if there are too few for a card.
 * @param {any} snapshot
 * @param {any[]} checks
 * @param {any} check
 * @returns {any[]}
 */
export function looksWith(snapshot, checks, check) {
  const looks = checks.filter((item) => item.zone === check.zone && item.power === check.power && isLook(snapshot, item));
  return looks.includes(check) && looks.length >= FEWEST ? looks : [];
}

function isLook(snapshot, check) {
  if (check.check === ROW || check.witness || check.inputs?.length !== 1) return false;
  const good = Object.values(check.limit?.answers?.[check.inputs[0].name] ?? {}).filter((verdict) => verdict === "ok");
  return good.length === 1 && wholeEntry(snapshot, check)?.body.verdict === "ok";
}

/**
 * A good answer to a row, as a reading; null if a single tap cannot answer the check.
 * @param {any} snapshot
 * @param {any} check
 */
export function wholeEntry(snapshot, check) {
  const [input] = check.inputs;
  const answer = Object.entries(check.limit?.answers?.[input?.name] ?? {}).find(([, verdict]) => verdict === "ok")?.[0];
  if (!answer || check.inputs.some(({ required }, place) => required && place > 0)) return null;
  const inputs = { [input.name]: { typed: answer, value: answer, unit: null } };
  return readingEntry(snapshot, check, inputs, judge(check.limit, inputs, check.unjudged_because));
}

/**
 * @param {any} snapshot
 * @param {any[]} rows
 * @param {Map<string, string>} answers
 * @param {{kept: (check: any, entry: any) => Promise<void>, open: (check: any, answer?: string) => void}} act
 * @returns {HTMLElement}
 */
export function cardScreen(snapshot, rows, answers, act) {
  const count = el("p", { class: "progress-count", role: "status" });
  const tell = () => {
    const left = rows.filter(({ key }) => !answers.has(key)).length;
    count.textContent = left ? `${rows.length - left} of ${rows.length}` : `All ${rows.length} looked at`;
  };
  const items = rows.map((check) => rowOf(snapshot, check, answers, act, tell));
  tell();
  const path = rows[0].check === ROW;
  const cautions = [...new Set(rows.flatMap((check) => check.cautions))];
  return el("section", { class: "walk stack-tight" },
    el("div", { class: "progress" }, count),
    el("h1", { tabindex: "-1" }, path ? rows[0].ask : `${zoneOf(snapshot, rows[0].zone).label}: look`), powerBand({ ...rows[0], cautions }),
    copyOf(path ? "looks-path" : "looks-zone"),
    el("ul", { class: "rows card card-bare look-rows" }, ...items),
    path && wholePath(snapshot, rows[0].part));
}

/** Where a photo of the whole hold path is kept, as one of its first part. */
function wholePath({ robot, next }, ofPart) {
  const card = copyOf("whole-path");
  card.append(photoField({ id: "", ofPart, symptom: "the hold path", robot: robot?.name ?? null, match: next?.id ?? null }));
  return card;
}

function rowOf(snapshot, check, answers, act, tell) {
  const side = el("div", { class: "look-side" });
  const row = el("li", { class: "look-row" }, el("span", { class: "look-name" }, ...namesOf(check), lastOf(check)), side);
  const name = check.check === ROW ? check.part_label : `${check.part_label}, ${check.label}`;
  const entry = wholeEntry(snapshot, check);
  let busy = false;
  const whole = async () => {
    if (busy) return;
    busy = true;
    const made = wholeEntry(snapshot, check);
    await act.kept(check, made);
    show();
    tell();
  };
  const other = (words, answer) => el("button", { type: "button", class: "button", "aria-label": `${words}: ${name}`, onclick: () => act.open(check, answer) }, words);
  function show() {
    const answer = answers.get(check.key);
    if (answer) side.replaceChildren(el("span", { class: `mark mark-${answer}` }, shapeOf(answer), answer === "ok" ? wordOf(entry) : WORDS[answer]), other("Again"));
    else if (entry) side.replaceChildren(el("button", { type: "button", class: "button button-main", "aria-label": `${wordOf(entry)}: ${name}`, onclick: whole }, wordOf(entry)), other("Something", check.check === ROW ? answerOf(check, "stop") : undefined));
    else side.replaceChildren(other("Look"));
  }
  show();
  return row;
}

/** On the hold path a row is its part; in a zone it is what is asked of a part. */
const namesOf = ({ check, ask, part_label: part }) => (check === ROW ? [el("b", {}, part)] : [el("b", {}, ask), el("span", { class: "small soft" }, part)]);

/** The answer of a row that means a verdict. */
const answerOf = ({ inputs: [input], limit }, verdict) => input.options.find((option) => limit?.answers?.[input.name]?.[option] === verdict);

const wordOf = (entry) => (entry ? sentenceCase(String(Object.values(entry.body.inputs)[0].typed)) : WORDS.ok);

function lastOf({ last }) {
  return last && last.verdict !== "ok" && el("span", { class: "small soft" }, `Last time: ${last.sentence}`);
}
