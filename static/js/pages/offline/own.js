// What this phone's own corrections say of things that the laptop's snapshot holds, and the buttons to make one.

import { copyOf, el, wordsOf } from "../../lib/dom.js";
import { made } from "../../store/outbox.js";
import { correctionEntry } from "../walk/entries.js";

/**
 * The snapshot's items as this phone has corrected them since: what it took back is left out.
 * @template {{id: string}} T
 * @param {T[]} items
 * @param {any[]} entries in force, their corrections among them
 * @returns {T[]}
 */
export function corrected(items, entries) {
  const last = new Map(entries.filter(({ kind }) => kind === "correction").map(({ body }) => [body.of, body]));
  return items.filter(({ id }) => !last.has(id) || last.get(id).body).map((item) => ({ ...item, ...last.get(item.id)?.body }));
}

/** The entry as this phone made it; none where another made it. @param {string} id */
export const ownEntry = (id) => made().find((entry) => entry.id === id);

/** The last correction of an entry, or of a correction's own words, takes the place of what it said. @param {any} entry */
export const standing = (entry) => made().findLast(({ kind, body }) => kind === "correction" && body.of === entry.id)?.body.body ?? entry.body;

/** Everything that an entry said before, folded; nothing where it still says the same. @param {any} entry @param {(body: any) => string} said */
export function saidBefore(entry, said) {
  const later = made().filter(({ kind, body }) => kind === "correction" && body.of === entry.id);
  if (!later.length) return null;
  const stood = [entry, ...later.slice(0, -1)].map((item) => (item === entry ? item.body : item.body.body));
  return el("details", { class: "card" }, copyOf("said-before"), el("ol", { class: "stack-tight" }, ...stood.map((body) => el("li", {}, body ? said(body) : "taken back"))));
}

/** "Taken by mistake", for what this phone made. @param {any} entry @param {(entry: any, then: () => void) => void} save @param {() => void} then */
export function mistakeButton(entry, save, then) {
  const button = copyOf("by-mistake");
  button.setAttribute("type", "button");
  button.addEventListener("click", () => save(correctionEntry(entry, null, wordsOf("by-mistake")), then));
  return button;
}
