// Every name under which this phone keeps something, and where.

/** localStorage: small texts that a page needs at once. */
export const LOCAL = {
  token: "pitcrew.token",
  device: "pitcrew.device",
  person: "pitcrew.person",
  role: "pitcrew.role",
  theme: "pitcrew.theme",
  typed: "pitcrew.typed",
  alone: "pitcrew.alone",
  walk: "pitcrew.walk",
  draft: "pitcrew.draft",
  oldQueue: "pitcrew.unsent",
  oldCursor: "pitcrew.cursor",
};

/** The IndexedDB database and its stores. */
export const DATABASE = "pitcrew";
export const OUTBOX = "outbox";
export const REPLICA = "replica";
export const PHOTOS = "photos";
export const KEPT = "kept";

/** Single values in the store `kept`. */
export const SNAPSHOT = "snapshot";
export const CURSOR = "cursor";
export const ADDRESSES = "addresses";
export const BUNDLE = "bundle";

/** The channels between one phone's tabs, and the locks on what only one of them may do at a time. */
export const CHANNEL = "pitcrew";
export const LOCK = "pitcrew.exchange";
