// A copy of the laptop's log as far as this phone has read it, and how far that is. Entries and place are written in one
// transaction, so the place never runs ahead of the entries.

import { all, get, transact } from "./db.js";
import { CURSOR, KEPT, REPLICA } from "./keys.js";

/** @typedef {{log: string | null, head: number, tail: any | null, previous: string}} Cursor
 *   `tail`: the last record read, with its seal; `previous`: the seal before it */
/** @typedef {{id: string, log: string, record: any}} Copied */

/** @type {Cursor} */
export const NOTHING_READ = { log: null, head: 0, tail: null, previous: "" };

/** @returns {Promise<Cursor>} */
export const cursor = async () => (await get(KEPT, CURSOR)) ?? NOTHING_READ;

/**
 * Take what the laptop sent after the cursor.
 * @param {string} log
 * @param {any[]} records in the order of their numbers
 * @param {Cursor} before
 */
export function takeRecords(log, records, before) {
  const known = log === before.log ? before : NOTHING_READ;
  const tail = records.at(-1) ?? known.tail;
  const previous = records.length > 1 ? records.at(-2).seal : records.length ? (known.tail?.seal ?? "") : known.previous;
  return transact([REPLICA, KEPT], "readwrite", (transaction) => {
    for (const record of records) transaction.objectStore(REPLICA).put({ id: record.id, log, record });
    transaction.objectStore(KEPT).put({ log, head: tail?.seq ?? 0, tail, previous }, CURSOR);
  });
}

/**
 * Records of other logs than `log`, in their order: those that the laptop may have lost.
 * @param {string} log
 * @returns {Promise<Copied[]>}
 */
export async function recordsOfOtherLogs(log) {
  const [whole, here] = await Promise.all([count((store) => store.count()), count((store) => store.index("log").count(log))]);
  if (whole === here) return [];
  return (await all(REPLICA)).filter((item) => item.log !== log).sort((a, b) => a.log.localeCompare(b.log) || a.record.seq - b.record.seq);
}

/** All records, in the order of their numbers. @returns {Promise<Copied[]>} */
export const allRecords = async () => (await all(REPLICA)).sort((a, b) => a.record.seq - b.record.seq);

/** The laptop has answered for these: they are not offered to it again. @param {string} log @param {Copied[]} items */
export const markOffered = (log, items) =>
  transact(REPLICA, "readwrite", (transaction) => items.forEach((item) => transaction.objectStore(REPLICA).put({ ...item, log })));

const count = (asked) => transact(REPLICA, "readonly", (transaction) => asked(transaction.objectStore(REPLICA)));
