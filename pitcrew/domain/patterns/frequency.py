"""How often something went wrong, with its exact interval and the sentence that says both.

Matches are tries that hit or not, so their share is binomial; climbs, hours and cycles count every fault, so theirs is a rate.
"""

from dataclasses import dataclass

from pitcrew.engineering.catalogue import find

FEW = 20
"""Below this much exposure the page says aloud that the data are few (common practice: no rate from fewer than 20 tries)."""
TWO_SIDED, ONE_SIDED = "exact, two-sided 95 %", "exact, one-sided 95 %"
PLURALS = {"match": "matches", "climb": "climbs", "hour": "hours", "cycle": "cycles"}


@dataclass(frozen=True)
class Frequency:
    """`count` in `exposure` of a `unit` (match, climb, hour, cycle). `low` and `high` bound the true share or rate; `interval`
    tells how. Of matches, `count` is those with a fault; of the others it is the faults."""

    count: int
    exposure: float
    unit: str
    low: float
    high: float
    interval: str

    @property
    def value(self) -> float | None:
        """The share or rate as counted; None without exposure."""
        return self.count / self.exposure if self.exposure else None

    @property
    def few(self) -> bool:
        """Whether it rests on so little that it is a hint only."""
        return self.exposure < FEW

    @property
    def top(self) -> float:
        """Where a bar of it ends: 1 for a share, else the first whole number above the interval's end."""
        return 1.0 if self.unit == "match" else float(max(1, int(self.high) + 1))

    @property
    def sentence(self) -> str:
        """It in words, with how sure it is and by which interval."""
        if not self.exposure:
            return f"No {self.unit} is recorded, so nothing can be said of how often."
        tries = exposure_text(self.exposure, self.unit)
        if not self.count:
            return f"0 in {tries} still allows up to {self._shown(self.high)} a {self.unit} ({self.interval})."
        between = f"{self._shown(self.low)} and {self._shown(self.high)}"
        what = "share" if self.unit == "match" else "rate"
        return (f"{self.count} in {tries}: {self._shown(self.count / self.exposure)} a {self.unit}; the true {what} lies between "
                f"{between} ({self.interval}).")

    def _shown(self, number: float) -> str:
        return percent(number) if self.unit == "match" else f"{number:.2g}"


def exposure_text(exposure: float, unit: str) -> str:
    """`12 matches`, `1 match`, `0.6 hours`."""
    return f"{exposure:.3g} {unit if exposure == 1 else PLURALS[unit]}"


def share_of(hits: int, tries: int) -> Frequency:
    """Matches with a fault out of those played: two-sided, or the one-sided upper bound where nothing was hit."""
    if not tries:
        return Frequency(0, 0, "match", 0.0, 1.0, ONE_SIDED)
    extras = find("share-interval").compute({"hits": hits, "tries": tries}).extras
    if hits:
        return Frequency(hits, tries, "match", extras["low"], extras["high"], TWO_SIDED)
    return Frequency(0, tries, "match", 0.0, extras["upper_one_sided"], ONE_SIDED)


def rate_of(events: int, exposure: float, unit: str) -> Frequency:
    """Faults in so many climbs, hours or cycles: two-sided, or the one-sided upper bound where nothing happened."""
    if not exposure:
        return Frequency(events, 0, unit, 0.0, 1.0, ONE_SIDED)
    extras = find("rate-interval").compute({"events": events, "exposure": float(exposure)}).extras
    if events:
        return Frequency(events, exposure, unit, extras["low"], extras["high"], TWO_SIDED)
    return Frequency(0, exposure, unit, 0.0, extras["upper_one_sided"], ONE_SIDED)


def percent(share: float) -> str:
    """`8 %`: a share as whole percent, one decimal below 10."""
    return f"{share * 100:.0f} %" if share >= 0.0995 or share == 0 else f"{share * 100:.1f} %"
