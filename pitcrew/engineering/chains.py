"""Roller chain: strength, loop length, slack, wear, sag tension and ripple."""

import math

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark, number_text
from pitcrew.engineering.chainsizes import LINKS, SIZES_TEXT, chain, link_kept
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import choice, count, quantity, text, yes_no

FEWEST_PITCHES = 6
WEAR_CAP, WEAR_FIXED, WEAR_PER_TOOTH = 3.0, 1.5, 200.0  # %, %, % times teeth
SLACK = {"normal": (0.04, 0.06), "shock": (0.02, 0.03)}


@figure(
    "chain-strength",
    "N",
    value_is="least breaking force of a new single strand (ASME B29.1), at its weakest link",
    source=(
        "ASME B29.1: 12 500 lbf times the square of the pitch in inches; #41 is the exception, 1500"
        " lbf; links by chain makers' guides: slip-fit connecting link up to 30 % less, one-pitch"
        " offset link 35 % less"
    ),
    range=(
        "single-strand ASME B29.1 chains #25 to #240; ISO 606 A and C names are read as their"
        " equivalents; not heavy (H) and B chains"
    ),
    extra_units={"pitch": "m", "plain": "N"},
    size=text(SIZES_TEXT),
    link=text(
        "links in the loop that are weaker than the chain; several divided by a semicolon",
        *LINKS,
        default="none",
    ),
)
def chain_strength(size: str, link: str) -> Outcome:
    """Least breaking force in N of a chain by its number; `pitch` in m; `plain` in N without the
    link, `kept` its part.

    Raises UnknownName and OutOfRange.

    Example: ASME prints 780 lbf for #25 chain: 780 × 4.44822 = 3470 N. That is where it breaks, not
    what it may carry.

        pitcrew figure chain-strength size=25
        chain-strength: 3470 N
    """
    found = chain(size)
    if found.strength is None:
        raise OutOfRange(
            f"The chain size {found.name} is not in ASME B29.1, which is used here. Take its"
            " maker's figure.",
            "size",
        )
    exception = "; the smaller #41 is an exception there" if found.name == "#41" else ""
    because = (
        f"A new {found.name} chain with its pitch of {mark(found.pitch, 'length', 4)} breaks at"
        f" {mark(found.strength, 'force')} or more (ASME B29.1{exception}); that is not a working"
        " load."
    )
    name, kept = link_kept(link)
    if kept < 1:
        because = (
            f"{because[:-1]}. Its {name} leaves {number_text(100 * kept)} % of that,"
            f" {mark(found.strength * kept, 'force')}."
        )
    return Outcome(
        found.strength * kept,
        because,
        {"pitch": found.pitch, "plain": found.strength, "kept": kept},
    )


def pitches_round(centre: float, teeth1: int, teeth2: int) -> float:
    """Length in pitches of a chain round two sprockets whose centres are `centre` pitches apart."""
    return 2 * centre + (teeth1 + teeth2) / 2 + ((teeth2 - teeth1) / (2 * math.pi)) ** 2 / centre


def centre_for(length: float, teeth1: int, teeth2: int) -> float:
    """Centre distance in pitches for a length in pitches; the inverse of `pitches_round`. Raises
    OutOfRange."""
    straight = length - (teeth1 + teeth2) / 2
    root = straight**2 - 8 * ((teeth2 - teeth1) / (2 * math.pi)) ** 2
    if straight <= 0 or root < 0:
        raise OutOfRange(
            f"A loop of {length:g} pitches is too short for {teeth1} and {teeth2} teeth. Check the"
            " centres.",
            "centre",
        )
    return (straight + math.sqrt(root)) / 4


@figure(
    "chain-length",
    "1",
    value_is="length of the loop in pitches, before it is rounded",
    source="Machinery's Handbook, chain length in pitches: L = 2C + (N1+N2)/2 + ((N2-N1)/2π)²/C",
    range=(
        "two sprockets that do not touch; within 0.01 pitch of exact geometry for C of 20 pitches"
        " and more and ratios to 3:1"
    ),
    extra_units={"centre_at_even": "m", "centre_at_longer": "m"},
    size=text(SIZES_TEXT),
    centre=quantity("length", "distance between the shaft centres", above=0.0),
    teeth1=count("teeth of one sprocket", least=6, most=250),
    teeth2=count("teeth of the other sprocket", least=6, most=250),
)
def chain_length(size: str, centre: float, teeth1: int, teeth2: int) -> Outcome:
    """Pitches round two sprockets; `even` is the nearest whole loop without an offset link,
    `longer` the next above.

    `centre_at_even` and `centre_at_longer` are their centre distances in m. Raises UnknownName and
    OutOfRange.

    Example: Sprockets of 16 and 32 teeth stand 254 mm apart, 254 / 6.35 = 40 pitches of #25: 2 × 40
    + (16 + 32) / 2 + ((32 - 16) / (2 × π))^2 / 40 = 104.16 pitches. Take 104, an even number.

        pitcrew figure chain-length size=25 centre="254 mm" teeth1=16 teeth2=32
        chain-length: 104.2
    """
    pitch = chain(size).pitch
    apart = centre / pitch
    radii = sum(0.5 / math.sin(math.pi / teeth) for teeth in (teeth1, teeth2))
    if apart <= radii:
        raise OutOfRange(
            f"chain-length: {apart:.1f} pitches between centres; sprockets of {teeth1} and {teeth2}"
            f" teeth touch below {radii:.1f} (the sum of their pitch radii). Check the centre"
            " distance and the chain size.",
            "centre",
        )
    length = pitches_round(apart, teeth1, teeth2)
    even = 2 * round(length / 2)
    longer = 2 * math.ceil(length / 2)
    at_even, at_longer = (centre_for(whole, teeth1, teeth2) * pitch for whole in (even, longer))
    because = (
        f"{teeth1} and {teeth2} teeth at {mark(centre, 'length', 4)} take {length:.2f} pitches; a"
        f" loop of {even} needs no offset link and sits at {mark(at_even, 'length', 5)}."
    )
    return Outcome(
        length,
        because,
        {"even": even, "centre_at_even": at_even, "longer": longer, "centre_at_longer": at_longer},
    )


@figure(
    "chain-slack",
    "m",
    value_is="middle of the allowed total movement at mid-span",
    source=(
        "roller chain makers' published installation rule: total mid-span movement of 4-6 % of the"
        " centre distance, 2-3 % for high-speed, impulse, reversing or vertical drives"
    ),
    range=(
        "spans of 50 mm to 5 m; total movement, up and down together, not the sag and not the half"
        " movement"
    ),
    extra_units={"low": "m", "high": "m"},
    span=quantity(
        "length",
        "free span between the sprockets, near enough the centre distance",
        least=0.05,
        most=5.0,
    ),
    duty=choice(
        "normal, or shock for reversing, impulse, high-speed and vertical drives", "normal", "shock"
    ),
)
def chain_slack(span: float, duty: str) -> Outcome:
    """Allowed total mid-span movement in m for a span in m: value, `low` and `high`.

    Example: A lift chain with a free span of 412 mm reverses hard, so at mid-span it may move 2 to
    3 % of that. The middle: 0.025 × 412 = 10.3 mm.

        pitcrew figure chain-slack span="412 mm" duty=shock --units metric
        chain-slack: 10.3 mm
    """
    least, most = SLACK[duty]
    low, high = least * span, most * span
    because = (
        f"A {duty} drive over {mark(span, 'length')} may move {mark(low, 'length')} to"
        f" {mark(high, 'length')} in all at mid-span ({100 * least:g} % to {100 * most:g} % of the"
        " span)."
    )
    return Outcome((low + high) / 2, because, {"low": low, "high": high})


def wear_limit(teeth: int, fixed_centres: bool) -> float:
    """Greatest elongation in % for the larger sprocket's teeth, and for centres that cannot be
    moved."""
    return min(WEAR_FIXED if fixed_centres else WEAR_CAP, WEAR_PER_TOOTH / teeth)


@figure(
    "chain-wear",
    "%",
    value_is="elongation of the chain, negative when it is short",
    source=(
        "roller chain makers' published wear rule: replace at 3 %, at 200/N % above 67 teeth, at"
        " 1.5 % on fixed centres"
    ),
    range=(
        "6 pitches and more measured tight; elongation of -1 to 10 % (anything else is a miscount)"
    ),
    extra_units={"limit": "%"},
    size=text(SIZES_TEXT),
    pitches=count("pitches measured, 10 or more is better", least=FEWEST_PITCHES, most=1000),
    measured=quantity(
        "length", "length over those pitches, pin to pin, on the tight span", above=0.0
    ),
    teeth=count("teeth of the larger sprocket", least=6, most=250),
    fixed_centres=yes_no("the centre distance cannot be adjusted", default=False),
)
def chain_wear(
    size: str, pitches: int, measured: float, teeth: int, fixed_centres: bool
) -> Outcome:
    """Elongation in % and its `limit` in %, from a length in m. Raises UnknownName and OutOfRange
    (a miscount).

    Example: 16 pitches of #25 chain are 16 × 6.35 = 101.6 mm new. Yours measure 103.2 mm: 100 ×
    (103.2 / 101.6 - 1) = 1.575 % longer.

        pitcrew figure chain-wear size=25 pitches=16 measured="103.2 mm" teeth=40
        chain-wear: 1.575 %
    """
    found = chain(size)
    new = pitches * found.pitch
    worn = 100 * (measured / new - 1)
    if not -1 <= worn <= 10:
        raise OutOfRange(
            f"chain-wear: {pitches} pitches of {found.name} are {new * 1000:.4g} mm when new, and"
            f" {measured * 1000:.4g} mm arrived ({worn:+.1f} %; -1 to 10 % is possible). Count the"
            " pitches and measure again.",
            "measured",
        )
    limit = wear_limit(teeth, fixed_centres)
    reason = (
        "fixed centres"
        if limit == WEAR_FIXED and fixed_centres
        else (f"{teeth} teeth" if limit < WEAR_CAP else "the general limit")
    )
    because = (
        f"{pitches} pitches of {found.name} are {mark(new, 'length', 4)} new and"
        f" {mark(measured, 'length', 4)} now: {number_text(worn)} % longer; replace at"
        f" {number_text(limit)} % ({reason})."
    )
    return Outcome(worn, because, {"limit": limit})


def catenary(span: float, sag: float) -> float:
    """The parameter a = H/w in m of a level catenary of that span and sag in m: sag =
    a(cosh(span/2a) - 1)."""
    target = 2 * sag / span

    def excess(x: float) -> float:
        return 2 * math.sinh(x / 2) ** 2 / x - target  # (cosh x - 1)/x without cancellation

    from scipy.optimize import brentq

    # (cosh x - 1)/x lies above x/2, so the root x = span/2a lies below 2*target
    root = float(brentq(excess, 1e-3 * target, 2 * target, xtol=1e-300, rtol=1e-14))
    return span / (2 * root)


@figure(
    "chain-tension",
    "N",
    value_is="horizontal pull of a span that hangs freely between two level points",
    source="the catenary, H = w·a with sag = a(cosh(S/2a) - 1), solved exactly",
    range="level ends; sag from one millionth of the span to the whole span",
    extra_units={"end": "N", "parabola": "N", "length": "m"},
    weight_per_length=quantity("weight_per_length", "weight of the chain per length", above=0.0),
    span=quantity("length", "distance between the two ends", above=0.0),
    sag=quantity("length", "depth of the middle below the ends", above=0.0),
)
def chain_tension(weight_per_length: float, span: float, sag: float) -> Outcome:
    """Horizontal pull in N; `end` pull at the ends, `parabola` the usual approximation, `length` of
    the arc in m.

    Example: A chain of 1.3 N per meter hangs 5 mm deep over 412 mm. The school formula comes close:
    1.3 × 0.412^2 / (8 × 0.005) = 5.517 N.

        pitcrew figure chain-tension weight_per_length="1.3 N/m" span="412 mm" sag="5 mm"
        chain-tension: 5.518 N
    """
    if not 1e-6 <= sag / span <= 1:
        raise OutOfRange(
            f"chain-tension: a sag of {sag / span:.3g} of the span; wanted 0.000001 to 1 (a slack"
            " span).",
            "sag",
        )
    a = catenary(span, sag)
    pull = weight_per_length * a
    end = pull + weight_per_length * sag
    because = (
        f"A span of {mark(span, 'length')} sagging {mark(sag, 'length')} under"
        f" {mark(weight_per_length, 'weight_per_length')} pulls with {mark(pull, 'force')} at its"
        f" lowest point and {mark(end, 'force')} at its ends."
    )
    extras = {
        "end": end,
        "parabola": weight_per_length * span**2 / (8 * sag),
        "length": 2 * a * math.sinh(span / (2 * a)),
    }
    return Outcome(pull, because, extras)


@figure(
    "chain-ripple",
    "%",
    value_is="variation of the chain speed within one tooth",
    source="polygon effect, 1 - cos(π/N) (Machine design texts; bs-wiki.de prints rounded values)",
    range="sprockets of 5 teeth and more",
    teeth=count("teeth of the sprocket", least=5, most=250),
)
def chain_ripple(teeth: int) -> Outcome:
    """Speed ripple in % of a sprocket with that many teeth.

    Example: A sprocket of 16 teeth is a polygon of 16 corners: 100 × (1 - cos(180° / 16)) = 1.92 %.

        pitcrew figure chain-ripple teeth=16
        chain-ripple: 1.921 %
    """
    ripple = 100 * 2 * math.sin(math.pi / (2 * teeth)) ** 2
    because = (
        f"A sprocket of {teeth} teeth is a polygon: the chain's speed varies by"
        f" {number_text(ripple)} % within each tooth."
    )
    return Outcome(ripple, because)
