"""What to carry: the chance that a stock of spares runs out before the event does."""

from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import count, number


@figure(
    "stock-risk",
    "1",
    value_is="chance that more spares are needed than are in stock",
    source=(
        "Poisson use at a rate known only from what was used: with Jeffreys' prior the next count"
        " is negative binomial"
    ),
    range=(
        "use at a constant rate, whole spares; from few events the answer leans on the prior (half"
        " an event more)"
    ),
    extra_units=dict.fromkeys(("expected", "stock_5", "stock_1"), "1"),
    events=count("how many were used so far", least=0, most=1_000_000),
    exposure=number("matches, climbs or hours in which they were used", above=0, most=1e9),
    ahead=number("matches, climbs or hours still to come", above=0, most=1e9),
    stock=count("how many are in stock", least=0, most=1_000_000),
)
def stock_risk(events: int, exposure: float, ahead: float, stock: int) -> Outcome:
    """Chance to run out; extras: `expected` use, and the least stock for a risk of 5 % (`stock_5`)
    and 1 % (`stock_1`).

    Example: 3 belts went in 12 matches, 6 matches are to come: (3 + 0.5) × 6 / 12 = 1.75 more are
    likely. With 2 in the box the chance to run out is still one in four.

        pitcrew figure stock-risk events=3 exposure=12 ahead=6 stock=2
        stock-risk: 0.2641
    """
    risk = _more_than(stock, events, exposure, ahead)
    expected = (events + 0.5) * ahead / exposure
    enough_5, enough_1 = (_least_stock(limit, events, exposure, ahead) for limit in (0.05, 0.01))
    because = (
        f"{events} used in {exposure:g}: about {expected:.2g} are needed in the next {ahead:g}."
        f" With {stock} in stock they run out with a chance of {risk * 100:.2g} %; {enough_5} keep"
        " it below 5 %."
    )
    return Outcome(risk, because, {"expected": expected, "stock_5": enough_5, "stock_1": enough_1})


def _more_than(stock: int, events: int, exposure: float, ahead: float) -> float:
    """P(count > stock) of the negative binomial with shape events + 1/2 and the odds ahead :
    exposure."""
    from scipy.special import betainc

    return float(betainc(stock + 1, events + 0.5, ahead / (exposure + ahead)))


def _least_stock(limit: float, events: int, exposure: float, ahead: float) -> int:
    """The smallest stock whose risk is at most `limit`, by doubling and halving."""
    high = 1
    while _more_than(high, events, exposure, ahead) > limit:
        high *= 2
    low = -1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (
            (middle, high) if _more_than(middle, events, exposure, ahead) > limit else (low, middle)
        )
    return high
