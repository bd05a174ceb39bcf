// Finds the laptop: its addresses are tried one after the other, the one that answered last first. The app itself lives at one
// address forever; the others are only places to send to.

import { typedAddress } from "../store/device.js";
import { keepAddresses, knownAddresses } from "../store/snapshot.js";

/** A network that leads nowhere hangs instead of refusing. */
export const TIMEOUT = 5_000;
const NOWHERE = { good: "", announced: [] };

/**
 * Asks the laptop at each known address until one answers in pitcrew's own form; null where none does.
 * @param {string} path
 * @param {RequestInit} asked
 * @returns {Promise<{base: string, status: number, answer: any} | null>}
 */
export async function reach(path, asked) {
  const known = await knownAddresses().catch(() => NOWHERE);
  for (const base of candidates(known)) {
    const found = await ask(base, path, asked);
    if (!found) continue;
    if (base !== known.good) await keepAddresses({ ...known, good: base }).catch(() => {});
    return found;
  }
  return null;
}

/**
 * Keep the addresses where the laptop says it can be found next time.
 * @param {unknown} announced
 */
export async function keepAnnounced(announced) {
  if (!Array.isArray(announced)) return;
  const known = await knownAddresses().catch(() => NOWHERE);
  await keepAddresses({ ...known, announced: announced.filter((base) => typeof base === "string") }).catch(() => {});
}

/**
 * Last good, own, announced, typed. The laptop lets no page ask across addresses but the app's, which is on https and may only ask
 * https; a page on plain http has its own address alone.
 * @param {{good: string, announced: string[]}} known
 */
function candidates({ good, announced }) {
  if (location.protocol === "http:") return [location.origin];
  return [...new Set([good, location.origin, ...announced, typedAddress()])].filter((base) => base.startsWith("https:"));
}

/** An answer that is not JSON comes from something else: the venue's portal, or a dead proxy. */
async function ask(base, path, asked) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), TIMEOUT);
  try {
    const response = await fetch(base + path, { ...asked, signal: stop.signal, credentials: "omit", redirect: "error", cache: "no-store" });
    if (!response.headers.get("Content-Type")?.startsWith("application/json")) return null;
    return { base, status: response.status, answer: await response.json() };
  } catch {
    return null;
  } finally {
    clearTimeout(timer);
  }
}
