"""Shares of matches with a fault, with their exact interval said in words."""

import pytest

from pitcrew.domain.patterns.frequency import percent, rate_of, share_of


@pytest.mark.parametrize(
    ("hits", "tries", "low", "high"),
    [
        # Clopper and Pearson 1934, 95 %: closed forms 0.025^(1/n) for all, 1 - 0.025^(1/n) for none
        (12, 12, 0.025 ** (1 / 12), 1.0),
        (1, 1, 0.025, 1.0),
        (0, 12, 0.0, 1 - 0.025 ** (1 / 12)),
        (0, 1, 0.0, 0.975),
    ],
)
def test_the_interval_is_exact(hits: int, tries: int, low: float, high: float) -> None:
    share = share_of(hits, tries)
    assert (share.low, share.high) == (pytest.approx(low, abs=1e-9), pytest.approx(high, abs=1e-9))


def test_nothing_in_twelve_matches_is_not_never() -> None:
    """The rule of three (3/n) gives about 25 %; the exact bound for 12 is 22 %."""
    found = share_of(0, 12)
    assert found.upper == pytest.approx(1 - 0.05 ** (1 / 12), abs=1e-9)
    assert (
        found.sentence
        == "0 in 12 matches still allows up to 22 % a match (exact, one-sided 95 %); the two-sided"
        " interval ends at 26 %."
    )


def test_without_a_match_nothing_is_said() -> None:
    assert share_of(0, 0).sentence == "No match is recorded, so nothing can be said of how often."


def test_percent_keeps_small_shares_apart() -> None:
    assert [percent(share) for share in (0, 0.021, 0.0994, 0.0996, 0.25, 1)] == [
        "0 %",
        "2.1 %",
        "9.9 %",
        "10 %",
        "25 %",
        "100 %",
    ]


def test_climbs_hours_and_cycles_count_every_fault() -> None:
    """Garwood's exact Poisson interval of 10 is 4.80 to 18.39; here spread over 10 climbs."""
    found = rate_of(10, 10, "climb")
    assert (round(found.low, 3), round(found.high, 3)) == (0.480, 1.839)
    assert "10 faults in 10 climbs" in found.sentence and "two-sided" in found.sentence
    assert (
        rate_of(0, 1, "cycle").sentence
        == "0 in 1 cycle still allows up to 3 a cycle (exact, one-sided 95 %); the two-sided"
        " interval ends at 3.7."
    )


def test_every_sentence_names_its_count_exposure_and_interval() -> None:
    sentence = share_of(3, 12).sentence
    assert all(
        part in sentence for part in ("3 in 12 matches", "25 %", "exact", "two-sided", "95 %")
    )
