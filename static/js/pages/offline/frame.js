// What stands around every offline screen: the clock of the next match, the menu's place, and as of when the laptop said this.

import { startClock } from "../../lib/clock.js";
import { copyOf, el, one } from "../../lib/dom.js";
import { clockTime } from "../../lib/times.js";
import { laptopNow, wasSetBack } from "../../store/snapshot.js";
import { onProgress, progress } from "../../sync/keep_trying.js";

/** @param {string} page the first word of the path */
export function markPage(page) {
  document.body.dataset.page = page;
  for (const link of document.querySelectorAll("#menu a")) {
    if (link.getAttribute("href") === `/${page}`) link.setAttribute("aria-current", "page");
  }
}

/** The clock runs on the laptop's time as this phone last knew it. @param {any} snapshot */
export function showClock(snapshot) {
  const { next, event } = snapshot;
  const strip = one("[data-clock]");
  if (!strip || !next?.leave_at) return;
  const now = laptopNow(snapshot);
  const time = (moment) => clockTime(moment, event.zone, now);
  Object.assign(strip.dataset, { leaveAt: next.leave_at, backAt: next.back_at ?? "", now: new Date(now).toISOString() });
  const face = copyOf("clock-face");
  one("[data-clock-name]", face).textContent = next.label;
  one(".clock", strip).replaceWith(face);
  if (next.back_at) {
    const bar = copyOf("clock-bar");
    one("[data-clock-back]", bar).textContent = `back ${time(next.back_at)}`;
    one("[data-clock-leave]", bar).textContent = `leave ${time(next.leave_at)}`;
    one(".strip-in", strip).append(bar);
  }
  startClock(strip);
}

/**
 * "As of 10:31", and how many entries of this phone stand beside it; once the laptop answers again, the way to its page.
 * @param {any} snapshot
 * @param {number} own
 */
export function asOf(snapshot, own) {
  const time = clockTime(snapshot.now, snapshot.event.zone, laptopNow(snapshot));
  const more = own ? `, and ${own} of this phone's own ${own === 1 ? "entry" : "entries"} since` : "";
  const back = wasSetBack(snapshot) ? " This phone's clock was set back since, so the minutes left are wrong until the laptop answers." : "";
  const line = el("p", { class: "soft", "data-as-of": true }, `As of ${time}, when the laptop last answered${more}.${back}`);
  onProgress(() => {
    if (progress().done && !progress().running && line.isConnected) {
      line.replaceChildren(`As of ${time}. The laptop answers again. `, el("a", { href: location.pathname + location.search }, "Open its page."));
    }
  });
  return line;
}
