// How far a walk has come, kept on this phone: a locked screen or a reload loses no step and nothing that was typed.

import { LOCAL } from "./keys.js";

const WALK_LASTS = 3 * 3600_000;
/** A number typed longer ago than this may belong to another measurement. */
const TYPED_LASTS = 10 * 60_000;

/** @typedef {{key: string, label: string, part_label: string, zone: string}} Step */
/** @typedef {{wish: string, since: number, steps: Step[]}} Progress */

/** @param {string} wish what the walk's address asks for @param {number} [now] @returns {Progress} the walk that goes on, or a new one */
export function walkFor(wish, now = Date.now()) {
  const found = read(LOCAL.walk);
  return found?.wish === wish && recent(found.since, now, WALK_LASTS) ? found : { wish, since: now, steps: [] };
}

/** @param {Progress} progress */
export const keepWalk = (progress) => write(LOCAL.walk, progress);

export const endWalk = () => write(LOCAL.walk, null);

/** What was typed for a check and not kept yet, by input. @param {string} key @returns {Record<string, string>} */
export function typedFor(key, now = Date.now()) {
  const found = read(LOCAL.draft);
  return found?.key === key && recent(found.at, now, TYPED_LASTS) ? found.typed : {};
}

/** @param {string} key @param {Record<string, string>} typed */
export const keepTyped = (key, typed) => write(LOCAL.draft, { key, typed, at: Date.now() });

export const forgetTyped = () => write(LOCAL.draft, null);

const recent = (then, now, most) => then <= now && now - then < most;

function read(name) {
  try {
    return JSON.parse(localStorage.getItem(name) ?? "null");
  } catch {
    return null;
  }
}

function write(name, value) {
  try {
    if (value === null) localStorage.removeItem(name);
    else localStorage.setItem(name, JSON.stringify(value));
  } catch {
    return; // Storage is switched off or full: the walk goes on, and a reload begins it again.
  }
}
