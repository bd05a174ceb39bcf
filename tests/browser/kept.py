"""What a phone keeps in its database, read from outside."""

from typing import Any

READ = """async (store) => {
  const open = indexedDB.open("pitcrew");
  const db = await new Promise((resolve, reject) => {
    open.onsuccess = () => resolve(open.result);
    open.onerror = () => reject(open.error);
  });
  if (!db.objectStoreNames.contains(store)) { db.close(); return []; }
  const asked = db.transaction(store).objectStore(store).getAll();
  const found = await new Promise((resolve) => { asked.onsuccess = () => resolve(asked.result); });
  db.close();
  return found.map((item) => (item.bytes ? { ...item, bytes: item.bytes.byteLength } : item));
}"""


def kept(tab: Any, store: str = "outbox") -> list[dict[str, Any]]:
    """Everything in one store of the phone's database; of photos the length instead of the
    bytes."""
    return tab.evaluate(READ, store)


def unsent(tab: Any) -> list[dict[str, Any]]:
    """Entries made on the phone that no laptop has answered for."""
    return [item["entry"] for item in kept(tab) if item["state"] == "unsent"]
