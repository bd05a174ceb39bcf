// Climb without the laptop: read-only, as the laptop drew it, with what this phone's own entries change. Signing needs the
// laptop, since a signature is over everything that it knows.

import { copyOf, el, embedded, one, pieceFrom, piecesFrom } from "../../lib/dom.js";
import { notYet } from "./not_yet.js";
import { showTimes } from "./times.js";
import { hitIn, worsened } from "./worse.js";

/** @param {any} given @returns {Promise<{main: Node[], actions: Node[]}>} */
export async function alone({ snapshot, entries, rest }) {
  if (rest === "lowering") return (await import("./lowering.js")).loweringScreen(snapshot);
  return climbScreen(snapshot, entries);
}

function climbScreen(snapshot, entries) {
  const screen = el("div", { class: "stack" }, ...piecesFrom(snapshot.pieces?.climb));
  if (!screen.children.length) return { main: [el("h1", {}, "Climb"), notYet()], actions: [] };
  putPath(screen, snapshot);
  showTimes(screen, snapshot);
  showVoid(screen, snapshot, entries);
  for (const row of screen.querySelectorAll("[data-check]")) showOwn(row, entries);
  return { main: [screen], actions: [] };
}

/** The hold path as the laptop drew it: what this phone has seen since stands with its checks below. */
function putPath(screen, { path }) {
  const [place, figure] = [one("[data-path]", screen), pieceFrom(path)];
  if (figure) place.append(figure);
  else place.remove();
}

/** A clearance, or a hold test, that this phone's own entries have ended. */
function showVoid(screen, snapshot, entries) {
  const ended = worsened(embedded("worsens"), snapshot, entries, 0).reasons.find(({ href }) => href === "/climb" && snapshot.climb.state === "cleared");
  const hit = entries.map(({ kind, body }) => kind === "debrief" && hitIn(snapshot, body.answers)).find(Boolean);
  if (!ended && !hit) return;
  const box = copyOf("verdict-stop");
  box.querySelector(".mark").lastChild.textContent = ended ? " Void" : " Hold test";
  box.querySelector(".verdict-why").textContent = ended?.text ?? `The hold test does not count any more. The debrief says: ${hit}. From this phone.`;
  one("[data-own]", screen).replaceChildren(box);
}

/** A check with this phone's own reading of it, if there is one; it leads to the Walk, which works here. */
function showOwn(row, entries) {
  const key = row.dataset.check;
  one("a", row).setAttribute("href", `/walk?check=${encodeURIComponent(key)}`);
  const own = entries.findLast(({ kind, body }) => kind === "reading" && `${body.check}@${body.part}` === key);
  if (!own) return;
  one(".mark", row).replaceWith(copyOf(`mark-${own.body.verdict}`));
  for (const said of row.querySelectorAll("p")) said.remove();
  row.append(el("p", { class: "small" }, "Measured on this phone, not handed over yet."));
}
