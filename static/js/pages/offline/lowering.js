// The lowering card without the laptop: its screen as the laptop drew it for the snapshot.

import { el, piecesFrom } from "../../lib/dom.js";

/** @param {any} snapshot */
export function loweringScreen({ lowering }) {
  const drawn = piecesFrom(lowering);
  return { main: drawn.length ? drawn : [el("p", { class: "card" }, "This phone has no lowering card yet. Nobody under it; support it first.")], actions: [] };
}
