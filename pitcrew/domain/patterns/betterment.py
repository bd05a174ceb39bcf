"""Is it getting better? Faults against matches, with tests that are exact for few faults, in one
honest sentence.

A fault in match i happened somewhere in it and is put at i - 1/2, so that a steady robot has its
faults in the middle on average.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import counted
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.patterns.figured import figured
from pitcrew.domain.patterns.frequency import exposure_text
from pitcrew.domain.patterns.record import Record, Scope, kept

SURE = 0.05
FURTHEST, MOST_FOR_NEEDED = 200, 200
LATELY = 6
ALARM = 0.02
"""Lately worse is said where so many faults in the last LATELY matches have at most this chance at
a steady rate. Looked at after each match of an event, a steady robot raises less than 0.1 alarms an
event; a threefold rise is noticed within 6 matches in 25 % of cases at 0.2 faults a match, 59 % at
0.5, 85 % at 1 (simulated in tests/domain/patterns/test_calibration.py)."""


@dataclass(frozen=True)
class Lately:
    """The last matches against those before: `p` is the chance of so many or more at one steady
    rate (exact)."""

    faults: int
    matches: int
    before: int
    matches_before: int
    p: float

    @property
    def alarm(self) -> bool:
        """Whether something has changed for the worse."""
        return self.p <= ALARM

    @property
    def sentence(self) -> str:
        """The two counts, and whether they say anything."""
        counts = (
            f"{self.faults} in the last {exposure_text(self.matches, 'match')}, {self.before} in"
            f" the {self.matches_before} before"
        )
        return (
            f"Lately worse: {counts} (exact p = {self.p:.2g})."
            if self.alarm
            else f"{counts} (exact p = {self.p:.2g}): no change shows."
        )


@dataclass(frozen=True)
class Betterment:
    """The faults that are looked at, against matches; `times` go with `faults`. `verdict`:
    improving, worsening or cannot tell, by the exact Laplace test.

    `needed`: the fewest matches without a fault from now after which it would count as improving.
    `growth` and `trend` are the figures' extras, empty where there are too few faults.
    """

    faults: tuple[Fault, ...]
    matches: int
    times: tuple[float, ...]
    verdict: str
    trend: dict[str, float]
    growth: dict[str, float | None]
    needed: int | None
    lately: Lately | None

    @property
    def timed(self) -> list[tuple[Fault, float]]:
        """Each fault with its time in matches."""
        return list(zip(self.faults, self.times, strict=True))

    @property
    def sentence(self) -> str:
        """The verdict with its counts, and what would be needed to tell."""
        told = f"{counted(len(self.times), 'fault')} in {exposure_text(self.matches, 'match')}"
        if not self.trend:
            return f"Cannot tell: {told} show no trend yet."
        p = f"exact p = {self.trend['laplace_p']:.2g}"
        if self.verdict != "cannot tell":
            return (
                f"{self.verdict.capitalize()}: {told}, and a steady robot would show so much only"
                f" by chance ({p})."
            )
        wanted = (
            f" {exposure_text(self.needed, 'match')} in a row without one would show that it"
            " improves."
            if self.needed
            else ""
        )
        return f"Cannot tell: {told} fit a steady robot well enough ({p}).{wanted}"

    @property
    def growth_sentence(self) -> str:
        """The fitted power law in words; empty where there are too few faults."""
        beta, low, high = (self.growth.get(name) for name in ("beta", "low", "high"))
        if beta is None or low is None or high is None:
            return ""
        told = (
            "faults grow rarer"
            if high < 1
            else "faults grow more frequent"
            if low > 1
            else "a steady robot has 1, and it may be 1"
        )
        return (
            f"Growth exponent {beta:.2f} ({low:.2f} to {high:.2f}, exact, two-sided 95 %): {told}."
            f" About one fault in {self.growth['mtbf_unbiased']:.2g} matches by now."
        )

    @property
    def arrangement_sentence(self) -> str:
        """The reverse-arrangement test in words; empty where there are too few faults."""
        if "reverse_arrangements_p" not in self.trend:
            return ""
        rising, falling = (
            self.trend["reverse_arrangements_p"],
            self.trend["reverse_arrangements_p_low"],
        )
        word, p = ("grow longer", rising) if rising <= falling else ("grow shorter", falling)
        if p >= SURE:
            word = "show no order"
        return (
            f"The gaps between faults {word} (reverse arrangements, exact one-sided p = {p:.2g})."
        )


@kept
def betterment(record: Record, scope: Scope) -> Betterment:
    """Whether what is looked at gets better from match to match."""
    places = {item.run.id: place for place, item in enumerate(record.played_in(scope), 1)}
    found = sorted(
        (
            (places[fault.match], fault)
            for fault in record.faults_in(scope)
            if fault.match in places
        ),
        key=itemgetter(0),
    )
    return better(
        tuple(fault for _, fault in found), [place - 0.5 for place, _ in found], len(places)
    )


def better(faults: tuple[Fault, ...], times: Sequence[float], matches: int) -> Betterment:
    """The same from times in matches, rising, in so many matches."""
    trend = _figure("trend", times, matches) if matches > 1 else {}
    verdict = "cannot tell"
    if trend and trend["laplace_p"] < SURE:
        verdict = "improving" if trend["laplace"] < 0 else "worsening"
    growth = _figure("growth", times, matches) if matches > 1 else {}
    needed = _needed(times, matches) if trend and verdict == "cannot tell" else None
    return Betterment(
        faults, matches, tuple(times), verdict, trend, growth, needed, lately(times, matches)
    )


def lately(times: Sequence[float], matches: int) -> Lately | None:
    """The last LATELY matches against the others; None before there are as many others."""
    if matches < 2 * LATELY:
        return None
    recent = sum(time > matches - LATELY for time in times)
    before, others = len(times) - recent, matches - LATELY
    found = figured(
        "rate-compare",
        events1=recent,
        exposure1=float(LATELY),
        events2=before,
        exposure2=float(others),
    )
    return Lately(recent, LATELY, before, others, found.extras["p_higher"])


def _figure(name: str, times: Sequence[float], end: float) -> dict[str, Any]:
    try:
        return dict(figured(name, times=tuple(times), end=float(end)).extras)
    except OutOfRange:
        return {}


def _needed(times: Sequence[float], matches: int) -> int | None:
    """By halving: more matches without a fault only ever look better."""
    if len(times) > MOST_FOR_NEEDED:
        return None

    def shows(more: int) -> bool:
        found = _laplace(times, matches + more)
        return bool(found["laplace"] < 0 and found["laplace_p"] < SURE)

    low, high = 0, FURTHEST
    if not shows(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if shows(middle) else (middle, high)
    return high


def _laplace(times: Sequence[float], end: float) -> dict[str, float]:
    from pitcrew.engineering.histories import History
    from pitcrew.engineering.trends import laplace, laplace_p

    record = History(tuple(times), float(end), False)
    return {"laplace": laplace(record), "laplace_p": laplace_p(record)}
