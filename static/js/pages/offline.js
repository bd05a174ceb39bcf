// Every screen that this phone can show without the laptop, drawn from the last snapshot and its own entries.

import { el, one } from "../lib/dom.js";
import { inForce } from "../lib/corrected.js";
import { token } from "../store/device.js";
import { keep, made, madeSince, ready } from "../store/outbox.js";
import { lastSnapshot } from "../store/snapshot.js";
import { onProgress } from "../sync/keep_trying.js";
import { asOf, markPage, showClock } from "./offline/frame.js";

/** @typedef {{main: Node[], actions: Node[]}} Screen */

/**
 * Starts the page that the address names. A screen's script has `alone`, which returns what to show, or `takeOver`, which draws by itself.
 * @param {Record<string, () => Promise<any>>} scripts by the first word of the path
 * @param {string} named those screens in a sentence
 */
export async function start(scripts, named) {
  const [page = "", rest = ""] = location.pathname.split("/").slice(1);
  const name = page || "now";
  markPage(name);
  const [snapshot] = await Promise.all([lastSnapshot().catch(() => null), ready]);
  if (snapshot) showClock(snapshot);
  const script = await scripts[name]?.();
  if (script?.takeOver?.(one("#offline"), one(".actions-in"), snapshot)) return;
  if (!snapshot) return show(nothingKept());
  const entries = inForce(madeSince(snapshot), made());
  const screen = (await script?.alone({ snapshot, entries, rest, save, show })) ?? needsLaptop(named);
  show({ ...screen, main: [asOf(snapshot, madeSince(snapshot).length), ...screen.main] });
}

let saving = false;

/** Keeps an entry, then goes on; a second press meanwhile does nothing. */
async function save(entry, then) {
  if (saving) return;
  saving = true;
  await keep(entry);
  saving = false;
  then();
}

/** @param {Screen} screen */
function show({ main, actions }) {
  one("#offline").replaceChildren(...main);
  one(".actions-in").replaceChildren(...actions);
}

function needsLaptop(named) {
  return {
    main: [el("h1", {}, "This page needs the laptop"), el("p", {}, `${named} work without it; what you enter there is kept on this phone.`)],
    actions: [el("a", { class: "button button-main", href: "/now" }, "Now")],
  };
}

/** Nothing to draw from: a joined phone waits for the laptop's first answer and then goes on by itself, any other must join. */
function nothingKept() {
  const joined = Boolean(token());
  if (joined) onProgress(async () => (await lastSnapshot().catch(() => null)) && location.reload());
  const words = joined
    ? ["Waiting for the laptop", "This phone has joined and does not hold the pit's checks, limits and faults yet. They come with the laptop's next answer; this page then goes on by itself."]
    : ["The laptop does not answer", "This phone has nothing kept yet. Join the pit once where the laptop answers; from then on it works alone."];
  return {
    main: [el("h1", {}, words[0]), el("p", {}, words[1]),
      el("p", { class: "soft" }, "On the laptop's own Wi-Fi or cable without internet, an Android phone may need its mobile data switched off.")],
    actions: [el("a", { class: "button button-main", href: location.pathname + location.search }, "Try again")],
  };
}
