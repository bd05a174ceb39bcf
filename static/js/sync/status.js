// The line under the strip: what this phone still holds, and why.

import { el } from "../lib/dom.js";
import { onChange, refused, waiting } from "../store/queue.js";
import { keepTrying, lastOutcome, onOutcome } from "./exchange.js";

/** An exchange that takes no longer than this needs no word. */
const GRACE = 1_500;

/** @param {HTMLElement | null} line */
export function showUnsent(line) {
  if (!line) return;
  const draw = () => drawLine(line);
  onChange(() => setTimeout(draw, waiting().length ? GRACE : 0));
  onOutcome(draw);
  keepTrying();
  draw();
}

/** How many entries are kept here and why, as one sentence; empty where there are none. */
export function unsentSentence() {
  const count = waiting().length;
  return count ? `Kept on this phone, not handed over yet: ${count}.` : "";
}

function drawLine(line) {
  const { sentence, join } = lastOutcome();
  const parts = [];
  if (waiting().length) {
    parts.push(el("b", {}, unsentSentence()), " ", sentence);
    if (join) parts.push(" ", el("a", { href: "/join" }, "Join"));
  }
  for (const { entry, error } of refused()) parts.push(el("br"), `Refused by the laptop, still kept here (${entry.kind}): ${error}`);
  line.replaceChildren(...parts);
  line.hidden = !parts.length;
}
