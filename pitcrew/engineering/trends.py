"""Is it getting better? Three tests of faults over time, with p values that are exact for few
faults.

Laplace compares the middle of the faults with the middle of the time; the chi-square test suits a
power law; reverse arrangements counts how often a later gap is longer, whatever its distribution.
"""

import math
from collections.abc import Sequence

from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.histories import (
    History,
    end_parameter,
    history,
    times_parameter,
    truncated_parameter,
)

EXACT_ARRANGEMENTS = 150  # above this many faults the normal form is used: its error is below 1e-3


@figure(
    "trend",
    "1",
    value_is=(
        "Laplace z: negative when faults come early (improving), positive when they come late"
        " (worsening)"
    ),
    source=(
        "NIST/SEMATECH e-Handbook 8.2.3.4 and its trend-test reference; MIL-HDBK-189 for the"
        " chi-square; exact Laplace p from the Irwin-Hall distribution, exact reverse arrangements"
        " by counting permutations"
    ),
    range=(
        "at least 1 fault before the end; faults of one repaired thing; tied gaps count as neither"
        " longer nor shorter"
    ),
    extra_units=dict.fromkeys(
        (
            "laplace",
            "laplace_p",
            "laplace_p_normal",
            "chi2",
            "chi2_df",
            "chi2_p",
            "chi2_lower",
            "chi2_upper",
            "reverse_arrangements",
            "reverse_arrangements_p",
            "reverse_arrangements_p_low",
            "reverse_arrangements_z",
        ),
        "1",
    ),
    times=times_parameter(),
    end=end_parameter(),
    truncated=truncated_parameter(),
)
def trend(times: Sequence[float], end: float | None = None, truncated: str = "time") -> Outcome:
    """Trend tests of cumulative fault times.

    `laplace_p` (exact) and `laplace_p_normal` are two-sided; `chi2_lower` is P(chi2 <= found), near
    1 when improving, `chi2_p` two-sided; `reverse_arrangements_p` is P(R >= found), small when
    improving, `..._p_low` the same for shortening gaps.

    Example: Faults in matches 2, 5, 9, 20 and 34 of 40. Their mean, 70 / 5 = 14, lies before the
    middle, 20: (14 - 20) / (40 × √(1 / (12 × 5))) = -1.162. Early is good; below about -2 it would
    be clear.

        pitcrew figure trend times=2,5,9,20,34 end=40
        trend: -1.162
    """
    record = history("trend", times, end, truncated, least=1)
    z = laplace(record)
    p = laplace_p(record)
    chi2, df, lower, upper = chi_square(record)
    reversals, p_rising, p_falling, reversals_z = reverse_arrangements(record.gaps)
    extras = {
        "laplace": z,
        "laplace_p": p,
        "laplace_p_normal": math.erfc(abs(z) / math.sqrt(2)),
        "chi2": chi2,
        "chi2_df": df,
        "chi2_p": min(1.0, 2 * min(lower, upper)),
        "chi2_lower": lower,
        "chi2_upper": upper,
        "reverse_arrangements": reversals,
        "reverse_arrangements_p": p_rising,
        "reverse_arrangements_p_low": p_falling,
        "reverse_arrangements_z": reversals_z,
    }
    return Outcome(z, _say(record, z, p), extras)


def _say(record: History, z: float, p: float) -> str:
    words = "cannot tell" if p >= 0.05 else ("improving" if z < 0 else "worsening")
    return (
        f"{words}: {len(record.times)} faults up to {record.end:g}, Laplace z = {z:.3g}, exact"
        f" two-sided p = {p:.3g}."
    )


def laplace(record: History) -> float:
    """Laplace z = sqrt(12 r) (mean(t) / T - 1/2) over the free times."""
    share = math.fsum(record.free) / (len(record.free) * record.end)
    return math.sqrt(12 * len(record.free)) * (share - 0.5)


def laplace_p(record: History) -> float:
    """Exact two-sided p: at a constant rate the free times over T are independent and uniform, so
    their sum is Irwin-Hall."""
    n = len(record.free)
    total = math.fsum(time / record.end for time in record.free)
    return min(1.0, 2 * irwin_hall(n, min(total, n - total)))


def irwin_hall(n: int, x: float) -> float:
    """P(sum of n independent uniforms on 0..1 <= x), 0 <= x <= n, by a recurrence of positive terms
    (no cancellation)."""
    import numpy as np

    whole = math.floor(x)
    arguments = x - np.arange(
        min(whole, n) + 1
    )  # the distribution at x, x - 1, ... down to the last one above 0
    values = np.ones(len(arguments))
    below = np.zeros(len(arguments))
    for k in range(1, n + 1):
        below[:-1] = values[1:]
        values = np.where(arguments >= k, 1.0, (arguments * values + (k - arguments) * below) / k)
    return float(values[0])


def chi_square(record: History) -> tuple[float, int, float, float]:
    """chi2 = 2 sum ln(T / t) on 2 r degrees of freedom, and both tails. Large: improving."""
    from scipy.special import chdtr, chdtrc

    chi2 = 2 * math.fsum(math.log(record.end / time) for time in record.free)
    df = 2 * len(record.free)
    return chi2, df, float(chdtr(df, chi2)), float(chdtrc(df, chi2))


def reverse_arrangements(gaps: Sequence[float]) -> tuple[int, float, float, float]:
    """Pairs of gaps of which the later is longer, the chance of so many longer ones and of so many
    shorter ones, the normal z.

    Tied gaps are neither longer nor shorter, so ties make both chances larger, never smaller.
    """
    import numpy as np

    found = np.asarray(gaps)
    n = len(found)
    longer = sum(int((found[i + 1 :] > found[i]).sum()) for i in range(n - 1))
    shorter = sum(int((found[i + 1 :] < found[i]).sum()) for i in range(n - 1))
    sd = math.sqrt((2 * n + 5) * (n - 1) * n / 72)
    middle = n * (n - 1) / 4
    z = (longer - middle + 0.5) / sd if n > 1 else 0.0
    if n <= EXACT_ARRANGEMENTS:
        return longer, _at_least(n, longer), _at_least(n, shorter), z
    rising, falling = (
        math.erfc((pairs - 0.5 - middle) / sd / math.sqrt(2)) / 2 for pairs in (longer, shorter)
    )
    return longer, rising, falling, z


def _at_least(n: int, count: int) -> float:
    """The share of the permutations of n gaps with `count` or more rising pairs (symmetric: or as
    many falling ones)."""
    import numpy as np

    shares = np.ones(1)
    for size in range(
        2, n + 1
    ):  # the next gap is longer than 0 .. size - 1 of those before it, each equally likely
        shares = np.convolve(shares, np.full(size, 1 / size))
    return min(1.0, float(shares[count:][::-1].sum()))
