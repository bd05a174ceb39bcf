// The lowering card without the laptop: the same words as templates/macros/lowering.html.

import { el } from "../../lib/dom.js";

/**
 * @param {any} snapshot
 * @returns {HTMLElement}
 */
export function loweringCard({ robot }) {
  const { people = [], steps = [] } = robot?.lowering ?? {};
  return el("section", { class: "card lowering" },
    el("p", { class: "lowering-rule" }, el("b", {}, "Nobody under the robot. At least three people: two lift, one releases. Power stays off.")),
    ...listed("Who", people),
    people.length > 0 && people.length < 3 && el("p", { class: "error" }, "Fewer than three people are named in the build sheet."),
    ...listed("How", steps),
    !steps.length && el("p", {}, "The build sheet has no steps yet: fill in [lowering] before anybody climbs."));
}

/** @param {any} snapshot */
export const loweringScreen = (snapshot) => ({ main: [el("h1", {}, "Lowering card"), loweringCard(snapshot)], actions: [] });

/** @param {string} title @param {string[]} items */
function listed(title, items) {
  return items.length ? [el("h2", {}, title), el("ol", {}, ...items.map((item) => el("li", {}, item)))] : [];
}
