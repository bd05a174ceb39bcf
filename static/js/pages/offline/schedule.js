// Schedule without the laptop: our matches as the laptop drew them.

import { el, piecesFrom } from "../../lib/dom.js";
import { notYet } from "./not_yet.js";
import { showTimes } from "./times.js";

/** @param {any} given @returns {{main: Node[], actions: Node[]}} */
export function alone({ snapshot }) {
  const drawn = piecesFrom(snapshot.pieces?.schedule);
  for (const piece of drawn) showTimes(piece, snapshot);
  return { main: [el("h1", {}, "Schedule"), ...(drawn.length ? drawn : [notYet()])], actions: [] };
}
