"""What a reading is worth: how far inside a limit it must lie, and whether the instrument is good
enough to tell.

Uncertainties are expanded ones with k = 2 (about 95 %), as instruments and their calibrations state
them, so the standard uncertainty is half of it. A test *uncertainty* ratio is not a test *accuracy*
ratio: that one uses the maker's accuracy.
"""

import math
from collections.abc import Sequence
from statistics import NormalDist

from pitcrew.base.errors import BadQuantity, OutOfRange
from pitcrew.base.units import Quantity, mark, scale_of, screen_name, show
from pitcrew.base.unittable import SI_UNIT
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import choice, measure, number

COVERAGE = 2.0  # k of an expanded uncertainty


def guard_width(uncertainty: float, risk: float = 0.05) -> float:
    """Width of the guard band at a limit, in the unit of the expanded (k = 2) uncertainty, for a
    one-sided `risk`.

    A true value on the limit is then accepted with the chance `risk`. `risk` 0.5 is simple
    acceptance, without a band.
    """
    return (0.0 - NormalDist().inv_cdf(risk)) * uncertainty / COVERAGE


def repeat_scatter(differences: Sequence[float]) -> tuple[float, float]:
    """The expanded scatter (k = 2) of one reading from the differences of pairs, and its upper
    limit at 95 % confidence.

    s² = Σd²/(2n) for n pairs (duplicate measurements; common practice of laboratories), with n
    degrees of freedom, so that at most n·s²/χ²(0.05; n). Raises OutOfRange for no pair.
    """
    from scipy.stats import chi2

    n = len(differences)
    if not n:
        raise OutOfRange("A scatter needs one pair of readings or more.", "differences")
    squares = sum(difference**2 for difference in differences)
    return 2 * math.sqrt(squares / (2 * n)), 2 * math.sqrt(squares / 2 / float(chi2.ppf(0.05, n)))


def meter_uncertainty(reading: float, share: float, floor: float) -> float:
    """How far a meter may be off at a reading: its share of it and a floor (its digits), in the
    reading's unit."""
    return share * abs(reading) + floor


@figure(
    "gauge-uncertainty",
    "1",
    value_is="how far an instrument may be off at that reading, either way, in the reading's unit",
    source=(
        "makers' accuracy statements: ±(share of the reading + digits), for example 0.5 % + 2"
        " digits of a handheld voltmeter"
    ),
    range=(
        "any reading; share 0 to 1; the floor is the digits times the resolution, in the same kind"
        " of unit; of temperatures in K"
    ),
    extra_units={"part": "1", "low": "=", "high": "="},
    reading=measure("what the instrument shows"),
    share=number("part of the reading, such as 0.5 %", least=0, most=1),
    floor=measure("what comes on top at any reading: digits times resolution"),
)
def gauge_uncertainty(reading: Quantity, share: float, floor: Quantity) -> Outcome:
    """Uncertainty in the reading's SI unit; extras `low` and `high` bound what was measured, `part`
    is it over the reading.

    Raises BadQuantity for different dimensions, OutOfRange for a negative floor.

    Example: A voltmeter shows 12.60 V and is good for 0.5 % and 2 digits of 0.01 V: 12.60 × 0.005 +
    0.02 = 0.083 V either way.

        pitcrew figure gauge-uncertainty reading="12.60 V" share=0.005 floor="0.02 V"
        gauge-uncertainty: 0.083 V
    """
    _check("gauge-uncertainty", "reading", reading, floor, "floor")
    _check_difference("gauge-uncertainty", "floor", floor)
    shown = (
        reading.value * scale_of(reading.unit)[0]
    )  # SI, but of a temperature the number on the display
    value = meter_uncertainty(shown, share, floor.si)
    unit = SI_UNIT[reading.dimension]
    whole = value / abs(shown) if shown else None
    part = "" if whole is None else f", {100 * whole:.2g} % of it"
    because = (
        f"{reading.typed} read with ±({100 * share:.3g} % + {floor.typed}) is off by at most"
        f" {_plainly(value, reading)}{part}."
    )
    return Outcome(
        value,
        because,
        {"low": reading.si - value, "high": reading.si + value, "part": whole},
        unit=unit,
    )


def _plainly(si: float, like: Quantity) -> str:
    """A difference in the unit in which the reading came."""
    number = show(si / scale_of(like.unit)[0], "1")
    return number if like.unit == "1" else f"{number} {screen_name(like.unit)}"


@figure(
    "guard-band",
    "1",
    value_is="where to accept: the limit drawn in by the guard band, in the unit of the limit",
    source=(
        "one-sided decision rule w = z u, u = U / 2: ILAC-G8 and JCGM 106 (z = 2 gives 2.3 %, 1.645"
        " gives 5 % at the limit)"
    ),
    range=(
        "normal errors, uncertainty expanded with k = 2, risk up to 0.5; side=both: the limit is"
        " half of a symmetric tolerance"
    ),
    extra_units={"width": "=", "z": "1", "risk": "1"},
    limit=measure("the limit, with its unit (side=both: plus and minus this)"),
    uncertainty=measure(
        "expanded uncertainty of the reading (k = 2), in the same kind of unit; of temperatures"
        " in K"
    ),
    risk=number(
        "chance to accept a true value that lies on the limit", above=0, most=0.5, default=0.05
    ),
    side=choice(
        "what the limit bounds: upper (not more), lower (not less), both",
        "upper",
        "lower",
        "both",
        default="upper",
        others={"high": "upper", "low": "lower"},
    ),
)
def guard_band(
    limit: Quantity, uncertainty: Quantity, risk: float = 0.05, side: str = "upper"
) -> Outcome:
    """Acceptance limit in SI, and the guard band's `width`.

    Raises BadQuantity for different dimensions, OutOfRange for a negative uncertainty or one that
    leaves nothing to accept.

    Example: The limit is 12.4 mm and you measure to ±0.2 mm. Stay away from the limit by 1.645 ×
    0.2 / 2 = 0.1645 mm: 12.4 - 0.1645 = 12.24 mm.

        pitcrew figure guard-band limit="12.4 mm" uncertainty="0.2 mm" --units metric
        guard-band: 12.24 mm
    """
    _check("guard-band", "limit", limit, uncertainty)
    width = guard_width(uncertainty.si, risk)
    value = limit.si + width if side == "lower" else limit.si - width
    if side == "both" and value < 0:
        raise OutOfRange(
            f"guard-band: an uncertainty of {uncertainty.typed} leaves nothing to accept within ±"
            f" {limit.typed}. Use a better instrument or allow more risk.",
            "uncertainty",
        )
    words = {"upper": "not above", "lower": "not below", "both": "not beyond ±"}[side]
    band = f"{width:.3g} K" if limit.dimension == "temperature" else mark(width, limit.dimension)
    because = (
        f"Accept what is {words} {mark(value, limit.dimension, 4)}: the limit"
        f" {mark(limit.si, limit.dimension, 4)} drawn in by {band}, so that a true value on the"
        f" limit passes in at most {risk * 100:.3g} % (uncertainty with k = 2)."
    )
    return Outcome(
        value,
        because,
        {"width": width, "z": guard_width(COVERAGE, risk), "risk": risk},
        SI_UNIT[limit.dimension],
    )


@figure(
    "uncertainty-ratio",
    "1",
    value_is=(
        "test uncertainty ratio: the span of the tolerance over twice the expanded uncertainty"
    ),
    source=(
        "ANSI/NCSL Z540.3; guard-band multiplier of its method 6, M = 1.04 - exp(0.38 ln TUR -"
        " 0.54), at least 0"
    ),
    range=(
        "symmetric tolerance given as its half width (plus or minus), uncertainty expanded with k ="
        " 2, ratio above 0"
    ),
    extra_units={"multiplier": "1"},
    tolerance=measure("half width of the tolerance (± this), of temperatures in K"),
    uncertainty=measure(
        "expanded uncertainty of the reading (k = 2), in the same kind of unit; of temperatures"
        " in K"
    ),
)
def uncertainty_ratio(tolerance: Quantity, uncertainty: Quantity) -> Outcome:
    """TUR = 2 T / (2 U); accepting within T - U * `multiplier` keeps false acceptance below 2 %
    overall.

    Raises BadQuantity for different dimensions, OutOfRange for a tolerance or uncertainty that is
    not above 0.

    Example: A tolerance of ±2 mm spans 4 mm, a ruler that is off by up to ±0.5 mm spans 1 mm: (2 +
    2) / (0.5 + 0.5) = 4 to 1, which is enough.

        pitcrew figure uncertainty-ratio tolerance="2 mm" uncertainty="0.5 mm"
        uncertainty-ratio: 4
    """
    _check("uncertainty-ratio", "tolerance", tolerance, uncertainty)
    _check_difference("uncertainty-ratio", "tolerance", tolerance)
    if tolerance.si <= 0 or uncertainty.si == 0:
        raise OutOfRange(
            f"uncertainty-ratio: tolerance {tolerance.typed} and uncertainty {uncertainty.typed}"
            " arrived; both must be above 0. State what the instrument cannot tell apart.",
            "uncertainty" if tolerance.si > 0 else "tolerance",
        )
    ratio = tolerance.si / uncertainty.si
    multiplier = max(0.0, 1.04 - math.exp(0.38 * math.log(ratio) - 0.54))
    advice = (
        "enough for a plain limit"
        if ratio >= 4
        else "too little for a plain limit: keep a guard band"
    )
    because = (
        f"± {tolerance.typed} against an uncertainty of {uncertainty.typed} (k = 2) is {ratio:.3g}"
        f" to 1, {advice}."
    )
    return Outcome(ratio, because, {"multiplier": multiplier})


def _check(
    name: str, first: str, value: Quantity, uncertainty: Quantity, called: str = "uncertainty"
) -> None:
    if value.dimension != uncertainty.dimension:
        raise BadQuantity(
            f"{name}: {first} {value.typed} is a {_words(value)} and {called} {uncertainty.typed} a"
            f" {_words(uncertainty)}. Write both in the same kind of unit.",
            called,
        )
    _check_difference(name, called, uncertainty)
    if uncertainty.si < 0:
        raise OutOfRange(
            f"{name}: the {called} {uncertainty.typed} is below 0. Write it without a sign.", called
        )


def _check_difference(name: str, field: str, value: Quantity) -> None:
    if value.dimension == "temperature" and value.unit != "K":
        raise BadQuantity(
            f"{name}: {field} {value.typed} is a difference of temperatures. Write it in K.", field
        )


def _words(value: Quantity) -> str:
    return "plain number" if value.dimension == "number" else value.dimension.replace("_", " ")
