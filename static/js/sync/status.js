// The line under the strip: what this phone still holds, and why.

import { el } from "../lib/dom.js";
import { onChange, ready, refused, unsafe, waiting } from "../store/outbox.js";
import { keepTrying, onProgress, progress } from "./keep_trying.js";

/** An exchange that takes no longer than this is not mentioned. */
const GRACE = 1_500;

/** @param {HTMLElement | null} line */
export async function showUnsent(line) {
  if (!line) return;
  const draw = () => drawLine(line);
  onChange(() => setTimeout(draw, waiting().length ? GRACE : 0));
  onProgress(() => {
    if (!progress().running || !line.hidden) draw();
  });
  await ready;
  keepTrying();
  setTimeout(draw, GRACE);
}

/** How much is kept here and not handed over yet, as one sentence; empty if nothing is. */
export function unsentSentence() {
  const [count, { photos }] = [waiting().length, progress()];
  if (!count) return photos ? `Photos kept on this phone, not handed over yet: ${photos}.` : "";
  return `Kept on this phone, not handed over yet: ${count}${photos ? `, and photos: ${photos}` : ""}.`;
}

function drawLine(line) {
  const { sentence, join, running, left } = progress();
  const parts = [];
  const { count, sentence: trouble } = unsafe();
  if (trouble) parts.push(el("b", { class: "error" }, `In this page only, not safe yet: ${count}.`), ` ${trouble} Leave the page open until then. `);
  if (unsentSentence()) {
    parts.push(el("b", {}, unsentSentence()), " ", running && left ? `Handing over, ${left} left.` : sentence);
    parts.push(" ", join ? el("a", { href: "/join" }, "Join") : el("a", { href: "/handing-over" }, "Hand over"));
  }
  for (const { entry, error } of refused()) parts.push(parts.length && el("br"), `Refused by the laptop, still kept here (${entry.kind}): ${error}`);
  line.replaceChildren(...parts.filter(Boolean));
  line.hidden = !parts.length;
}
