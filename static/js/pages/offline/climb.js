// Climb without the laptop: to be read only. Signing needs the laptop, since a signature is over everything that it knows.

import { copyOf, el, pieceFrom } from "../../lib/dom.js";
import { clockTime } from "../../lib/times.js";
import { hitIn, labelOf, worsened } from "./worse.js";

const WORDS = { cleared: ["ok", "Cleared"], void: ["stop", "Void"], refused: ["stop", "Refused"], none: ["unjudged", "Not signed"] };

/**
 * @param {any} snapshot
 * @param {any[]} entries
 * @returns {{main: Node[], actions: Node[]}}
 */
export function climbScreen(snapshot, entries) {
  const { climb, event } = snapshot;
  const own = worsened(snapshot, entries, 0).reasons.find(({ href }) => href === "/climb" && climb.state === "cleared");
  const [verdict, word] = WORDS[own ? "void" : climb.state];
  const box = copyOf(`verdict-${verdict}`);
  box.querySelector(".mark").lastChild.textContent = ` ${word}`;
  box.querySelector(".verdict-why").textContent = own?.text ?? climb.why;
  const signed = climb.person && el("p", { class: "small" }, `${climb.state === "refused" ? "Refused" : "Signed"} by ${climb.person}, ${clockTime(climb.at, event.zone)}.`);
  return {
    main: [el("h1", {}, snapshot.next ? `Climb, ${snapshot.next.label}` : "Climb"), box, signed, ...path(snapshot), ...missing(climb, entries.map(({ kind, body }) => kind === "debrief" && hitIn(snapshot, body.answers)).find(Boolean)),
      parts(snapshot, entries), el("p", {}, el("a", { class: "button", href: "/climb/lowering" }, "Lowering card")),
      el("p", { class: "banner" }, "Signing needs the laptop. Until it answers, this page can only be read."),
      el("p", { class: "soft" }, "pitcrew records and computes; event rules, makers' instructions and the adult in charge decide.")].filter(Boolean),
    actions: [],
  };
}

/** The hold path as the laptop drew it: what this phone has seen since stands with its checks below. */
function path({ path: drawn }) {
  const figure = pieceFrom(drawn);
  return figure ? [el("section", { class: "card" }, el("h2", {}, "What holds it"), figure)] : [];
}

/** What the laptop last missed, after what a debrief on this phone tells of a hit. */
function missing({ missing: known, state }, hit) {
  const items = [...(hit ? [`Hold test: the debrief says: ${hit}. From this phone.`] : []), ...known];
  if ((state === "cleared" && !hit) || !items.length) return [];
  return [el("section", { class: "stack-tight" }, el("h2", {}, "Missing before it can be signed"), el("ul", { class: "rows card card-bare" }, ...items.map((text) => el("li", { class: "row-plain" }, text))))];
}

function parts(snapshot, entries) {
  const ids = [...new Set(snapshot.checks.filter((check) => check.climb_critical).map((check) => check.part))];
  return el("details", { class: "card" }, el("summary", {}, "Checks of the climb"), ...ids.map((id) => el("section", { class: "stack-tight" }, el("h3", {}, labelOf(snapshot, id)),
    el("ul", { class: "rows" }, ...snapshot.checks.filter((check) => check.part === id).map((check) => row(check, entries))))));
}

function row(check, entries) {
  const own = entries.findLast((entry) => entry.kind === "reading" && entry.body.check === check.check && entry.body.part === check.part);
  const verdict = own?.body.verdict ?? check.last?.verdict ?? "due";
  return el("li", { class: "stack-tight climb-check" }, el("div", { class: "card-head" }, el("a", { href: `/walk?check=${encodeURIComponent(check.key)}` }, check.label), copyOf(`mark-${verdict}`)),
    el("p", { class: "small" }, own ? "Measured on this phone, not handed over yet." : check.last?.sentence ?? "Never done."));
}
