// What this phone knows about itself: its key to the laptop, given when it joined.

import { LOCAL } from "./keys.js";

/** @returns {string | null} */
export const token = () => read(LOCAL.token);

/** @typedef {{token: string, device: string, person: string, role: string}} Joined */

/** The id under which this phone joined, and who joined with it. */
export const owner = () => ({ device: read(LOCAL.device) ?? "", person: read(LOCAL.person) ?? "", role: read(LOCAL.role) ?? "" });

/** Keep what the laptop gave on joining; whether that worked. @param {Joined} joined */
export const keepJoined = ({ token: key, device, person, role }) =>
  write(LOCAL.device, device) && write(LOCAL.person, person) && write(LOCAL.role, role) && write(LOCAL.token, key);

/** An address of the laptop that someone typed; empty for none. */
export const typedAddress = () => read(LOCAL.typed) ?? "";

/** @param {string} address */
export const keepTypedAddress = (address) => write(LOCAL.typed, address);

/** Whether the person was told that this phone can work alone; said once. */
export const saidAlone = () => read(LOCAL.alone) !== null;

export const keepSaidAlone = () => write(LOCAL.alone, "yes");

/**
 * Keep the key that a page carries in `data-device-token` right after joining.
 * @param {ParentNode} page
 */
export function takeToken(page) {
  const given = /** @type {HTMLElement | null} */ (page.querySelector("[data-device-token]"))?.dataset.deviceToken;
  if (given) write(LOCAL.token, given);
}

function read(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

function write(key, value) {
  try {
    localStorage.setItem(key, value);
    return true;
  } catch {
    return false; // Storage is switched off: this page's entries can still be sent, the next page will ask to join again.
  }
}
