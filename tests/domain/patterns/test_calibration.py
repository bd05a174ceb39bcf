"""Do the intervals cover what they say, and how often does an alarm cry wolf? By simulation with a
fixed seed; `pytest -s` prints it.

The published sets (NIST repairs, the 27 and 23 times, survival, charts, regression, exact
intervals) stand in tests/engineering.
"""

from functools import lru_cache
from typing import Any

import numpy as np
import pytest
from scipy import stats

from pitcrew.domain.patterns.betterment import LATELY, better, lately
from pitcrew.domain.patterns.frequency import rate_of, share_of
from pitcrew.engineering.catalogue import find
from tests.engineering.published_sets import NIST_END, NIST_REPAIRS

ROUNDS = 1500
SLACK = 3 * (0.9 * 0.1 / ROUNDS) ** 0.5
"""Three standard deviations of a coverage of 90 % that was found from ROUNDS rounds."""


def test_the_nist_repairs_as_the_page_tells_them() -> None:
    """NIST/SEMATECH e-Handbook 8.2.3.4: R = 33, exact p .03628, Laplace -1.32695; 8.4.5.1: MTBF
    310.234."""
    found = better((), NIST_REPAIRS, int(NIST_END))
    assert found.trend["reverse_arrangements"] == 33
    assert found.trend["reverse_arrangements_p"] == pytest.approx(0.03628, abs=5e-6)
    assert found.trend["laplace"] == pytest.approx(-1.32695, abs=5e-6)
    assert found.growth["mtbf_unbiased"] == pytest.approx(310.234, abs=5e-4)
    assert found.verdict == "cannot tell"


def test_what_would_be_needed_to_tell_is_just_enough() -> None:
    times = [0.5, 1.5, 2.5, 7.5, 9.5]
    found = better((), times, 10)
    assert found.needed and f"{found.needed} matches in a row" in found.sentence
    assert better((), times, 10 + found.needed).verdict == "improving"
    assert better((), times, 10 + found.needed - 1).verdict == "cannot tell"


@pytest.mark.parametrize("mean", [3, 5, 10, 20])
def test_rates_and_shares_cover_at_least_what_they_say(mean: int) -> None:
    """Exactly, by the sum over all counts: 90 % and 95 % intervals, the one-sided bound, and the
    interval that is shown."""
    counts, hits = np.arange(0, 20 * mean), np.arange(25)
    rate, share = find("rate-interval"), find("share-interval")
    covered = {}
    for confidence in (0.9, 0.95):
        found = [
            rate.compute({"events": int(count), "exposure": 12.0, "confidence": confidence}).extras
            for count in counts
        ]
        covered[f"rate {confidence}"] = (
            _chance(stats.poisson(mean), counts, mean / 12, found),
            confidence,
        )
        up_to = [{"low": 0.0, "high": item["upper_one_sided"]} for item in found]
        covered[f"rate, one-sided {confidence}"] = (
            _chance(stats.poisson(mean), counts, mean / 12, up_to),
            confidence,
        )
        found = [
            share.compute({"hits": int(hit), "tries": 24, "confidence": confidence}).extras
            for hit in hits
        ]
        covered[f"share {confidence}"] = (
            _chance(stats.binom(24, mean / 24), hits, mean / 24, found),
            confidence,
        )
    told = [vars(rate_of(int(count), 12, "climb")) for count in counts]
    covered["rate as shown"] = _chance(stats.poisson(mean), counts, mean / 12, told), 0.95
    told = [vars(share_of(int(hit), 24)) for hit in hits]
    covered["share as shown"] = _chance(stats.binom(24, mean / 24), hits, mean / 24, told), 0.95
    print(
        f"\n{mean} expected: "
        + ", ".join(f"{name} {chance:.3f}" for name, (chance, _) in covered.items())
    )
    assert [name for name, (chance, said) in covered.items() if chance < said] == []


def _chance(law: Any, counts: np.ndarray, truth: float, intervals: list[Any]) -> float:
    """The chance of a count whose interval holds the truth."""
    return float(
        law.pmf(
            [
                count
                for count in counts
                if intervals[count]["low"] <= truth <= intervals[count]["high"]
            ]
        ).sum()
    )


@pytest.mark.parametrize("faults", [3, 5, 10, 20])
@pytest.mark.parametrize("in_matches", [False, True])
def test_growth_covers_what_it_says(faults: int, in_matches: bool) -> None:
    """A power law with exponent 0.7 over 40 matches: exact at the times themselves; put into the
    middle of matches it is approximate."""
    random, figure, matches, beta = np.random.default_rng(7), find("growth"), 40, 0.7
    covered = 0
    for _ in range(ROUNDS):
        times = np.sort(matches * random.uniform(size=faults) ** (1 / beta))
        if in_matches:
            times = np.floor(times) + 0.5
        extras = figure.compute(
            {"times": times.tolist(), "end": float(matches), "confidence": 0.9}
        ).extras
        covered += extras["low"] <= beta <= extras["high"]
    share = covered / ROUNDS
    print(
        f"\n{faults} faults{', in matches' if in_matches else ''}: growth exponent covered"
        f" {share:.3f} (said: 0.90)"
    )
    assert share >= (0.88 if in_matches else 0.9) - SLACK


@lru_cache(maxsize=100_000)
def _alarm(recent: int, before: int, matches: int) -> bool:
    times = [matches - LATELY - 0.5] * before + [matches - 0.5] * recent
    found = lately(times, matches)
    return found is not None and found.alarm


def _looks(counts: np.ndarray, first: int) -> list[bool]:
    """The alarm after each match from the `first` on."""
    return [
        _alarm(int(counts[n - LATELY : n].sum()), int(counts[: n - LATELY].sum()), n)
        for n in range(first, len(counts) + 1)
    ]


@pytest.mark.parametrize("rate", [0.2, 0.5, 1.0])
def test_alarms_cry_wolf_seldom_and_notice_a_threefold_rise(rate: float) -> None:
    """An event of 12 matches after 12 matches of history: alarms a steady robot raises; then a
    threefold rise seen within 6 matches."""
    random = np.random.default_rng(11)
    false, noticed = 0, 0
    for _ in range(ROUNDS):
        alarms = _looks(random.poisson(rate, 24), 13)
        false += sum(
            now and not before for before, now in zip([False, *alarms], alarms, strict=False)
        )
        risen = np.concatenate([random.poisson(rate, 18), random.poisson(3 * rate, 6)])
        noticed += any(_looks(risen, 19))
    print(
        f"\n{rate} faults a match: {false / ROUNDS:.2f} false alarms an event, threefold rise seen"
        f" in 6 matches {noticed / ROUNDS:.0%}"
    )
    assert false / ROUNDS <= 0.10
    assert noticed / ROUNDS > false / ROUNDS
