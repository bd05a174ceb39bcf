// Entries made on this phone that the laptop has not accepted yet. This small store keeps them in localStorage; whatever
// replaces it offers the same five functions.

const KEY = "pitcrew.unsent";

/** @typedef {{id: string, kind: string, at: string, robot: string | null, match: string | null, body: any, shape: number}} Entry */
/** @typedef {{entry: Entry, error?: string}} Kept */

/** @type {Kept[] | null} used where the browser's storage is switched off or full */
let memory = null;
const listeners = new Set();

/** Entries to hand over, oldest first; those the laptop refused are left out. @returns {Entry[]} */
export function waiting() {
  return all().filter((kept) => !kept.error).map((kept) => kept.entry);
}

/** Entries that the laptop refused, with its sentence. @returns {Kept[]} */
export function refused() {
  return all().filter((kept) => kept.error);
}

/**
 * Keep an entry until it is accepted.
 * @param {Entry} entry
 * @returns {boolean} false where it is kept in this page only
 */
export function keep(entry) {
  return save([...all(), { entry }]);
}

/**
 * The laptop's answer: accepted ones are let go, refused ones stay with the reason.
 * @param {string[]} accepted ids
 * @param {{id: string, error: string}[]} notTaken
 */
export function settle(accepted, notTaken) {
  const gone = new Set(accepted);
  const reasons = new Map(notTaken.map(({ id, error }) => [id, error]));
  const rest = all().filter(({ entry }) => !gone.has(entry.id));
  save(rest.map((kept) => (reasons.has(kept.entry.id) ? { entry: kept.entry, error: reasons.get(kept.entry.id) } : kept)));
}

/**
 * Call `listener` after every change.
 * @param {() => void} listener
 */
export function onChange(listener) {
  listeners.add(listener);
}

function all() {
  if (memory) return memory;
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? "[]");
  } catch {
    return [];
  }
}

function save(list) {
  if (!memory) {
    try {
      localStorage.setItem(KEY, JSON.stringify(list));
    } catch {
      memory = list;
    }
  } else {
    memory = list;
  }
  for (const listener of listeners) listener();
  return memory === null;
}
