"""Entries that were refused: held aside with the reason, so that the laptop shows them too, until
they are accepted after all.

The phone that made one keeps it as well; so this file may be lost, and a disk that is full costs
nothing but the list.
"""

import json
import threading
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from pitcrew.base.clock import format_instant
from pitcrew.pit.roster import read_secret, write_secret

FILE = "refused.json"
MOST = 50
"""Entries held of one device: a phone gone wild pushes out no other's."""
LONGEST = 4000


@dataclass(frozen=True)
class Held:
    """A refused entry: who offered it from which device and when, why it was refused, and its body,
    as JSON cut to 4000 letters."""

    id: str
    kind: str
    device: str
    person: str
    refused_at: str
    error: str
    text: str


class Quarantine:
    """The refused entries of one pit folder."""

    def __init__(self, folder: Path, clock: Callable[[], datetime]) -> None:
        self._path, self._clock = folder / FILE, clock
        self._lock = threading.Lock()
        self._held = {item["id"]: Held(**item) for item in read_secret(self._path, [])}

    def hold(self, refused: Iterable[tuple[Any, str]], device: str, person: str) -> None:
        """Hold what a device offered and why it was refused; the same again changes nothing."""
        now = format_instant(self._clock())
        made = [_held(item, error, device, person, now) for item, error in refused]
        with self._lock:
            fresh = [
                item
                for item in made
                if item.id not in self._held or self._held[item.id].error != item.error
            ]
            if not fresh:
                return
            for item in fresh:
                self._held.pop(item.id, None)
                self._held[item.id] = item
            own = [name for name, item in self._held.items() if item.device == device[:80]]
            for name in own[:-MOST]:
                del self._held[name]
            self._keep()

    def release(self, accepted: Iterable[str]) -> None:
        """What was accepted after all is held no longer."""
        with self._lock:
            found = [name for name in accepted if self._held.pop(name, None)]
            if found:
                self._keep()

    def held(self) -> list[Held]:
        """What is refused still, the newest first."""
        with self._lock:
            return list(reversed(self._held.values()))

    def _keep(self) -> None:
        with suppress(OSError):
            write_secret(self._path, [asdict(item) for item in self._held.values()])


def _held(item: Any, error: str, device: str, person: str, now: str) -> Held:
    fields = item if isinstance(item, dict) else {}
    name, kind, maker = (str(fields.get(field, ""))[:80] for field in ("id", "kind", "person"))
    who = maker if "origin" in fields and maker else person[:80]
    return Held(
        *map(
            _readable,
            (name, kind, device[:80], who, now, error, _text_of(fields.get("body", item))),
        )
    )


def _readable(text: str) -> str:
    """A text that a page can show: half a letter, which no encoding has, as a question mark."""
    return text.encode(errors="replace").decode()


def _text_of(body: Any) -> str:
    try:
        return json.dumps(body, ensure_ascii=False)[:LONGEST]
    except RecursionError:
        return "nested too deeply to be shown"
