"""Stress in what carries a torque or a hinge: shafts, keys and pins."""

import math

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import choice, count, quantity

HEX_SECTION = 0.1888
"""Torsional section modulus of a hexagon over its width across flats cubed, as Roark prints it.
Solving the torsion problem gives 0.1874, which is 0.8 % more stress."""


@figure(
    "shaft-torsion",
    "Pa",
    value_is="largest shear stress in the shaft",
    source="round: 16·T·D/(π(D⁴ - bore⁴)); hexagon: T/(0.1888·s³) at the middle of a flat (Roark)",
    range="a straight shaft that is only twisted; bending, keyways, steps and holes are not in it",
    shape=choice(
        "cross-section",
        "round",
        "hex",
        others={"hexagon": "hex", "hexagonal": "hex", "circular": "round"},
    ),
    size=quantity("length", "diameter, or width across flats of a hex", above=0.0, most=1.0),
    torque=quantity("torque", "torque in the shaft", above=0.0),
    bore=quantity("length", "diameter of the hole through a round shaft", least=0.0, default=0.0),
)
def shaft_torsion(shape: str, size: float, torque: float, bore: float) -> Outcome:
    """Shear stress in Pa. Raises OutOfRange for a bore in a hex, or as wide as the shaft.

    Example: 10 N·m, which is 10000 N·mm, in a round 12 mm shaft: 16 × 10000 / (π × 12^3) = 29.47
    MPa.

        pitcrew figure shaft-torsion shape=round size="12 mm" torque="10 N*m" --units metric
        shaft-torsion: 29.47 MPa
    """
    if bore and shape == "hex":
        raise OutOfRange(
            f"shaft-torsion: a bore of {bore * 1000:.4g} mm in a hex arrived; nobody has published "
            "its stress. Take the maker's torque.",
            "bore",
        )
    if bore >= size:
        raise OutOfRange(
            f"shaft-torsion: the bore is {bore * 1000:.4g} mm in a shaft of {size * 1000:.4g} mm; "
            "wanted less (a wall must be left). Measure both again.",
            "bore",
        )
    round_section = math.pi * size**3 * (1 - (bore / size) ** 4) / 16
    stress = torque / (HEX_SECTION * size**3 if shape == "hex" else round_section)
    what = "across flats" if shape == "hex" else "round"
    because = (
        f"{mark(torque, 'torque')} puts {mark(stress, 'stress')} of shear into the skin of a shaft "
        f"of {mark(size, 'length', 4)} {what}; bending is not in it."
    )
    return Outcome(stress, because)


@figure(
    "key-shear",
    "Pa",
    value_is="shear stress in the key",
    source="statics: F = 2·T/diameter over width × length; bearing: over half the height × length",
    range="a square or flat key that bears on its full length, narrower than its shaft",
    extra_units={"bearing": "Pa", "force": "N"},
    width=quantity("length", "width of the key", above=0.0),
    height=quantity("length", "height of the key, half of it in the hub", above=0.0),
    length=quantity("length", "length of the key inside both shaft and hub", above=0.0),
    diameter=quantity("length", "diameter of the shaft", above=0.0),
    torque=quantity("torque", "torque that the key passes on", above=0.0),
)
def key_shear(
    width: float, height: float, length: float, diameter: float, torque: float
) -> Outcome:
    """Shear stress in Pa; `bearing` on its side in Pa, which usually governs; `force` in N.

    Example: 10 N·m on a 12 mm shaft push a 4 by 16 mm key with 2 × 10 / 0.012 = 1666.7 N: 1666.7 /
    (4 × 16) = 26.04 MPa.

        pitcrew figure key-shear width="4 mm" height="4 mm" length="16 mm" diameter="12 mm" \\
            torque="10 N*m" --units metric
        key-shear: 26.04 MPa
    """
    if width >= diameter or height >= diameter:
        raise OutOfRange(
            f"key-shear: a key of {width * 1000:.4g} × {height * 1000:.4g} mm in a shaft of "
            f"{diameter * 1000:.4g} mm; wanted a key smaller than its shaft (a quarter of it is "
            "usual). Measure again.",
            "width" if width >= diameter else "height",
        )
    force = 2 * torque / diameter
    shear, bearing = force / (width * length), force / (length * height / 2)
    because = (
        f"{mark(torque, 'torque')} pushes on the key with {mark(force, 'force')}: "
        f"{mark(shear, 'stress')} of shear and {mark(bearing, 'stress')} on its side"
        f"{', which governs' if bearing > shear else ''}."
    )
    return Outcome(shear, because, {"bearing": bearing, "force": force})


@figure(
    "pin-shear",
    "Pa",
    value_is="shear stress in the pin",
    source="statics: load over planes × π·d²/4; bearing: load over diameter × plate",
    range="a pin that fits its holes, in one or two shear planes; gaps that bend it are not in it",
    extra_units={"bearing": "Pa"},
    diameter=quantity("length", "diameter of the pin", above=0.0),
    load=quantity("force", "force across the pin", above=0.0),
    planes=count("places where the pin would be cut through: 1, or 2 in a fork", least=1, most=2),
    plate=quantity(
        "length", "thickness of the plates that pull one way, the thinner side", above=0.0
    ),
)
def pin_shear(diameter: float, load: float, planes: int, plate: float) -> Outcome:
    """Shear stress in Pa; `bearing` between pin and plate in Pa.

    Example: A 6 mm pin in a fork would have to be cut in two places: 600 / (2 × π × 6^2 / 4) =
    10.61 MPa.

        pitcrew figure pin-shear diameter="6 mm" load="600 N" planes=2 plate="3 mm" --units metric
        pin-shear: 10.61 MPa
    """
    shear = load / (planes * math.pi * diameter**2 / 4)
    bearing = load / (diameter * plate)
    because = (
        f"{mark(load, 'force')} across a {mark(diameter, 'length', 4)} pin in {planes} shear "
        f"plane{'s' if planes > 1 else ''}: {mark(shear, 'stress')}, and {mark(bearing, 'stress')} "
        "against the plate."
    )
    return Outcome(shear, because, {"bearing": bearing})
