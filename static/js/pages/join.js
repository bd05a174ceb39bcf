// Join: takes the code from the link's fragment, and keeps on this phone what the laptop gave it.

import { embedded, one } from "../lib/dom.js";
import { keepJoined } from "../store/device.js";

/** Starts the page. */
export function start() {
  const given = embedded("joined");
  if (given) keepAndGo(given);
  else fillCode();
}

/** @param {import("../store/device.js").Joined & {next: string}} given */
function keepAndGo({ next, ...joined }) {
  if (keepJoined(joined)) location.replace(next); // else the button leads on, and Walk will say what it needs
}

/** The code stands behind `#`, which browsers do not send: it is in no server log. It is taken out of the address at once. */
function fillCode() {
  const code = location.hash.slice(1);
  if (!/^[0-9A-Za-z-]{4,20}$/.test(code)) return;
  const field = /** @type {HTMLInputElement} */ (one("#code"));
  field.value = code;
  history.replaceState(null, "", location.pathname + location.search);
  one("#name")?.focus();
}
