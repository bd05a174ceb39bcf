// When an exchange is tried: at the start, when there is something new, when the page comes back into sight, now and then while
// it is in sight, and by hand. One tab of a phone does it at a time.

import { lastSnapshot, keepSnapshot } from "../store/snapshot.js";
import { token } from "../store/device.js";
import { LOCK } from "../store/keys.js";
import { onChange, waiting } from "../store/outbox.js";
import { cursor } from "../store/replica.js";
import { exchange } from "./exchange.js";
import { photosLeft, sendPhotos } from "./photos.js";
import { reach } from "./reach.js";

const FIRST_PAUSE = 2_000;
const LONGEST_PAUSE = 30_000;
const NOW_AND_THEN = 60_000;
/** A snapshot older than this is fetched again though the log has not moved: what is due depends on the time. */
const STALE = 5 * 60_000;

/** @type {import("./exchange.js").Outcome} */
let last = { done: true, again: false, join: false, sentence: "" };
const listeners = new Set();
let failures = 0;
let timer = 0;
/** The try that is running, if any. @type {Promise<import("./exchange.js").Outcome> | null} */
let underWay = null;
/** Another try was asked for while one was running: what is new since then may have come too late for it. */
let wanted = false;
let left = 0;
let photos = 0;

/** How the last try ended, how many entries are left while one runs, and how many photos are waiting. */
export const progress = () => ({ ...last, running: underWay !== null, left, photos });

/** @param {() => void} listener called while a try goes on and after it */
export function onProgress(listener) {
  listeners.add(listener);
}

/** Starts trying; call it once a page. */
export function keepTrying() {
  onChange(() => {
    if (waiting().length) soon(0);
  });
  addEventListener("online", () => soon(0));
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) soon(0);
  });
  setInterval(() => {
    if (!document.hidden && !timer) soon(0);
  }, NOW_AND_THEN);
  soon(0);
}

/**
 * Try at once, for a person who is waiting for the outcome. A try that is under way may have begun before what they just changed,
 * so its outcome is not theirs: another follows it.
 * @returns {Promise<import("./exchange.js").Outcome>}
 */
export async function tryNow() {
  if (underWay) await underWay;
  return attempt();
}

/** The try that is under way, or a new one. */
function attempt() {
  clearTimeout(timer);
  timer = 0;
  wanted = underWay !== null;
  underWay ??= Promise.resolve().then(oneTry);
  return underWay;
}

async function oneTry() {
  left = waiting().length;
  tell();
  try {
    last = await alone(wholeExchange);
  } catch (error) {
    last = { done: false, again: true, join: false, sentence: error.sentence ?? "Something failed on this phone. What is kept here is offered again." };
  }
  underWay = null;
  failures = last.done && !photos ? 0 : failures + 1;
  tell();
  if (last.done && (wanted || waiting().length)) soon(0); // kept while the snapshot or photos were still on their way, or later
  else if (last.done ? photos : last.again) soon(pause());
  return last;
}

function soon(wait) {
  clearTimeout(timer);
  timer = setTimeout(attempt, wait);
}

async function wholeExchange() {
  const outcome = await exchange((now) => {
    left = now;
    tell();
  });
  if (outcome.done) await freshSnapshot();
  photos = await (outcome.done ? sendPhotos() : photosLeft()).catch(() => 0);
  return outcome;
}

async function freshSnapshot() {
  const [kept, { log, head }] = await Promise.all([lastSnapshot(), cursor()]).catch(() => [null, { log: null, head: 0 }]);
  const age = kept ? Math.abs(Date.now() + kept.ahead - Date.parse(kept.now)) : Infinity;
  if (kept && kept.log === log && kept.head === head && age < STALE) return;
  const found = await reach("/api/snapshot", { headers: { Authorization: `Bearer ${token()}` } });
  if (found?.status === 200) await keepSnapshot(found.answer).catch(() => {});
}

/** Without locks in the browser, two tabs may both try: that costs time and nothing else. */
function alone(work) {
  return navigator.locks ? navigator.locks.request(LOCK, work) : work();
}

/** Longer after each failure, and never the same for all phones. */
const pause = () => Math.min(LONGEST_PAUSE, FIRST_PAUSE * 2 ** (failures - 1)) * (0.5 + Math.random() / 2);

function tell() {
  for (const listener of listeners) listener();
}
