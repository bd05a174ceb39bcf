"""Scatter of instruments from repeats, beside the stated one."""

import random
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from pitcrew.base.errors import OutOfRange
from pitcrew.domain.patterns.rereading import rereadings
from pitcrew.engineering.measurement import repeat_scatter
from tests.domain.patterns.season import Season
from tests.domain.patterns.test_wear_and_stock import CHAIN, read

CHI2_5_PERCENT_OF_10 = 3.940
"""Lower 5 % point of chi-square with 10 degrees of freedom, as printed tables have it."""


def test_the_scatter_of_pairs_is_that_of_duplicate_measurements() -> None:
    """s² = Σd²/(2n): ten differences of 0.2 mm are s = 0.141 mm, 0.283 mm at k = 2."""
    scatter, most = repeat_scatter([0.2, -0.2] * 5)
    assert scatter == pytest.approx(0.2828, rel=1e-3)
    assert most == pytest.approx(scatter * (10 / CHI2_5_PERCENT_OF_10) ** 0.5, rel=1e-3)
    with pytest.raises(OutOfRange):
        repeat_scatter([])


def test_the_upper_limit_holds_in_95_of_100_seasons() -> None:
    """Twelve pairs of a known scatter, 2000 times."""
    rng = random.Random(12)
    held = sum(
        repeat_scatter([rng.gauss(0, 1) - rng.gauss(0, 1) for _ in range(12)])[1] >= 2
        for _ in range(2000)
    )
    assert 0.935 <= held / 2000 <= 0.965


def measure_by_ruler(season: Season) -> None:
    """The chain's slack is measured with the ruler."""
    key = f"chain-slack@{CHAIN}"
    item = season.definitions.part_checks[key]
    rule = replace(item.check.limit_rule, instrument="ruler")
    made = replace(item, check=replace(item.check, limit_rule=rule))
    checks = {**season.definitions.part_checks, key: made}
    season.definitions = replace(season.definitions, part_checks=checks)


def twice(apart: float, count: int, after: float = 0.6) -> Season:
    """A season in which the chain is read twice after each match, `apart` mm."""
    season = Season(12)
    measure_by_ruler(season)
    for number in range(1, count + 1):
        read(season, number, 10.0)
        read(season, number, 10.0 + apart * (-1) ** number, after=after)
    return season


def test_repeats_tell_what_the_ruler_does_beside_what_is_stated() -> None:
    """±1 mm is stated (k = 2); pairs 0.4 mm apart are ±0.57 mm, pairs 1 mm apart ±1.4 mm."""
    (found,) = rereadings(twice(0.4, 10).record())
    assert found.instrument == "ruler" and found.repeats == 10
    assert found.scatter == pytest.approx(0.4e-3 * 2**0.5, rel=1e-6)
    assert found.stated == pytest.approx(1e-3)
    assert "stated at ±1 mm" in found.sentence and "±0.57 mm" in found.sentence
    (worse,) = rereadings(twice(1.0, 10).record())
    assert "[instruments]" in worse.sentence and "[instruments]" not in found.sentence


def test_few_repeats_and_readings_long_apart_or_across_a_new_part_say_nothing() -> None:
    assert rereadings(twice(0.4, 4).record()) == []
    assert rereadings(twice(0.4, 10, after=1.4).record()) == []
    season = twice(0.4, 10)
    for entry in [item for item in season.entries if item.kind == "reading"][::2]:
        at = datetime.fromisoformat(entry.at) + timedelta(seconds=30)
        season.put("part_change", {"part": CHAIN, "old": "", "new": "", "identical": True}, at)
    assert rereadings(season.record()) == []
