// The phone's database: promises over IndexedDB, and nothing more. A write is done when its transaction says complete.

import { DATABASE, KEPT, OUTBOX, PHOTOS, REPLICA } from "./keys.js";

/** Each one upgrades the previous version to the next; only ever add to the end. */
const MIGRATIONS = [
  (db) => {
    db.createObjectStore(OUTBOX, { keyPath: "id" });
    db.createObjectStore(REPLICA, { keyPath: "id" }).createIndex("log", "log");
    db.createObjectStore(PHOTOS, { keyPath: "id" });
    db.createObjectStore(KEPT);
  },
];
const TRIES = 3;
const LOST = ["InvalidStateError", "UnknownError", "AbortError"];

/** Something could not be kept on this phone; `sentence` is for the person. */
export class NotKept extends Error {
  /** @param {string} sentence @param {unknown} [cause] */
  constructor(sentence, cause) {
    super(sentence, { cause });
    this.sentence = sentence;
  }
}

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

/**
 * Runs `work` in one transaction. It must make all its requests at once, awaiting nothing in between; the result of its
 * request is returned once the transaction is complete. A lost connection, as iOS loses it, is opened again.
 * @template T
 * @param {string | string[]} stores
 * @param {"readonly" | "readwrite"} mode
 * @param {(transaction: IDBTransaction) => IDBRequest<T> | void} work
 * @returns {Promise<T>}
 */
export async function transact(stores, mode, work) {
  for (let tried = 1; ; tried += 1) {
    try {
      return await once(await open(), stores, mode, work);
    } catch (error) {
      if (tried >= TRIES || !LOST.includes(error?.name)) throw explained(error);
      forget();
    }
  }
}

/** @template T @param {string} store @param {IDBValidKey} key @returns {Promise<T | undefined>} */
export const get = (store, key) => transact(store, "readonly", (transaction) => transaction.objectStore(store).get(key));

/** @template T @param {string} store @returns {Promise<T[]>} */
export const all = (store) => transact(store, "readonly", (transaction) => transaction.objectStore(store).getAll());

/** @param {string} store @param {any} value @param {IDBValidKey} [key] */
export const put = (store, value, key) => transact(store, "readwrite", (transaction) => void transaction.objectStore(store).put(value, key));

function once(db, stores, mode, work) {
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(stores, mode, { durability: "strict" });
    let request;
    transaction.oncomplete = () => resolve(request?.result);
    transaction.onabort = () => reject(transaction.error ?? new DOMException("The transaction was cut off.", "AbortError"));
    request = work(transaction);
  });
}

function open() {
  opened ??= new Promise((resolve, reject) => {
    if (typeof indexedDB === "undefined") throw new DOMException("There is no database here.", "NotFoundError");
    const request = indexedDB.open(DATABASE, MIGRATIONS.length);
    request.onupgradeneeded = ({ oldVersion }) => MIGRATIONS.slice(oldVersion).forEach((migrate) => migrate(request.result));
    request.onblocked = () => reject(new NotKept("Another pitcrew page on this phone holds its store in an older form. Close the others."));
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      const db = request.result;
      db.onversionchange = db.onclose = () => {
        db.close();
        forget();
      };
      resolve(db);
    };
  });
  opened.catch(forget);
  return opened;
}

function forget() {
  opened = null;
}

function explained(error) {
  if (!(error instanceof DOMException)) return error;
  const full = error.name === "QuotaExceededError";
  return new NotKept(full ? "This phone's storage is full. Delete something else on it, then keep this again." : "This phone's browser does not let pitcrew keep anything. Private windows do that; use an ordinary one.", error);
}
