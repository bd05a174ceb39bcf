// Hand-over without any link: what this phone holds, as one text that proves itself by its hash and this device by its token, and what follows once the
// laptop's receipt shows that it has it.

import { canonical } from "../lib/canonical.js";
import { receiptOf } from "../lib/receipt.js";
import { hmacHex, sha256Hex } from "../lib/sha256.js";
import { get, put } from "../store/db.js";
import { owner, token } from "../store/device.js";
import { BUNDLE, KEPT } from "../store/keys.js";
import { made, settle, waiting } from "../store/outbox.js";
import { allRecords, cursor } from "../store/replica.js";
import { offered } from "./relay.js";

/** @typedef {{text: string, name: string, sha256: string, ids: string[], log: string | null}} Bundle `ids`: own entries in it */

/**
 * @param {boolean} everything also what this phone has read of the log, for a laptop that starts from nothing
 * @returns {Promise<Bundle>}
 */
export async function makeBundle(everything) {
  const { device, person } = owner();
  const { log } = await cursor();
  const entries = everything ? await allEntries() : waiting();
  const bare = { pitcrew: "bundle", version: 1, device, person, log, made_at: new Date().toISOString(), entries };
  const rest = { ...bare, proof: hmacHex(sha256Hex(token() ?? ""), canonical(bare)) };
  const sha256 = sha256Hex(canonical(rest));
  const bundle = { text: JSON.stringify({ ...rest, sha256 }), name: `pitcrew-${person || "phone"}-${rest.made_at.slice(0, 16).replace(/[:T]/g, "-")}.json`.toLowerCase(),
    sha256, ids: waiting().map((entry) => entry.id), log };
  await put(KEPT, { sha256, ids: bundle.ids, log }, BUNDLE);
  return bundle;
}

/** What was read of the log, with each entry's place in it, then what this phone made and never saw there. */
async function allEntries() {
  const records = await allRecords();
  const read = new Set(records.map((item) => item.id));
  return [...records.map(offered), ...made().filter((entry) => !read.has(entry.id))];
}

/**
 * The laptop's receipt was typed: if it is that of the last bundle, its entries are handed over.
 * @param {string} typed
 * @returns {Promise<boolean>}
 */
export async function takeReceipt(typed) {
  const last = await get(KEPT, BUNDLE);
  if (!last || receiptOf(last.sha256) !== typed) return false;
  await settle(last.log, last.ids.map((id) => ({ id, seq: Infinity })), []);
  return true;
}
