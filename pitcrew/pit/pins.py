"""PINs: short, so each is hashed slowly (scrypt), tries are counted before they are judged, and
every miss costs more time.

They belong to a person, not to a device, and are in `secrets/pins.json` (mode 0600); they are no
entries.
"""

import hashlib
import hmac
import secrets
import threading
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from pitcrew.base.clock import Clock
from pitcrew.base.errors import BadInput, Refused
from pitcrew.pit.roster import keep_secret, read_secret

SHORTEST, LONGEST = 4, 12
FREE_TRIES = 3
FIRST_WAIT = timedelta(seconds=15)
LONGEST_WAIT = timedelta(hours=1)
WORK = {"n": 2**14, "r": 8, "p": 1}
"""scrypt's cost: 16 MB and about 50 ms a try (RFC 7914's interactive setting)."""
_RUNS = ("01234567890", "09876543210")


class WrongPin(Refused):
    """A PIN that does not fit. `locked_for`: seconds until the next try counts, where this miss
    began or prolonged a lock-out."""

    def __init__(self, sentence: str, locked_for: float = 0.0) -> None:
        super().__init__(sentence, "pin")
        self.locked_for = locked_for


@dataclass(frozen=True)
class LockOut:
    """Someone or some address that has to wait, and until when."""

    who: str
    until: datetime


class Pins:
    """The PINs of one pit folder. Every change is on disk before the call returns."""

    def __init__(self, folder: Path, clock: Clock) -> None:
        self._path = folder / "secrets" / "pins.json"
        self._clock = clock
        self._lock = threading.Lock()
        self._hashes: dict[str, str] = read_secret(self._path, {})
        self._misses: dict[str, tuple[int, datetime]] = {}

    def has(self, person: str) -> bool:
        """Whether a person has set a PIN."""
        return person in self._hashes

    def set(self, person: str, new: str, old: str, address: str) -> None:
        """Set a PIN, or change it with the old one. Raises BadInput for a weak one and WrongPin for
        a wrong old one."""
        if not _is_pin(new):
            raise BadInput(f"A PIN has {SHORTEST} to {LONGEST} digits. Choose another.", "new")
        if len(set(new)) == 1 or any(new in run for run in _RUNS):
            raise BadInput("That PIN is among the first that anybody tries. Choose another.", "new")
        if self.has(person):
            self.check(person, old, address)
        self._store(person, _hashed(new))

    def check(self, person: str, typed: str, address: str) -> None:
        """Return where the PIN is the person's. Raises WrongPin, and Refused where none is set."""
        stored = self._hashes.get(person)
        if stored is None:
            raise Refused("You have no PIN yet. Set one on the People page first.", "pin")
        names = (f"person {person}", f"address {address}")
        with self._lock:
            self._refuse_while_waiting(names)
            misses = self._count(names)
        if _fits(stored, typed):
            with self._lock:
                for name in names:
                    self._misses.pop(name, None)
            return
        wait = _wait_after(misses)
        later = f" Wait {wait.total_seconds():.0f} s before the next try." if wait else ""
        raise WrongPin(f"That is not your PIN.{later}", wait.total_seconds())

    def reset(self, person: str) -> None:
        """Take a lost PIN away, so that the person sets a new one. Raises BadInput where there is
        none."""
        if not self.has(person):
            raise BadInput(f"{person} has no PIN.")
        self._store(person, None)

    def locked_out(self) -> list[LockOut]:
        """Who has to wait now."""
        now = self._clock()
        ends = [
            LockOut(name.partition(" ")[2], last + _wait_after(misses))
            for name, (misses, last) in list(self._misses.items())
        ]
        return [item for item in ends if item.until > now]

    def _refuse_while_waiting(self, names: tuple[str, ...]) -> None:
        now = self._clock()
        ends = [
            last + _wait_after(misses)
            for misses, last in (self._misses.get(name, (0, now)) for name in names)
        ]
        left = (max(ends) - now).total_seconds()
        if left > 0:
            raise WrongPin(f"Too many wrong PINs. Wait {left:.0f} s and try again.")

    def _count(self, names: tuple[str, ...]) -> int:
        """Count a try as a miss until it turns out right, so that many at once are no more than one
        after the other."""
        now = self._clock()
        for name in names:
            self._misses[name] = (self._misses.get(name, (0, now))[0] + 1, now)
        return max(self._misses[name][0] for name in names)

    def _store(self, person: str, hashed: str | None) -> None:
        with self._lock:
            kept = {name: held for name, held in self._hashes.items() if name != person}
            if hashed is not None:
                kept[person] = hashed
            keep_secret(self._path, kept)
            self._hashes = kept
            self._misses.pop(f"person {person}", None)


def _wait_after(misses: int) -> timedelta:
    return (
        min(FIRST_WAIT * 2 ** min(misses - FREE_TRIES, 20), LONGEST_WAIT)
        if misses >= FREE_TRIES
        else timedelta(0)
    )


def _is_pin(text: str) -> bool:
    return text.isascii() and text.isdigit() and SHORTEST <= len(text) <= LONGEST


def _hashed(pin: str) -> str:
    salt = secrets.token_bytes(16)
    return f"{salt.hex()}:{hashlib.scrypt(pin.encode(), salt=salt, **WORK).hex()}"


def _fits(stored: str, typed: str) -> bool:
    """Whether it is the PIN; the hash alone would take one with NULs behind it, too (HMAC fills its
    key up with them)."""
    salt, _, wanted = stored.partition(":")
    found = hashlib.scrypt(typed[:LONGEST].encode(), salt=bytes.fromhex(salt), **WORK).hex()
    return _is_pin(typed) and hmac.compare_digest(found, wanted)
