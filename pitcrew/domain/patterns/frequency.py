"""How often something went wrong, with its exact interval and the sentence that says both.

Matches with a fault out of all are a binomial share; faults in so many climbs, hours or cycles
(each counts) are a Poisson rate. The interval is two-sided whatever was counted, so that it covers
at least what it says (choosing its kind by the count would not:
tests/domain/patterns/test_calibration.py sums it up). Of a count of 0 the one-sided bound is told
first, and named as such.
"""

from dataclasses import dataclass

from pitcrew.domain.patterns.figured import figured

FEW = 20
"""Below this much exposure the page says aloud that the data are few (common practice: no rate from
fewer than 20 tries)."""
TWO_SIDED, ONE_SIDED = "exact, two-sided 95 %", "exact, one-sided 95 %"
PLURALS = {
    "match": "matches",
    "climb": "climbs",
    "hour": "hours",
    "cycle": "cycles",
    "reading": "readings",
}


@dataclass(frozen=True)
class Frequency:
    """`count` in `exposure` of a `unit` (match, climb, hour, cycle, reading). `low` and `high`
    bound the true share or rate, exact and two-sided 95 %; `upper` is the one-sided 95 % bound. Of
    a share, `count` is the matches with a fault; of a `rate` it is the faults.
    """

    count: int
    exposure: float
    unit: str
    low: float
    high: float
    upper: float
    rate: bool = False

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
        """Where a bar of it ends: 1 for a share, else the first whole number above the interval's
        end."""
        return float(max(1, int(self.high) + 1)) if self.rate else 1.0

    @property
    def brief(self) -> str:
        """`in 3 of 12 matches`, `in 12 climbs`: where the faults were counted."""
        tries = exposure_text(self.exposure, self.unit)
        return f"in {tries}" if self.rate else f"in {self.count} of {tries}"

    @property
    def sentence(self) -> str:
        """It in words, with how sure it is and by which interval."""
        if not self.exposure:
            return f"No {self.unit} is recorded, so nothing can be said of how often."
        tries = exposure_text(self.exposure, self.unit)
        if not self.count:
            return (
                f"0 in {tries} still allows up to {self._shown(self.upper)} a {self.unit}"
                f" ({ONE_SIDED}); the two-sided interval ends at {self._shown(self.high)}."
            )
        between = f"{self._shown(self.low)} and {self._shown(self.high)}"
        what = "rate" if self.rate else "share"
        faults = f" {'fault' if self.count == 1 else 'faults'}" if self.rate else ""
        return (
            f"{self.count}{faults} in {tries}: {self._shown(self.count / self.exposure)} a"
            f" {self.unit}; the true {what} lies between {between} ({TWO_SIDED})."
        )

    def _shown(self, number: float) -> str:
        return f"{number:.2g}" if self.rate else percent(number)


def exposure_text(exposure: float, unit: str) -> str:
    """`12 matches`, `1 match`, `0.6 hours`."""
    return f"{exposure:.3g} {unit if exposure == 1 else PLURALS[unit]}"


def share_of(hits: int, tries: int, unit: str = "match") -> Frequency:
    """Matches with a fault out of those played, or readings with a finding out of all."""
    if not tries:
        return Frequency(0, 0, unit, 0.0, 1.0, 1.0)
    extras = figured("share-interval", hits=hits, tries=tries).extras
    return Frequency(hits, tries, unit, extras["low"], extras["high"], extras["upper_one_sided"])


def rate_of(events: int, exposure: float, unit: str) -> Frequency:
    """Faults in so many matches, climbs, hours or cycles."""
    if not exposure:
        return Frequency(events, 0, unit, 0.0, 1.0, 1.0, rate=True)
    extras = figured("rate-interval", events=events, exposure=float(exposure)).extras
    return Frequency(
        events, exposure, unit, extras["low"], extras["high"], extras["upper_one_sided"], rate=True
    )


def percent(share: float) -> str:
    """`8 %`: a share as whole percent, one decimal below 10."""
    return f"{share * 100:.0f} %" if share >= 0.0995 or share == 0 else f"{share * 100:.1f} %"
