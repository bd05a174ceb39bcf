"""Friction brakes: what a band or pads hold, and what grease leaves of a lining."""

import math
from dataclasses import dataclass

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import counted, mark, number_text
from pitcrew.engineering.constants import MEGAPASCAL
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.lookup import other_names, row
from pitcrew.engineering.parameters import choice, count, number, quantity, text

MOST_FRICTION = 0.6
"""The highest published coefficient of a dry lining (woven)."""


@figure(
    "band-brake-hold",
    "N*m",
    value_is="torque that the band holds when the load pulls the way that tightens it",
    source=(
        "belt friction: tight end = slack end × e^(friction × angle); torque = their difference "
        "× drum / 2"
    ),
    range="friction up to 0.6 and up to 3 turns; the exponential is an upper limit",
    extra_units={"worse": "N*m", "tight": "N"},
    friction=number(
        "coefficient of friction, the greasy one for a brake that holds",
        above=0.0,
        most=MOST_FRICTION,
    ),
    angle=quantity("angle", "how far the band goes round the drum", above=0.0, most=6 * math.pi),
    tension=quantity(
        "force", "pull on the slack end of the band, by its spring or lever", above=0.0
    ),
    drum=quantity("length", "diameter of the brake drum", above=0.0),
)
def band_brake_hold(friction: float, angle: float, tension: float, drum: float) -> Outcome:
    """Torque held in N*m; `worse` is what the same pull holds when the load turns the other way, in
    N*m; `tight` the pull in the tight end in N.

    Example: A greasy band goes three quarters round a 60 mm drum, 4.712 rad, with 100 N on its
    slack end: (100 × e^(0.1 × 4.712) - 100) × 0.06 / 2 = 1.806 N·m.

        pitcrew figure band-brake-hold friction=0.1 angle="270 deg" tension="100 N" drum="60 mm"
        band-brake-hold: 1.806 N·m
    """
    tight = tension * math.exp(friction * angle)
    torque = (tight - tension) * drum / 2
    worse = -tension * math.expm1(-friction * angle) * drum / 2
    because = (
        f"With a friction of {number_text(friction)} over {mark(angle, 'angle')} the band holds "
        f"{mark(torque, 'torque')} one way round and only {mark(worse, 'torque')} the other way."
    )
    return Outcome(torque, because, {"worse": worse, "tight": tight})


@dataclass(frozen=True)
class Lining:
    """Two surfaces of a brake: least friction `greasy` and `dry`; most `pressure` in Pa."""

    greasy: float
    dry: float
    pressure: float


# roymech.org, brake and clutch materials: lower end of each range
LININGS: dict[str, Lining] = {
    "cast iron on cast iron": Lining(0.05, 0.15, 0.8 * MEGAPASCAL.value),
    "cast iron on steel": Lining(0.06, 0.15, 0.8 * MEGAPASCAL.value),
    "hard steel on hard steel": Lining(0.05, 0.15, 0.7 * MEGAPASCAL.value),
    "leather on iron": Lining(0.12, 0.30, 0.25 * MEGAPASCAL.value),
    "woven lining": Lining(0.10, 0.30, 0.7 * MEGAPASCAL.value),
    "molded lining": Lining(0.08, 0.20, 1.0 * MEGAPASCAL.value),
    "carbon-graphite": Lining(0.05, 0.25, 2.1 * MEGAPASCAL.value),
}
_OTHER_LININGS = other_names(
    {
        "hard steel on hard steel": "hard steel; hardened steel; steel on steel",
        "leather on iron": "leather; leather on cast iron",
        "woven lining": "woven",
        "molded lining": "molded; moulded; moulded lining",
        "carbon-graphite": "carbon; carbon graphite; carbon-graphite on steel",
        "cast iron on cast iron": "cast iron",
    }
)


def lining_pair(written: object) -> tuple[str, Lining]:
    """The pair of surfaces by a name as written (`woven`). Raises UnknownName with the nearest."""
    return row("The lining", written, LININGS, _OTHER_LININGS)


@figure(
    "brake-friction",
    "1",
    value_is="least coefficient of friction of the two surfaces",
    source="published table of brake and clutch materials, lower end of each range",
    range="the pairs named here, clean or greasy; a brake that holds a robot is judged greasy",
    extra_units={"pressure": "Pa"},
    lining=text("the two surfaces", *LININGS),
    state=choice(
        "what is between them",
        "greasy",
        "dry",
        default="greasy",
        others={"wet": "greasy", "oily": "greasy"},
    ),
)
def brake_friction(lining: str, state: str) -> Outcome:
    """Least friction of a pair of surfaces; `pressure` is the most that they take, in Pa.

    Example: Dry, a molded lining grips with 0.2 or more. With grease on it, count on the 0.08 of
    the table.

        pitcrew figure brake-friction lining="molded lining" state=greasy
        brake-friction: 0.08
    """
    name, found = lining_pair(lining)
    friction = found.greasy if state == "greasy" else found.dry
    because = (
        f"{name[0].upper()}{name[1:]}, {state}: friction can be as low as {number_text(friction)}"
        + (
            "; grease or oil takes a dry brake to a third or less."
            if state == "greasy"
            else f", and {number_text(found.greasy)} once there is grease on it."
        )
    )
    return Outcome(friction, because, {"pressure": found.pressure})


@figure(
    "disc-brake-hold",
    "N*m",
    value_is="torque that pads or discs hold when they are worn in",
    source=(
        "uniform wear, the lower of the two models: torque = friction × force × faces × "
        "(outer + inner) / 4"
    ),
    range="flat pads or discs pressed square; friction up to 0.6, greasy for a holding brake",
    extra_units={"new": "N*m"},
    friction=number("coefficient of friction", above=0.0, most=MOST_FRICTION),
    force=quantity("force", "force that presses each pair of faces together", above=0.0),
    outer=quantity("length", "outer diameter of the pad's track", above=0.0),
    inner=quantity("length", "inner diameter of the pad's track", least=0.0),
    faces=count("faces that rub: 2 for a disc between two pads", least=1, most=50),
)
def disc_brake_hold(
    friction: float, force: float, outer: float, inner: float, faces: int
) -> Outcome:
    """Torque held in N*m; `new` is that of new pads, a little more, in N*m. Raises OutOfRange.

    Example: A disc between two greasy pads pressed with 400 N; the track is 80 mm outside and 40 mm
    inside: 0.1 × 400 × 2 × (0.08 + 0.04) / 4 = 2.4 N·m.

        pitcrew figure disc-brake-hold friction=0.1 force="400 N" outer="80 mm" inner="40 mm" \\
            faces=2
        disc-brake-hold: 2.4 N·m
    """
    if inner >= outer:
        raise OutOfRange(
            f"disc-brake-hold: the inner diameter is {inner * 1000:.4g} mm and the outer one "
            f"{outer * 1000:.4g} mm; wanted less inside than outside. Measure both again.",
            "inner",
        )
    worn, share = (outer + inner) / 4, inner / outer
    new = outer / 3 * (1 + share + share**2) / (1 + share)
    torque = friction * force * faces * worn
    because = (
        f"{counted(faces, 'face')} pressed together with {mark(force, 'force')} at a friction of "
        f"{number_text(friction)} hold {mark(torque, 'torque')} once worn in, either way round."
    )
    return Outcome(torque, because, {"new": friction * force * faces * new})
