// What the Walk shows, built as elements: the gate before hands go in, one check, the reasons, the fault, the end.

import { copyOf, drawingFrom, el, filled, one } from "../../lib/dom.js";
import { saidByTeam, windowOf } from "./plan.js";
import { sentenceCase } from "./take.js";

const MOST_STEPS = 5;
export const GRADES = [["stop", "Stop: do not play with it"], ["degraded", "Degraded: it works, but worse"], ["watch", "Watch: look again"]];
export const WORDS = { ok: "OK", watch: "Watch", stop: "Stop", unjudged: "Unjudged", skipped: "Not measured", due: "Not done" };

/** @param {string} answer @returns {HTMLElement} */
export const shapeOf = (answer) => copyOf(`shape-${answer}`);

/**
 * "3 of 6 on Mast" and the shape of each check of the zone, each a way to it.
 * @param {ReturnType<import("./plan.js").progressOf>} progress
 * @param {string} zoneLabel
 * @param {(key: string) => boolean} go shows a check; false where this page does not have it
 */
export function progressLine({ place, total, steps }, zoneLabel, go) {
  const { before, shown, after } = windowOf(steps, place - 1, MOST_STEPS);
  const more = (count) => count > 0 && el("li", { class: "steps-more" }, `+${count}`);
  const line = copyOf("steps");
  line.append(...[more(before), ...shown.map((step) => stepOf(step, go)), more(after)].filter(Boolean));
  return el("div", { class: "progress" }, el("p", { class: "progress-count" }, `${place} of ${total} · ${zoneLabel}`), line);
}

function stepOf({ key, label, answer, current }, go) {
  const way = el("a", { href: `/walk?check=${encodeURIComponent(key)}`, onclick: (event) => go(key) && event.preventDefault() },
    shapeOf(answer), el("span", { class: "unseen" }, `${label}: ${WORDS[answer]}`));
  return el("li", { class: `step-${answer}`, "aria-current": current ? "step" : null }, way);
}

/**
 * The power state and the cautions, in their own band.
 * @param {any} check
 */
export const powerBand = ({ power, cautions }) => filled(copyOf(`power-${power}`), { cautions: cautions.join(" ") });

/**
 * Before hands go in, or before power: what must be true, step by step.
 * @param {{power: string, zone: any}} gate
 */
export function gateScreen({ power, zone }) {
  const screen = filled(copyOf(`gate-${power}`), { zone: zone.label });
  if (power !== "off") return screen;
  filled(screen, { stored: `${zone.energies.join(", ")}.` });
  if (!zone.energies.length) one("[data-stored]", screen).remove();
  const said = new Set(saidByTeam(zone, [...screen.querySelectorAll("[data-about]")].map((step) => step.dataset.about)));
  for (const step of screen.querySelectorAll("[data-about]")) if (said.has(step.dataset.about)) step.remove();
  one("ol", screen).append(...zone.release.map((step) => el("li", {}, step)));
  return screen;
}

/**
 * The upper half of a check: part, question, power band, how to measure with the drawing.
 * @param {any} check
 */
export function checkHead(check) {
  const drawing = drawingFrom(check.drawing);
  return [
    el("div", {}, el("p", { class: "walk-part" }, check.part_label), el("h1", { tabindex: "-1" }, check.ask)),
    powerBand(check),
    check.unjudged_because && check.unjudged_because !== check.how && el("div", { class: "banner" }, el("p", {}, el("b", {}, "Unjudged: "), check.unjudged_because)),
    (drawing || check.how) && howCard(check.how, drawing),
  ];
}

/** How to measure, with the drawing; where there is no room for both, a button opens them large. */
function howCard(how, drawing) {
  const place = el("div", { class: "stack" });
  const close = el("form", { method: "dialog" }, el("button", { class: "button button-main" }, "Back to the check"));
  const large = /** @type {HTMLDialogElement} */ (el("dialog", { class: "large", "aria-label": "How to do it" }, place, close));
  const figure = el("figure", { class: "card walk-how" }, how && el("figcaption", {}, el("p", {}, how)), drawing);
  const open = el("button", { type: "button", class: "button button-small walk-open", onclick: () => {
    place.replaceChildren(...figure.querySelectorAll("figcaption, svg"));
    large.showModal();
  } }, "Show how");
  large.addEventListener("close", () => figure.prepend(...place.children));
  figure.append(open, large);
  return figure;
}

/**
 * The verdict and its sentence, as the server draws it; before there is one, what is waited for.
 * @param {{verdict: string, sentence: string} | null} judgement
 * @param {any} check
 * @param {string[]} missing names of inputs that are not answered yet
 */
export function verdictBox(judgement, check, missing = []) {
  if (judgement) {
    const box = copyOf(`verdict-${judgement.verdict}`);
    box.querySelector(".verdict-why").textContent = judgement.sentence;
    return box;
  }
  const required = check.inputs.filter((input) => input.required);
  const next = required.find((input) => missing.includes(input.name));
  const begun = next && missing.length < required.length;
  const wanted = check.unjudged_because ? "It stays unjudged, whatever the number. An answer that means stop still counts." : begun ? `Still wanted: ${next.label}.` : "";
  const last = check.last && !begun ? `Last time ${[WORDS[check.last.verdict], ...(check.last.marks ?? [])].join(", ")}: ${check.last.sentence}` : "";
  if (![wanted, check.accept, last, check.witness].some(Boolean)) return el("div", {});
  return el("div", { class: "verdict verdict-waiting" }, el("div", { class: "verdict-in" },
    wanted && el("p", {}, wanted), check.accept && el("p", {}, el("b", {}, "OK: "), check.accept), last && el("p", { class: "soft small" }, last),
    check.witness && el("p", { class: "soft small" }, "Somebody else who saw it confirms it afterwards, on another phone.")));
}

/**
 * An answer that this phone has kept: it can be corrected or taken back, and the check can be done again.
 * @param {string} typed
 * @param {string} verdict
 * @param {() => void} again
 */
export const keptBox = (typed, verdict, again) => el("div", { class: "banner kept" },
  el("p", {}, el("b", {}, "Kept: "), `${typed} (${WORDS[verdict]}).`),
  el("button", { type: "button", class: "button", onclick: again }, "Measure again"));

/** The fault that was logged with a reading which says stop no more. @param {string} partLabel @param {any} fault its entry */
export const strayFault = (partLabel, fault) => el("section", { class: "walk stack" },
  el("div", {}, el("p", { class: "walk-part" }, partLabel), el("h1", { tabindex: "-1" }, "Take its fault back, too?")),
  el("p", {}, "It was logged with that reading and is still open: ", el("b", {}, fault.body.symptom)));

/**
 * Why checks are not done: one, or the rows of a card that are left.
 * @param {any[]} checks
 * @param {(why: string) => void} chosen
 */
export function reasonScreen(checks, chosen) {
  const [check, ...more] = checks;
  const where = checks.map(({ part_label: label }) => label).join(", ");
  const screen = filled(copyOf(more.length ? "reason-many" : "reason-one"), { where, what: more.length ? String(checks.length) : check.label });
  const box = /** @type {HTMLInputElement} */ (one("input", screen));
  for (const button of screen.querySelectorAll(".reasons button")) button.addEventListener("click", () => chosen(button.textContent));
  one("form", screen).addEventListener("submit", (event) => {
    event.preventDefault();
    if (box.value.trim()) chosen(box.value.trim());
    else one(".error", screen).hidden = false;
  });
  return screen;
}

/**
 * A stop was kept: the fault, filled in. The second tap logs it.
 * @param {any} check
 * @param {{sentence: string, verdict: string}} judgement
 * @param {string} symptom
 * @param {any} snapshot
 */
export function faultScreen(check, judgement, symptom, snapshot) {
  const open = snapshot.faults.filter((fault) => fault.part === check.part);
  const played = snapshot.schedule.find(({ run }) => run === snapshot.played);
  const field = copyOf("symptom");
  const words = /** @type {HTMLTextAreaElement} */ (one("textarea", field));
  words.value = symptom;
  const grades = GRADES.map(([value, label]) => el("label", { class: "choice" },
    el("input", { type: "radio", name: "grade", value, checked: value === "stop" }), el("span", {}, label)));
  const element = el("section", { class: "walk stack" },
    el("div", {}, el("p", { class: "walk-part" }, check.part_label), el("h1", { tabindex: "-1" }, "Kept. Log it as a fault?")),
    verdictBox(judgement, check),
    open.length > 0 && el("div", { class: "banner" }, el("p", {}, `Already logged on this part: ${open.map((fault) => [fault.symptom, ...(fault.marks ?? [])].join(", ")).join("; ")}.`)),
    field,
    el("fieldset", { class: "choices" }, el("legend", {}, "How bad"), ...grades),
    copyOf("photos-next"),
    el("p", { class: "soft" }, played ? `It goes with ${played.label}, the match played last.` : "No match was played yet, so it goes without one."));
  const read = () => ({
    symptom: words.value.trim() || symptom, grade: element.querySelector("input[name=grade]:checked").value,
    photo: element.querySelector("#fault-photo").checked,
  });
  return { element, read };
}

/**
 * The end: what was kept with shapes and words, what is left, the way back.
 * @param {{checks: any[], answers: Map<string, string>, left: {label: string, href: string, count: number}[], unsent: string, faults: number}} end
 */
export function endScreen({ checks, answers, left, unsent, faults }) {
  const done = checks.filter((check) => answers.has(check.key));
  const kept = done.filter((check) => answers.get(check.key) !== "skipped").length;
  const rows = done.map((check) => el("li", {}, el("a", { class: "row-link", href: `/walk?check=${encodeURIComponent(check.key)}` },
    el("span", { class: "row-title" }, check.label), el("span", { class: "row-more" }, check.part_label),
    markOf(answers.get(check.key)))));
  return el("section", { class: "walk stack" },
    el("h1", { tabindex: "-1" }, done.length ? "Walk done" : "Nothing is due here"),
    el("p", {}, done.length > 0 && summary(kept, done.length - kept, faults), " ", el("span", { "data-kept": true }, unsent)),
    rows.length > 0 && el("div", { class: "card card-bare" }, el("ul", { class: "rows" }, ...rows)),
    left.length > 0 && copyOf("still-due"),
    left.length > 0 && el("div", { class: "card card-bare" }, el("ul", { class: "rows" }, ...left.map((zone) => el("li", {},
      el("a", { class: "row-link", href: zone.href }, el("span", { class: "row-title" }, zone.label),
        el("span", { class: "row-end number" }, `${zone.count} ${zone.count === 1 ? "check" : "checks"}`)))))));
}

function markOf(answer) {
  return el("span", { class: `row-end row-end-tall mark mark-${answer}` }, shapeOf(answer), WORDS[answer]);
}

function summary(kept, skipped, faults) {
  const parts = [`${kept} ${kept === 1 ? "reading" : "readings"} kept`];
  if (faults) parts.push(`${faults} ${faults === 1 ? "fault" : "faults"} logged`);
  if (skipped) parts.push(`${skipped} not measured`);
  return `${sentenceCase(parts.join(", "))}.`;
}

/** A button at the bottom of the walk. @param {string} words @param {string | (() => void)} act where it leads, or what it does @param {string} [kind] */
export function button(words, act, kind = "") {
  const className = `button${kind ? ` button-${kind}` : ""}`;
  if (typeof act === "string") return el("a", { class: className, href: act }, words);
  return el("button", { type: "button", class: className, onclick: act }, words);
}
