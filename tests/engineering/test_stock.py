"""Spares: the negative binomial by scipy and by drawing rates and counts, and what more stock must
do."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitcrew.engineering.stock import stock_risk

EVENTS, EXPOSURE = st.integers(0, 60), st.floats(1, 100)


@given(EVENTS, EXPOSURE, EXPOSURE, st.integers(0, 60))
def test_risk_by_scipy(events: int, exposure: float, ahead: float, stock: int) -> None:
    use = stats.nbinom(events + 0.5, exposure / (exposure + ahead))
    found = stock_risk(events, exposure, ahead, stock)
    assert found.value == pytest.approx(float(use.sf(stock)), abs=1e-10)
    assert found.extras["expected"] == pytest.approx(float(use.mean()))
    for limit, name in ((0.05, "stock_5"), (0.01, "stock_1")):
        enough = found.extras[name]
        assert use.sf(enough) <= limit + 1e-12 and (
            enough == 0 or use.sf(enough - 1) > limit - 1e-12
        )


def test_risk_by_drawing_rates_and_counts() -> None:
    """A rate from its posterior (Gamma, Jeffreys), then a count at that rate: 200 000 seeded
    draws."""
    random = np.random.default_rng(23)
    counts = random.poisson(random.gamma(3.5, 1 / 12, 200_000) * 6)
    assert stock_risk(3, 12.0, 6.0, 2).value == pytest.approx(float((counts > 2).mean()), abs=0.005)


@given(EVENTS, EXPOSURE, EXPOSURE, st.integers(0, 60))
def test_more_stock_is_less_risk_and_more_ahead_is_more(
    events: int, exposure: float, ahead: float, stock: int
) -> None:
    risk = stock_risk(events, exposure, ahead, stock).value
    assert (
        stock_risk(events, exposure, ahead, stock + 1).value
        <= risk
        <= stock_risk(events, exposure, ahead * 1.5, stock).value
    )
    assert stock_risk(events, exposure * 3, ahead * 3, stock).value == pytest.approx(
        risk, abs=1e-10
    )
