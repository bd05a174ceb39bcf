// What this phone knows about itself: its key to the laptop (given when it joined).

const TOKEN = "pitcrew.token";
const CURSOR = "pitcrew.cursor";

/** @returns {string | null} */
export function token() {
  return read(TOKEN);
}

/**
 * Keep the key that a page carries in `data-device-token` right after joining.
 * @param {ParentNode} page
 */
export function takeToken(page) {
  const given = /** @type {HTMLElement | null} */ (page.querySelector("[data-device-token]"))?.dataset.deviceToken;
  if (given) write(TOKEN, given);
}

/**
 * How far this phone has read which log.
 * @returns {{log: string | null, head: number}}
 */
export function cursor() {
  try {
    return JSON.parse(read(CURSOR) ?? "null") ?? { log: null, head: 0 };
  } catch {
    return { log: null, head: 0 };
  }
}

/**
 * @param {string} log
 * @param {number} head
 */
export function keepCursor(log, head) {
  write(CURSOR, JSON.stringify({ log, head }));
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
  } catch {
    // Storage is switched off: this page's readings can still be sent, the next page will ask to join again.
  }
}
