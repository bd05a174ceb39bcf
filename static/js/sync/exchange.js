// Hands kept entries to the laptop and takes what the log has gained. Nothing is let go before the laptop has accepted it, and
// repeating any of it is harmless. Phones keep this module for weeks: what it sends and understands only ever gains fields.

import { token } from "../store/device.js";
import { offerAgain, ready, settle, waiting } from "../store/outbox.js";
import { cursor, NOTHING_READ, takeRecords } from "../store/replica.js";
import { keepAnnounced, reach } from "./reach.js";
import { relay } from "./relay.js";

const MOST = 200;

/** @typedef {{done: boolean, again: boolean, join: boolean, sentence: string}} Outcome
 *   `again`: trying again later may help; `join`: the phone must join first */
/** @typedef {{log: string, head: number, more: boolean, accepted: {id: string, seq: number}[], refused: {id: string, error: string}[], entries: any[], addresses?: string[]}} Answer */

/** How many entries go in one request: fewer after one that was too large or too slow. */
let most = MOST;

/**
 * Exchanges until both sides have everything.
 * @param {(left: number) => void} [progress] told how many entries are left after each request
 * @returns {Promise<Outcome>}
 */
export async function exchange(progress = () => {}) {
  if (!token()) return failed("This phone has not joined the pit. Join with a code; what is kept here stays.", { join: true });
  await ready;
  for (;;) {
    const before = await cursor().catch(() => NOTHING_READ);
    const offered = waiting().slice(0, most);
    const found = await ask(before, offered);
    if (found?.status === 413 && offered.length > 1) continue;
    if (found?.status !== 200) return refusal(found);
    const stored = await take(found.answer, before);
    progress(waiting().length);
    const stuck = offered.length > 0 && waiting()[0]?.id === offered[0].id;
    if (stuck) return failed("The laptop answered without saying what it took. It is offered again later.", { again: true });
    if (!waiting().length && !(found.answer.more && stored)) return { done: true, again: false, join: false, sentence: "" };
  }
}

/**
 * One request. Where the laptop's log lacks what this phone has read of it, the last entry read and its seal prove that.
 * @param {import("../store/replica.js").Cursor} before
 * @param {any[]} entries
 */
async function ask(before, entries) {
  const place = { log: before.log, after: before.head, seal: before.tail?.seal };
  const found = await post({ ...place, entries });
  most = found && found.status !== 413 ? MOST : Math.max(1, Math.ceil(entries.length / 2));
  if (found?.status !== 409 || !before.tail) return found;
  return post({ ...place, entries: [], proof: before.tail, previous: before.previous });
}

/** @param {object} message */
function post(message) {
  const body = JSON.stringify({ ...message, sent_at: new Date().toISOString(), unsent: waiting().length });
  return reach("/api/entries", { method: "POST", headers: { "Content-Type": "application/json", Authorization: `Bearer ${token()}` }, body });
}

/**
 * Whether the phone could keep what came; if not, its place in the log stays where it was.
 * @param {Answer} answer
 * @param {import("../store/replica.js").Cursor} before
 */
async function take(answer, before) {
  await settle(answer.log, [...answer.accepted, ...answer.entries], answer.refused); // this phone's own entries that come back are safe there, too
  await keepAnnounced(answer.addresses);
  try {
    await takeRecords(answer.log, answer.entries, before);
    if (!answer.more && (await relay(answer.log, post))) await offerAgain(answer.log, answer.head);
    return true;
  } catch {
    return false;
  }
}

function refusal(found) {
  if (!found) return failed("The laptop does not answer. What is kept here goes over when it does.", { again: true });
  const { status, answer } = found;
  const sentence = answer?.error ?? `The laptop answered ${status}. What is kept here is offered again.`;
  return failed(sentence, { again: status >= 500 || status === 409 || status === 413 || status === 429, join: status === 401 || status === 403 });
}

function failed(sentence, { again = false, join = false }) {
  return { done: false, again, join, sentence };
}
