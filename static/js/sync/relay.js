// Another log than before: the laptop's was restored, or another laptop took over. The phone offers what it has read, with where
// each entry stood, so that its seal can be proven; its own entries that it never saw in a log go the ordinary way.

import { settle } from "../store/outbox.js";
import { markOffered, recordsOfOtherLogs } from "../store/replica.js";

const MOST = 100;

/**
 * @param {string} log the laptop's present one
 * @param {(message: object) => Promise<{status: number, answer: any} | null>} post
 * @returns {Promise<boolean>} whether the laptop has answered for all of it
 */
export async function relay(log, post) {
  let items = await recordsOfOtherLogs(log);
  for (let most = MOST; items.length; ) {
    const part = items.slice(0, most);
    const found = await post({ log: null, after: 0, entries: part.map(offered) });
    if (found?.status === 413 && part.length > 1) {
      most = Math.ceil(part.length / 2);
      continue;
    }
    if (found?.status !== 200) return false;
    await markOffered(log, part);
    await settle(log, found.answer.accepted, found.answer.refused);
    items = items.slice(part.length);
  }
  return true;
}

/** A record as it is offered to another log. @param {import("../store/replica.js").Copied} copied */
export function offered({ log, record }) {
  const { seq, seal, received_at, offset, judged, origin, ...entry } = record;
  return { ...entry, origin: origin ?? { log, seq, seal, received_at, offset, judged } };
}
