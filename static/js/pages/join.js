// Join: takes the code from the link's fragment, and keeps on this phone what the laptop gave it.

import { embedded, one } from "../lib/dom.js";

/** Starts the page. */
export function start() {
  const given = embedded("joined");
  if (given) keepAndGo(given);
  else fillCode();
}

/** @param {{token: string, person: string, role: string, next: string}} given */
function keepAndGo({ token, person, role, next }) {
  try {
    for (const [name, value] of Object.entries({ token, person, role })) localStorage.setItem(`pitcrew.${name}`, value);
  } catch {
    return; // Storage is switched off: the button leads on, and Walk will say what it needs.
  }
  location.replace(next);
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
