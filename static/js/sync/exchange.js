// Hands kept entries to the laptop. Nothing is let go before the laptop has accepted it.

import { cursor, keepCursor, token } from "../store/device.js";
import { onChange, settle, waiting } from "../store/queue.js";

const TIMEOUT = 10_000;
const MOST = 200;
const PAUSES = [2_000, 5_000, 15_000, 30_000, 60_000];

/** @typedef {{done: boolean, again: boolean, join: boolean, sentence: string}} Outcome
 *   `again`: trying again later may help; `join`: the phone must join first */

/** @type {Outcome} */
let last = { done: true, again: false, join: false, sentence: "" };
const listeners = new Set();
let failures = 0;
let timer = 0;
let running = false;

/** What the last try came to. */
export const lastOutcome = () => last;

/** @param {() => void} listener called after every try */
export function onOutcome(listener) {
  listeners.add(listener);
}

/** Hand over whatever waits, now and whenever there is something new or the laptop may be back. */
export function keepTrying() {
  onChange(() => soon(0));
  addEventListener("online", () => soon(0));
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) soon(0);
  });
  soon(0);
}

function soon(pause) {
  clearTimeout(timer);
  timer = setTimeout(tryOnce, pause);
}

async function tryOnce() {
  if (running || !waiting().length) return;
  running = true;
  last = await exchange();
  running = false;
  failures = last.done ? 0 : failures + 1;
  for (const listener of listeners) listener();
  if (!waiting().length) return;
  if (last.done) soon(0);
  else if (last.again) soon(PAUSES[Math.min(failures, PAUSES.length) - 1]);
}

/**
 * One exchange: offers at most `most` entries and settles what the laptop answers.
 * @param {number} [most]
 * @returns {Promise<Outcome>}
 */
export async function exchange(most = MOST) {
  const key = token();
  if (!key) return failed("This phone has not joined the pit. Join with a code; the readings are kept here.", { join: true });
  const entries = waiting().slice(0, most);
  const { log, head } = cursor();
  let response;
  try {
    response = await post({ log, after: head, sent_at: new Date().toISOString(), entries }, key);
  } catch {
    return failed("The laptop does not answer. The readings are kept here and go over when it does.", { again: true });
  }
  if (response.ok) return settled(await response.json());
  if (response.status === 413 && most > 1) return exchange(Math.ceil(Math.min(most, entries.length) / 2));
  if (response.status === 409 && log !== null) {
    keepCursor("", 0);
    return failed("The laptop's logbook was restored. The readings are offered again.", { again: true });
  }
  return failed(await reason(response), { again: response.status >= 500, join: response.status === 401 || response.status === 403 });
}

function post(message, key) {
  return fetch("/api/entries", {
    method: "POST",
    headers: { "Content-Type": "application/json", Authorization: `Bearer ${key}` },
    body: JSON.stringify({ ...message, log: message.log || null }),
    credentials: "omit",
    signal: AbortSignal.timeout(TIMEOUT),
  });
}

function settled(answer) {
  keepCursor(answer.log, answer.head);
  settle(answer.accepted.map(({ id }) => id), answer.refused);
  return { done: true, again: false, join: false, sentence: "" };
}

function failed(sentence, { again = false, join = false }) {
  return { done: false, again, join, sentence };
}

async function reason(response) {
  try {
    const { error } = await response.json();
    if (error) return error;
  } catch {
    // The answer was not pitcrew's; the sentence below stands.
  }
  return `The laptop answered ${response.status}. The readings are kept here and offered again.`;
}
