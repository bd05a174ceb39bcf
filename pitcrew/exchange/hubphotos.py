"""Photos between a second laptop and its hub: a part at a time, both ways, from where an earlier
run broke off."""

import hashlib
from typing import Any, Literal

from pitcrew.exchange.hub import HubRequest
from pitcrew.pit.photos import PhotoPart, PhotoStore, is_photo_id
from pitcrew.pit.pit import Pit

PART = 64 * 1024
"""Bytes of a photo in one request: an entry never waits behind more than that."""
FROM = ("hub", "hub")
REFUSED = (400, 413, 415)
PhotoOutcome = Literal["done", "more", "later"]
"""`done`: both have it, or the hub will never take it; `later`: not now, others first."""


class HubPhotos:
    """Brings this laptop and its hub to the same photos."""

    def __init__(self, pit: Pit, photos: PhotoStore, ask: HubRequest) -> None:
        self._pit, self._photos, self._ask = pit, photos, ask
        self._log: str | None = None
        self._seen = 0
        self._named: dict[str, None] = {}
        self._done: set[str] = set()
        self._later: set[str] = set()

    def here(self) -> list[str]:
        """The photos that this laptop holds whole."""
        return self._photos.ids()

    def step(self, log: str | None) -> bool:
        """Move one part of one photo, or ask for one; False once this round has come to its end.
        Raises OSError.

        `log` is the hub's: with another one it may have lost its photos, and all are offered to it
        again.
        """
        if log != self._log:
            self._log = log
            self._done.clear()
        here = self.here()
        for photo_id in (*here, *self._named_now()):
            if photo_id not in self._done and photo_id not in self._later:
                outcome = self._give(photo_id) if photo_id in here else self._fetch(photo_id)
                if outcome != "more":
                    (self._done if outcome == "done" else self._later).add(photo_id)
                return True
        self._later.clear()
        return False

    def _named_now(self) -> dict[str, None]:
        """The photos that entries here name, in their order."""
        for record in self._pit.journal.after(self._seen):
            self._seen = record["seq"]
            self._named.update(dict.fromkeys(filter(is_photo_id, _photos_of(record["body"]))))
        return self._named

    def _give(self, photo_id: str) -> PhotoOutcome:
        raw = self._photos.jpeg(photo_id)
        path = f"/api/photos/{photo_id}?sha256={hashlib.sha256(raw).hexdigest()}"
        status, headers, _ = self._ask("HEAD", path, None, {})
        if status == 200 and "x-stored" in headers:
            return "done"
        if status == 200:
            start = min(int(headers.get("x-held", 0)), len(raw) - 1)
            part = raw[start : start + PART]
            place = {
                "Content-Range": f"bytes {start}-{start + len(part) - 1}/{len(raw)}",
                "Content-Type": "image/jpeg",
            }
            status, _, _ = self._ask("PUT", path, part, place)
        if status == 202:
            return "more"
        return "done" if status == 200 or status in REFUSED else "later"

    def _fetch(self, photo_id: str) -> PhotoOutcome:
        path = f"/api/photos/{photo_id}"
        status, headers, _ = self._ask("HEAD", path, None, {})
        stored = headers.get("x-stored", "")
        if status != 200 or not stored:
            return "later"
        start = self._photos.held(photo_id, stored)
        status, headers, content = self._ask(
            "GET", path, None, {"Range": f"bytes={start}-{start + PART - 1}"}
        )
        if status != 206:
            return "later"
        part = PhotoPart(start, int(headers["content-range"].rpartition("/")[2]), content, stored)
        return "done" if self._photos.put(photo_id, part, *FROM) else "more"


def _photos_of(body: dict[str, Any]) -> list[str]:
    """What a body names, that of a correction included."""
    return [*body.get("photos", []), *((body.get("body") or {}).get("photos") or [])]
