// What the laptop gave this phone to work alone with: the last snapshot, when it was fetched, and where the laptop was.

import { get, put } from "./db.js";
import { ADDRESSES, KEPT, SNAPSHOT } from "./keys.js";

/** @returns {Promise<any | null>} the last snapshot */
export const lastSnapshot = async () => (await get(KEPT, SNAPSHOT)) ?? null;

/**
 * The laptop's clock was `ahead` milliseconds ahead of this phone's when the snapshot was made.
 * @param {any} snapshot
 */
export const keepSnapshot = (snapshot) => put(KEPT, { ...snapshot, ahead: Date.parse(snapshot.now) - Date.now() }, SNAPSHOT);

/** The laptop's time now, by this phone's clock and what it was off by; never before the snapshot. @param {any} snapshot @returns {number} ms */
export const laptopNow = (snapshot) => Math.max(reckoned(snapshot), Date.parse(snapshot.now));

/** Whether this phone's clock shows a time before the snapshot: it was set back since. @param {any} snapshot */
export const wasSetBack = (snapshot) => reckoned(snapshot) < Date.parse(snapshot.now) - 60_000;

const reckoned = (snapshot) => Date.now() + (snapshot.ahead || 0);

/** @returns {Promise<{good: string, announced: string[]}>} where the laptop answered last, and where it said that it is */
export const knownAddresses = async () => (await get(KEPT, ADDRESSES)) ?? { good: "", announced: [] };

/** @param {{good: string, announced: string[]}} known */
export const keepAddresses = (known) => put(KEPT, known, ADDRESSES);
