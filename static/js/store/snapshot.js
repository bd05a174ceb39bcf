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

/** The laptop's time now, by this phone's clock and what it was off by. @param {any} snapshot @returns {number} ms */
export const laptopNow = (snapshot) => Date.now() + (snapshot.ahead || 0);

/** @returns {Promise<{good: string, announced: string[]}>} where the laptop answered last, and where it said that it is */
export const knownAddresses = async () => (await get(KEPT, ADDRESSES)) ?? { good: "", announced: [] };

/** @param {{good: string, announced: string[]}} known */
export const keepAddresses = (known) => put(KEPT, known, ADDRESSES);
