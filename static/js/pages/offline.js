// Every screen that this phone can show without the laptop, drawn from the last snapshot and its own entries.

import { el, one } from "../lib/dom.js";
import { token } from "../store/device.js";
import { keep, madeSince, ready } from "../store/outbox.js";
import { lastSnapshot } from "../store/snapshot.js";
import { onProgress } from "../sync/keep_trying.js";
import { asOf, markPage, showClock } from "./offline/frame.js";

/** @typedef {{main: Node[], actions: Node[]}} Screen */

const SCREENS = {
  now: async (snapshot, entries, rest) => now(snapshot, entries, rest),
  faults: async (snapshot, entries, rest) => faults(await import("./offline/faults.js"), snapshot, entries, rest),
  batteries: async (snapshot, entries) => (await import("./offline/batteries.js")).batteriesScreen(snapshot, entries, save),
  climb: async (snapshot, entries, rest) => climb(snapshot, entries, rest),
  schedule: async (snapshot) => (await import("./offline/schedule.js")).scheduleScreen(snapshot),
};

/** Starts the page that the address names. */
export async function start() {
  const [page = "", rest = ""] = location.pathname.split("/").slice(1);
  const name = page || "now";
  markPage(name);
  const [snapshot] = await Promise.all([lastSnapshot().catch(() => null), ready]);
  if (snapshot) showClock(snapshot);
  if (name === "handing-over") (await import("./handing_over.js")).startHandingOver(one("#offline"), one(".actions-in"), snapshot);
  else if (!snapshot) show(nothingKept());
  else if (name === "walk") await walk(snapshot);
  else await showScreen(snapshot, name, rest);
}

async function showScreen(snapshot, name, rest) {
  const entries = madeSince(snapshot);
  const screen = (await SCREENS[name]?.(snapshot, entries, rest)) ?? needsLaptop();
  show({ ...screen, main: [asOf(snapshot, entries.length), ...screen.main] });
}

async function walk(snapshot) {
  one("#offline").replaceChildren(el("div", { id: "walk", class: "walk" }));
  (await import("./walk.js")).walkWith(snapshot);
}

async function now(snapshot, entries, rest) {
  if (rest === "debrief") return (await import("./offline/debrief.js")).debriefScreen(snapshot, save);
  return (await import("./offline/now.js")).nowScreen(snapshot, entries);
}

function faults(page, snapshot, entries, rest) {
  if (!rest) return page.faultsScreen(snapshot, entries);
  if (rest === "new") return page.newFaultScreen(snapshot, save, show);
  return page.oneFaultScreen(snapshot, entries, rest, save);
}

async function climb(snapshot, entries, rest) {
  if (rest === "lowering") return (await import("./offline/lowering.js")).loweringScreen(snapshot);
  return (await import("./offline/climb.js")).climbScreen(snapshot, entries);
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

function needsLaptop() {
  return {
    main: [el("h1", {}, "This page needs the laptop"), el("p", {}, "Now, Walk, Faults, Batteries, Climb and Schedule work without it; what you enter there is kept on this phone.")],
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
