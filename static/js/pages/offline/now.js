// Now without the laptop: its last word on readiness made worse where this phone knows more, the map, what is due, the battery.

import { copyOf, el, one, pieceFrom } from "../../lib/dom.js";
import { laptopNow } from "../../store/snapshot.js";
import { dueByZone, worsened } from "./worse.js";

const WORDS = ["ready", "ready with deferrals", "hold"];
const FIRST = 4;

/**
 * @param {any} snapshot
 * @param {any[]} entries
 * @returns {{main: Node[], actions: Node[]}}
 */
export function nowScreen(snapshot, entries) {
  const due = dueByZone(snapshot, entries);
  return { main: [readinessBox(worsened(snapshot, entries, laptopNow(snapshot))), under(snapshot), ...mapCard(snapshot), dueList(snapshot, due), battery(snapshot), ...askCard(snapshot)], actions: walkButton(due) };
}

function readinessBox({ word, reasons }) {
  const box = copyOf(`readiness-${WORDS.indexOf(word)}`);
  const item = ({ text, href }) => el("li", {}, href ? el("a", { href }, text) : text);
  one("ul", box).replaceChildren(...reasons.slice(0, FIRST).map(item));
  if (reasons.length <= FIRST) return box;
  const rest = el("details", { class: "card" }, el("summary", {}, `${reasons.length - FIRST} more`), el("ul", {}, ...reasons.slice(FIRST).map(item)));
  return el("section", { class: "stack-tight", "aria-label": "Readiness" }, box, rest);
}

/** Where a climb is planned. */
function under({ climb }) {
  return climb.planned ? el("p", { class: "under" }, el("b", {}, "While it hangs: nobody under it. "), el("a", { href: "/climb/lowering" }, "Lowering card")) : "";
}

function mapCard({ map }) {
  const figure = pieceFrom(map);
  return figure ? [el("section", { class: "card", "aria-label": "Robot map" }, figure)] : [];
}

function dueList({ next }, due) {
  const rows = due.map(({ zone, checks, minutes }) => el("li", {}, el("a", { class: "row-link", href: walkTo(zone) },
    el("span", { class: "row-title" }, `${zone.label} · ${checks.length} ${checks.length === 1 ? "check" : "checks"}`),
    el("span", { class: "row-end number" }, `${minutes} min`),
    el("span", { class: "row-more" }, [...new Set(checks.map((check) => check.label.toLowerCase()))].join(", ")))));
  return el("section", { class: "stack-tight" }, el("h2", {}, next ? `Due for ${next.label}` : "Due now"),
    el("ul", { class: "rows card card-bare" }, ...(rows.length ? rows : [el("li", { class: "empty" }, "Nothing of what was due is left.")])));
}

function battery({ battery: chosen }) {
  const words = chosen
    ? [el("p", {}, el("a", { href: `/batteries#${encodeURIComponent(chosen.name)}` }, el("b", {}, `${chosen.offered ? "Take" : "Not yet:"} ${chosen.label}`))),
      el("p", { class: "soft small" }, chosen.says)]
    : [el("p", {}, "No battery is in the build sheet.")];
  return el("section", { class: "card" }, el("h2", {}, "Battery"), ...words);
}

function askCard({ played }) {
  return played ? [el("div", { class: "button-row" }, el("a", { class: "button", href: "/now/debrief" }, "Ask the drive team"))] : [];
}

function walkButton(due) {
  if (!due.length) return [];
  return [el("a", { class: "button button-main", href: walkTo(due[0].zone) }, `Start my walk: ${due[0].zone.label}`)];
}

const walkTo = (zone) => `/walk?zone=${encodeURIComponent(zone.id)}`;
