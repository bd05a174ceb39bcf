// The debrief without the laptop: the same questions; the answers stay on this phone until it meets the laptop.

import { copyOf, el, piecesFrom } from "../../lib/dom.js";
import { entryOf } from "../walk/entries.js";
import { notYet } from "./not_yet.js";

/**
 * @param {any} snapshot
 * @param {(entry: any, then: () => void) => Promise<void>} save
 * @returns {{main: Node[], actions: Node[]}}
 */
export function debriefScreen(snapshot, save) {
  const { played, debrief, fixed, schedule } = snapshot;
  const [head, back] = [copyOf("ask-head"), copyOf("back-to-now")];
  if (!played) return { main: [head, el("p", {}, "This phone knows of no match of ours that was played.")], actions: [back] };
  if (!fixed?.debrief) return { main: [head, notYet()], actions: [back] };
  head.append(` about ${schedule.find(({ run }) => run === played)?.label ?? played}`);
  const form = el("form", { class: "stack" }, ...piecesFrom(fixed.debrief));
  const keep = () => save({ ...entryOf(snapshot, "debrief", { answers: answersOf(new FormData(form), debrief) }), match: played }, () => location.assign("/now"));
  return { main: [head, form], actions: [back, el("button", { class: "button button-main", type: "button", onclick: keep }, "Keep the debrief")] };
}

/**
 * Every tick as true or false, the rest where something was answered; without a climb nothing more is said of it.
 * @param {FormData} given
 * @param {{questions: any[], climb: any[]}} asked
 */
export function answersOf(given, { questions, climb }) {
  const answers = {};
  for (const { name, kind } of [...questions, ...climb]) {
    const value = String(given.get(name) ?? "").trim();
    if (kind === "tick") answers[name] = given.has(name);
    else if (kind === "yes_no" && value) answers[name] = value === "yes";
    else if (value) answers[name] = value;
  }
  if (answers.climbed === false) for (const { name } of climb.slice(1)) delete answers[name];
  return answers;
}
