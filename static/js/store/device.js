// What this phone knows about itself: its key to the laptop (given when it joined).

const TOKEN = "pitcrew.token";
const LOG = "pitcrew.log";

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

/** The log id that this phone last met. @returns {string | null} */
export function knownLog() {
  return read(LOG);
}

/** @param {string} log */
export function keepLog(log) {
  write(LOG, log);
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
