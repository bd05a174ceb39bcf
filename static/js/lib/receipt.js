// The short code by which a person sees that the laptop has this very bundle; the same as pitcrew/exchange/bundle.py makes.

import { sha256 } from "./sha256.js";

/** The letters of join codes: none that is taken for another. */
const LETTERS = "ABCDEFGHJKMNPQRTUVWXY346789";
const LENGTH = 6;

/**
 * @param {string} digest the bundle's SHA-256 in hex
 * @returns {string} such as `K7MQ4R`
 */
export function receiptOf(digest) {
  const bytes = digest.match(/../g).map((pair) => parseInt(pair, 16));
  const hashed = sha256(Uint8Array.from([...new TextEncoder().encode("receipt"), ...bytes]));
  return Array.from(hashed.subarray(0, LENGTH), (byte) => LETTERS[byte % LETTERS.length]).join("");
}

/** A code as typed, without what people put between. @param {string} typed */
export const plainReceipt = (typed) => typed.toUpperCase().replace(/[^A-Z0-9]/g, "");
