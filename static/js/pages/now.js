// Now keeps up by itself: when the logbook has grown, or a minute has passed, the page is drawn again, unless someone is using it.

import { one } from "../lib/dom.js";

const LOOK_EVERY = 10_000;
const OLDEST = 60_000;
/** How long a touch, and leaving the page, keep it as it is: drawing it again calls back who is on the way to another page. */
const TOUCHED = 5_000;
const LEFT = 30_000;
let freeFrom = 0;

/** Starts the page. */
export function start() {
  const board = one("[data-head]");
  if (!board) return;
  const drawn = Date.now();
  addEventListener("pointerdown", () => (freeFrom = Date.now() + TOUCHED));
  addEventListener("beforeunload", () => (freeFrom = Date.now() + LEFT));
  setInterval(async () => {
    if (inUse()) return;
    const head = await currentHead();
    if (head === null || inUse()) return;
    if (String(head) !== board.dataset.head || Date.now() - drawn > OLDEST) location.reload();
  }, LOOK_EVERY);
}

/** Whether drawing again would take something away: the page is hidden, a form or a list is open, something was just pressed. */
function inUse() {
  const focused = document.activeElement;
  return Date.now() < freeFrom || document.hidden || location.hash === "#menu" || one("details[open]") !== null || Boolean(focused?.closest("form, a"));
}

/** How far the logbook goes now; null where the laptop does not answer. */
async function currentHead() {
  try {
    const response = await fetch("/healthz", { cache: "no-store", signal: AbortSignal.timeout(5_000) });
    return response.ok ? (await response.json()).head : null;
  } catch {
    return null;
  }
}
