// Entries made on this phone. None is ever dropped: handed over, it stays as accepted and is offered again to another log;
// refused, it stays with the laptop's reason. A small copy in memory answers at once; the database is the truth.

import { all, NotKept, transact } from "./db.js";
import { CHANNEL, LOCAL, OUTBOX } from "./keys.js";

/** @typedef {{id: string, kind: string, at: string, robot: string | null, match: string | null, body: any, shape: number}} Entry */
/** @typedef {{id: string, entry: Entry, state: "unsent" | "accepted" | "refused", log?: string, seq?: number, error?: string}} Kept */

/** @type {Map<string, Kept>} by id; ids are made in the order of time */
let kept = new Map();
/** @type {Set<string>} */
const pageOnly = new Set();
let trouble = "";
const listeners = new Set();
const channel = typeof BroadcastChannel === "function" ? new BroadcastChannel(CHANNEL) : null;

/** Resolves when what the phone kept before is in memory; pages read after it. */
export const ready = load().catch(() => {});
channel?.addEventListener("message", () => load().then(tell, () => {}));

/** Entries to hand over, oldest first. @returns {Entry[]} */
export const waiting = () => entriesOf("unsent");

/** Entries that the laptop refused, with its sentence. @returns {Kept[]} */
export const refused = () => inOrder().filter((item) => item.state === "refused");

/** Everything made on this phone, whatever became of it. @returns {Entry[]} */
export const made = () => inOrder().map((item) => item.entry);

/** What a snapshot does not tell yet: everything made here that was not in the log when it was made. @param {{log: string, head: number}} snapshot @returns {Entry[]} */
export const madeSince = ({ log, head }) => inOrder().filter((item) => item.state !== "accepted" || item.log !== log || item.seq > head).map((item) => item.entry);

/** Entries that this page alone holds, because the phone could not keep them, and why; the laptop may still take them. */
export const unsafe = () => ({ count: pageOnly.size, sentence: trouble });

/**
 * Keep an entry until the laptop has it. Resolves once it is safe on this phone (true), or held in this page only (false).
 * @param {Entry} entry
 * @returns {Promise<boolean>}
 */
export async function keep(entry) {
  kept.set(entry.id, { id: entry.id, entry, state: "unsent" });
  pageOnly.add(entry.id);
  await saveRest();
  changed();
  return !pageOnly.has(entry.id);
}

/**
 * The laptop's answer: accepted ones are marked, refused ones stay with the reason.
 * @param {string} log
 * @param {{id: string, seq: number}[]} accepted
 * @param {{id: string, error: string}[]} notTaken
 */
export async function settle(log, accepted, notTaken) {
  const marked = [
    ...accepted.map(({ id, seq }) => ({ ...kept.get(id), state: "accepted", log, seq })),
    ...notTaken.map(({ id, error }) => ({ ...kept.get(id), state: "refused", log, error })),
  ].filter((item) => item.entry);
  if (marked.length) await write(marked);
}

/**
 * The laptop keeps another log than before (a new one, or one restored from an older copy), or its log ends before what it had
 * accepted: offer it all of that again. What the old one refused may be right for this one.
 * @param {string} log
 * @param {number} head
 */
export async function offerAgain(log, head) {
  const again = inOrder().filter((item) => item.state !== "unsent" && (item.log !== log || item.seq > head));
  if (again.length) await write(again.map(({ id, entry }) => ({ id, entry, state: "unsent" })));
}

/** Call `listener` after every change. @param {() => void} listener */
export function onChange(listener) {
  listeners.add(listener);
}

/** In memory first: what cannot be written now is offered again after the next start, which is harmless. */
async function write(items) {
  for (const item of items) {
    kept.set(item.id, item);
    pageOnly.add(item.id);
  }
  await saveRest();
  changed();
}

/** Writes what is not safe yet, earlier failures included. */
async function saveRest() {
  const rest = [...pageOnly];
  try {
    await transact(OUTBOX, "readwrite", (transaction) => rest.forEach((id) => transaction.objectStore(OUTBOX).put(kept.get(id))));
    rest.forEach((id) => pageOnly.delete(id));
    trouble = "";
  } catch (problem) {
    if (!(problem instanceof NotKept)) throw problem;
    trouble = problem.sentence;
  }
}

/** The browser asks before someone leaves a page that holds something no other place has. */
addEventListener("beforeunload", (event) => {
  if ([...pageOnly].some((id) => kept.get(id).state === "unsent")) event.preventDefault();
});

async function load() {
  await takeOldQueue();
  const found = new Map((await all(OUTBOX)).map((item) => [item.id, item]));
  kept = new Map([...found, ...[...pageOnly].map((id) => [id, kept.get(id)])]);
}

/** Entries of the first version of this store lay in localStorage; they move over once, and are removed there only after that. */
async function takeOldQueue() {
  let old;
  try {
    old = JSON.parse(localStorage.getItem(LOCAL.oldQueue) ?? "null");
  } catch {
    return;
  }
  if (!Array.isArray(old)) return;
  const items = old.map(({ entry, error }) => ({ id: entry.id, entry, state: error ? "refused" : "unsent", ...(error && { error }) }));
  await transact(OUTBOX, "readwrite", (transaction) => items.forEach((item) => transaction.objectStore(OUTBOX).put(item)));
  localStorage.removeItem(LOCAL.oldQueue);
  localStorage.removeItem(LOCAL.oldCursor);
}

function changed() {
  channel?.postMessage("changed");
  tell();
}

function tell() {
  for (const listener of listeners) listener();
}

const inOrder = () => [...kept.values()].sort((a, b) => (a.id < b.id ? -1 : 1));
const entriesOf = (state) => inOrder().filter((item) => item.state === state).map((item) => item.entry);
