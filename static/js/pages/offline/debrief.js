// The debrief without the laptop: the same questions; the answers stay on this phone until it meets the laptop.

import { el } from "../../lib/dom.js";
import { entryOf } from "../walk/entries.js";

const YES_NO = ["yes", "no"];

/**
 * @param {any} snapshot
 * @param {(entry: any, then: () => void) => Promise<void>} save
 * @returns {{main: Node[], actions: Node[]}}
 */
export function debriefScreen(snapshot, save) {
  const { played, debrief, schedule } = snapshot;
  if (!played || !debrief) return { main: [el("h1", {}, "Ask the drive team"), el("p", {}, "This phone knows of no match of ours that was played.")], actions: [] };
  const label = schedule.find(({ run }) => run === played)?.label ?? played;
  const form = el("form", { class: "stack" },
    debrief.climb.length > 0 && el("section", { class: "card stack-tight climb-row" }, el("h2", {}, "The climb"),
      ...debrief.climb.map((question, place) => el("div", { class: place ? "climb-then" : "" }, fieldOf(question))),
      el("p", { class: "soft small" }, "What nobody answers counts against the next climb.")),
    el("fieldset", { class: "ticks" }, el("legend", {}, "What happened?"), ...debrief.questions.filter(({ kind }) => kind === "tick").map(fieldOf)),
    ...debrief.questions.filter(({ kind }) => kind !== "tick").map(fieldOf));
  const keep = () => save({ ...entryOf(snapshot, "debrief", { answers: answersOf(new FormData(form), debrief) }), match: played }, () => location.assign("/now"));
  return {
    main: [el("h1", {}, `Ask the drive team about ${label}`), form],
    actions: [el("a", { class: "button", href: "/now" }, "Back to Now"), el("button", { class: "button button-main", type: "button", onclick: keep }, "Keep the debrief")],
  };
}

/** @param {{name: string, ask: string, kind: string, options: string[]}} question */
function fieldOf({ name, ask, kind, options }) {
  if (kind === "tick") return el("label", { class: "tick" }, el("input", { type: "checkbox", name }), el("span", {}, ask));
  if (kind === "yes_no" || kind === "pick") {
    const words = kind === "pick" ? options : YES_NO;
    return el("fieldset", { class: "choices" }, el("legend", {}, ask), ...words.map((word) => el("label", { class: "choice" },
      el("input", { type: "radio", name, value: word }), el("span", {}, word[0].toUpperCase() + word.slice(1)))));
  }
  const box = kind === "text" ? el("textarea", { id: name, name, rows: "3" }) : el("input", { id: name, name, type: "text", maxlength: "200" });
  return el("div", { class: "field" }, el("label", { for: name }, ask), box);
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
