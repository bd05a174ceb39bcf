// Now without the laptop: its last word on readiness made worse where this phone knows more, the map, what is due, the battery.

import { copyOf, el, embedded, filled, one, pieceFrom } from "../../lib/dom.js";
import { laptopNow } from "../../store/snapshot.js";
import { dueByZone, worsened } from "./worse.js";

const WORDS = ["ready", "ready with deferrals", "hold"];
const FIRST = 4;

/** @param {any} given @returns {Promise<{main: Node[], actions: Node[]}>} */
export async function alone({ snapshot, entries, rest, save }) {
  if (rest === "debrief") return (await import("./debrief.js")).debriefScreen(snapshot, save);
  return nowScreen(snapshot, entries);
}

function nowScreen(snapshot, entries) {
  const due = dueByZone(snapshot, entries);
  return { main: [readinessBox(worsened(embedded("worsens"), snapshot, entries, laptopNow(snapshot))), ...laptopsOwn(snapshot), dueList(snapshot, due), ...battery(snapshot), ...askCard(snapshot)], actions: walkButton(due) };
}

function readinessBox({ word, reasons }) {
  const box = copyOf(`readiness-${WORDS.indexOf(word)}`);
  const item = ({ text, href }) => el("li", {}, href ? el("a", { href }, text) : text);
  one("ul", box).replaceChildren(...reasons.slice(0, FIRST).map(item));
  if (reasons.length <= FIRST) return box;
  const rest = el("details", { class: "card" }, el("summary", {}, `${reasons.length - FIRST} more`), el("ul", {}, ...reasons.slice(FIRST).map(item)));
  return el("section", { class: "stack-tight", "aria-label": "Readiness" }, box, rest);
}

/** What stands as the laptop drew it: no one under a hanging robot, and the map. */
function laptopsOwn({ pieces, map }) {
  const [under, figure] = [pieceFrom(pieces?.under), pieceFrom(map)];
  return [under, figure && el("section", { class: "card", "aria-label": "Robot map" }, figure)].filter(Boolean);
}

function dueList({ next }, due) {
  const rows = due.map(({ zone, checks, minutes }) => {
    const row = filled(copyOf("due-row"), {
      zone: `${zone.label} · ${checks.length} ${checks.length === 1 ? "check" : "checks"}`, time: `${minutes} min`,
      what: [...new Set(checks.map((check) => check.label.toLowerCase()))].join(", "),
    });
    one("a", row).setAttribute("href", walkTo(zone));
    return row;
  });
  return el("section", { class: "stack-tight" }, el("h2", {}, next ? `Due for ${next.label}` : "Due now"),
    el("ul", { class: "rows card card-bare" }, ...(rows.length ? rows : [el("li", { class: "empty" }, "Nothing of what was due is left.")])));
}

function battery({ pieces }) {
  return [pieceFrom(pieces?.battery)].filter(Boolean);
}

function askCard({ played }) {
  return [el("div", { class: "button-row" }, played && copyOf("ask"), el("a", { class: "button", href: "/temporary" }, "Temporary states"))];
}

function walkButton(due) {
  if (!due.length) return [];
  const button = filled(copyOf("walk-button"), { zone: due[0].zone.label });
  button.setAttribute("href", walkTo(due[0].zone));
  return [button];
}

const walkTo = (zone) => `/walk?zone=${encodeURIComponent(zone.id)}`;
