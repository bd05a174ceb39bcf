// The inspection card: links that nobody can compute, from the bar to the floor, one a row and one tap each.

import { el } from "../../lib/dom.js";
import { judge } from "../../lib/verdict.js";
import { photoField } from "../photos.js";
import { readingEntry } from "./entries.js";
import { powerBand, shapeOf, WORDS } from "./screens.js";
import { sentenceCase } from "./take.js";

/** The check that stands as a row on the card. */
export const ROW = "path-look";

/** @param {any[]} checks @returns {any[]} those that are rows of the card, in the order of the path */
export const rowsOf = (checks) => checks.filter(({ check }) => check === ROW);

/**
 * A good answer to a row, as a reading: null where the check is not one that a tap can answer.
 * @param {any} snapshot
 * @param {any} check
 */
export function wholeEntry(snapshot, check) {
  const [input] = check.inputs;
  const answer = input?.options?.find((option) => check.limit?.answers?.[input.name]?.[option] === "ok");
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
  return el("section", { class: "walk stack-tight" },
    el("div", { class: "progress" }, count),
    el("h1", { tabindex: "-1" }, rows[0].ask), powerBand(rows[0]),
    el("p", { class: "soft small" }, "From the bar down, by hand and torch. Tap “Whole” as you look at each one, not before."),
    el("ul", { class: "rows card card-bare look-rows" }, ...items),
    el("div", { class: "card stack-tight" }, el("h2", {}, "Once at this event: a photo of the whole path"),
      photoField({ id: "", ofPart: rows[0].part, symptom: "the hold path", robot: snapshot.robot?.name ?? null, match: snapshot.next?.id ?? null })));
}

function rowOf(snapshot, check, answers, act, tell) {
  const side = el("div", { class: "look-side" });
  const row = el("li", { class: "look-row" }, el("span", { class: "look-name" }, el("b", {}, check.part_label), lastOf(check)), side);
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
  const other = (words, answer) => el("button", { type: "button", class: "button", "aria-label": `${words}: ${check.part_label}`, onclick: () => act.open(check, answer) }, words);
  function show() {
    const answer = answers.get(check.key);
    if (answer) side.replaceChildren(el("span", { class: `mark mark-${answer}` }, shapeOf(answer), answer === "ok" ? wordOf(entry) : WORDS[answer]), other("Again"));
    else if (entry) side.replaceChildren(el("button", { type: "button", class: "button button-main", "aria-label": `${wordOf(entry)}: ${check.part_label}`, onclick: whole }, wordOf(entry)), other("Something", answerOf(check, "stop")));
    else side.replaceChildren(other("Look"));
  }
  show();
  return row;
}

/** The answer of a row that means a verdict. */
const answerOf = ({ inputs: [input], limit }, verdict) => input.options.find((option) => limit?.answers?.[input.name]?.[option] === verdict);

const wordOf = (entry) => (entry ? sentenceCase(String(Object.values(entry.body.inputs)[0].typed)) : WORDS.ok);

function lastOf({ last }) {
  return last && last.verdict !== "ok" && el("span", { class: "small soft" }, `Last time: ${last.sentence}`);
}
