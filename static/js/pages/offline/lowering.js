// The lowering card without the laptop: the laptop's own drawing of it, as the snapshot brought it.

import { el, pieceFrom } from "../../lib/dom.js";

/** @param {any} snapshot */
export const loweringScreen = ({ lowering }) => ({
  main: [el("h1", {}, "Lowering card"), pieceFrom(lowering) ?? el("p", { class: "card" }, "This phone has no lowering card yet. Nobody under it; support it first.")],
  actions: [],
});
