"""Shares of matches with a fault, with their exact interval said in words."""

import pytest

from pitcrew.domain.patterns import percent, share_of


@pytest.mark.parametrize(("hits", "tries", "low", "high"), [
    # Clopper and Pearson 1934, 95 %: closed forms 1 - 0.025^(1/n), 1 - (1 - 0.025)^(1/n); one-sided 1 - 0.05^(1/n)
    (12, 12, 0.025 ** (1 / 12), 1.0),
    (1, 1, 0.025, 1.0),
    (0, 12, 0.0, 1 - 0.05 ** (1 / 12)),
    (0, 1, 0.0, 0.95),
])
def test_the_interval_is_exact(hits: int, tries: int, low: float, high: float) -> None:
    share = share_of(hits, tries)
    assert (share.low, share.high) == (pytest.approx(low, abs=1e-9), pytest.approx(high, abs=1e-9))


def test_nothing_in_twelve_matches_is_not_never() -> None:
    """The rule of three (3/n) gives about 25 %; the exact bound for 12 is 22 %."""
    assert share_of(0, 12).sentence == "In none of 12 matches; as often as 22 % of matches is still possible."


def test_without_a_match_nothing_is_said() -> None:
    assert share_of(0, 0).sentence == "No match has been played, so no share can be said."


def test_percent_keeps_small_shares_apart() -> None:
    assert [percent(share) for share in (0, 0.021, 0.0994, 0.0996, 0.25, 1)] == ["0 %", "2.1 %", "9.9 %", "10 %", "25 %", "100 %"]
