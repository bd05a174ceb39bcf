"""Waits for wrong join codes: counted by code, by browser and by address, doubling with every miss.

Phones of one crew often share one address (a tether, the shop's network), so a browser that guesses
must not hold up the others behind it: each browser has its own free tries, and an address as a
whole has many more. One code is tried a few times only, wherever the tries come from.
"""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from pitcrew.base.clock import Clock
from pitcrew.base.errors import Refused

FREE_TRIES = 5
"""Wrong codes of one browser, or with one code, that cost no time."""
FREE_TRIES_OF_ADDRESS = 40
"""The same for all browsers of one address together."""
LONGEST_WAIT = timedelta(minutes=10)
FORGET = timedelta(hours=12)


class Waits:
    """The misses since the program started, by name. The caller holds the roster's lock."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._misses: dict[str, tuple[int, datetime]] = {}

    def of(self, code: str, address: str, browser: str) -> "Tries":
        """What counts for one try: `code` is the hash of what was typed. Without a browser's mark
        (another program, a second laptop) the address stands for it."""
        limits = {f"code {code}": FREE_TRIES, f"browser {browser or address}": FREE_TRIES}
        if browser:
            limits[f"address {address}"] = FREE_TRIES_OF_ADDRESS
        return Tries(self._clock(), self._misses, limits)


@dataclass(frozen=True)
class Tries:
    """One try at a code at the time `now`; `limits`: free tries by name."""

    now: datetime
    misses: dict[str, tuple[int, datetime]]
    limits: dict[str, int] = field(default_factory=dict)

    def refuse_while_waiting(self) -> None:
        """Raise Refused while one of the names has to wait."""
        left = max(self._left(name, free) for name, free in self.limits.items())
        if left > 0:
            raise Refused(
                f"Too many wrong codes from here. Wait {left:.0f} s and type the code again.",
                "code",
            )

    def count_miss(self) -> None:
        """The code was wrong."""
        for name in [name for name, (_, last) in self.misses.items() if last + FORGET < self.now]:
            del self.misses[name]
        for name in self.limits:
            self.misses[name] = (self.misses.get(name, (0, self.now))[0] + 1, self.now)

    def forget(self) -> None:
        """The code was right: this browser and this code start from zero. What others behind the
        same address guessed still counts."""
        for name in self.limits:
            if not name.startswith("address "):
                self.misses.pop(name, None)

    def _left(self, name: str, free: int) -> float:
        """Seconds that a name has to wait still."""
        misses, last = self.misses.get(name, (0, self.now))
        if misses < free:
            return 0.0
        wait = min(timedelta(seconds=2 ** min(misses - free, 12)), LONGEST_WAIT)
        return (last + wait - self.now).total_seconds()
