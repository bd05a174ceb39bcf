"""An invented robot with made-up parts and limits, to render macros and pages without the
server."""

from functools import cache
from types import SimpleNamespace
from typing import Any

import jinja2

from pitcrew.base.drawings import DRAWINGS, macro_of
from pitcrew.base.errors import BadQuantity
from pitcrew.base.paths import TEMPLATES
from pitcrew.base.typed import split_number
from pitcrew.base.units import scale_of, screen_name, show, to_si
from pitcrew.base.unittable import UNITS
from pitcrew.domain.checks.limitshape import limit_from_dict, window_texts


@cache
def environment() -> jinja2.Environment:
    """Jinja as the sheets and the server have it: templates, escaping, whitespace, the filter
    `show`, nothing of Flask."""
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters["show"] = show
    return env


def drawing(name: str, of_part: Any, of_limit: Any = None) -> str:
    """What the drawing of that name shows of a part."""
    macros = environment().get_template(DRAWINGS[name]).module
    return str(getattr(macros, macro_of(name))(of_part, of_limit)).strip()


def part(kind: str = "roller-chain", **written: Any) -> SimpleNamespace:
    """A part as a build sheet gives it: `span="412 mm"` is SI in `specs` and as written in `typed`;
    other words stay words."""
    typed = {name: value for name, value in written.items() if isinstance(value, str)}
    specs = {name: _si(value) for name, value in written.items()}
    return SimpleNamespace(
        id="lift.chain.left",
        label="Lift chain, left",
        zone="mast",
        kind=kind,
        specs=specs,
        typed=typed,
    )


def _si(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        number, unit = split_number(value)
        return to_si(number, unit) if unit else value
    except BadQuantity:
        return value


def limit(unit: str = "mm", decimals: int = 1, **bounds: Any) -> dict[str, Any]:
    """A limit as plain data; bounds and guards are given in `unit`."""
    scale, offset = scale_of(unit)
    guards = bounds.pop("guards", {})
    dimension = UNITS[unit][0]
    made = {
        "unit": "1",
        "shown": unit,
        "shown_name": "" if dimension == "number" else screen_name(unit),
        "scale": scale,
        "offset": offset,
        "decimals": decimals,
        **{
            name: None if bounds.get(name) is None else bounds[name] * scale + offset
            for name in ("stop_low", "watch_low", "watch_high", "stop_high")
        },
        "guards": {name: width * scale for name, width in guards.items()},
        "because": "",
        "source": "",
        "say": {},
        "sentences": {},
        "unjudged_when": [],
        "result": None,
        "answers": {},
        "inputs": {},
        "unjudged_because": "",
    }
    return made | {"good": list(window_texts(limit_from_dict(made)))}


CHAIN = part(size="25", span="412 mm", duty="shock", teeth=32, pitches=16)
BELT = part(
    pitch="5 mm",
    centre="310 mm",
    diameter1="38.2 mm",
    diameter2="57.3 mm",
    tension="85 N",
    measured_by="tone",
)
BOLTS = part(
    thread="M6",
    grade="8.8",
    plate="6061-T6",
    condition="dry",
    locking="none",
    engagement="9 mm",
    count=6,
)
ROPE = part(
    diameter="3 mm",
    construction="7x19",
    material="stainless",
    sheave="57 mm",
    termination="swaged sleeve",
    load="420 N",
)
CORD = part(diameter="6 mm", knot="figure-eight")
RATCHET = part(
    drum="32 mm",
    rope="4 mm",
    lines=1,
    ratio=1.0,
    teeth=24,
    pawl_radius="21 mm",
    tooth_strength="2.4 kN",
    stretch="3 mm",
    hold_time="30 s",
)
SERVO = part(
    rated_torque="110 N*cm",
    rated_voltage="6 V",
    sagged_voltage="5.1 V",
    horn="17 mm",
    travel="90 deg",
    travel_error=0.0349065850398866,
)
SPRING = part(lifts="6.4 kg", count=2)
BATTERY = part(capacity="18 A*h", load_low=5.0, load_high=50.0)
WIRE = part(length="1.2 m", gauge=6, current="40 A")
AIR = part(stored_pressure="8.3 bar", needed_pressure="6.9 bar", wait="20 min")
WHEEL = part(tread_new="6 mm", tread_least="3.5 mm")
ENCODER = part(offset="117.4 deg", allowed=0.0349065850398866)
CAMERA = part(aim="-12.5 deg", allowed=0.0174532925199433)
ROLLER = part(play="0.4 mm", play_most="1.5 mm")
SCREW = part(seat="flat", count=2)
PLAIN = part()
LOOKS = [
    part("timing-belt", pitch="5 mm"),
    part("fuse-panel", count=20),
    *(part(kind) for kind in ("battery", "breaker", "gearbox", "cover", "frame")),
]
"""Parts whose kind has a look of its own."""
DRAWN: dict[str, tuple[SimpleNamespace, tuple[str, ...]]] = {
    "chain-slack": (CHAIN, ("412 mm",)),
    "chain-wear": (CHAIN, ("16 pitches", "101.6 mm")),
    "belt-tone": (BELT, ("310 mm", "85 N")),
    "belt-deflection": (BELT, ("310 mm", "85 N")),
    "bolt-audit": (BOLTS, ("M6", "8.8", "9 mm", "6061-T6")),
    "witness-mark": (BOLTS, ("M6 × 6",)),
    "bolt-circle": (BOLTS, ("M6", ">6<")),
    "set-screw": (SCREW, ("2 screws, seat: flat",)),
    "rope-wires": (ROPE, ("18 mm", "90 mm", "7x19")),
    "rope-diameter": (ROPE, ("new 3 mm",)),
    "rope-end": (ROPE, ("swaged sleeve",)),
    "ratchet-tooth": (RATCHET, ("24 teeth", "21 mm", "32 mm")),
    "hold-test": (RATCHET, ("hold 30 s",)),
    "servo-travel": (SERVO, ("90 °", "2 °")),
    "servo-torque": (SERVO, ("17 mm", "110 N·cm", "5.1 V")),
    "battery-rest": (BATTERY, ("18 A·h",)),
    "battery-loads": (BATTERY, ("5 A", "50 A")),
    "lug-twist": (PLAIN, ()),
    "plug-tug": (PLAIN, ()),
    "bus-ohms": (PLAIN, ()),
    "wire-drop": (WIRE, ("1.2 m", "AWG 6", "40 A")),
    "air-leak": (AIR, ("8.3 bar", "6.9 bar", "20 min")),
    "spring-force": (SPRING, ("6.4 kg", "2 springs")),
    "tread-depth": (WHEEL, ("new 6 mm", "least 3.5 mm")),
    "wheel-spin": (PLAIN, ()),
    "encoder-offset": (ENCODER, ("117.4 °", "2 °")),
    "camera-target": (CAMERA, ("-12.5 °", "1 °")),
    "roller-play": (ROLLER, ("new 0.4 mm", "most 1.5 mm")),
    "plate-crack": (PLAIN, ()),
    "bumper-pull": (PLAIN, ()),
    "screen-read": (PLAIN, ()),
    "look": (PLAIN, ()),
    "collar-gap": (part(gap_most="1 mm"), ("1 mm",)),
    "gear-play": (part(play="4 deg"), ("4 °",)),
    "drum-wraps": (RATCHET, ("32 mm", "4 mm")),
    "hook-opening": (part(opening="38 mm"), ("new 38 mm",)),
    "scale-weigh": (PLAIN, ()),
    "path-look": (PLAIN, ()),
    "path-proof": (PLAIN, ()),
    "hook-gauge": (part(opening="40 mm"), ("42 mm", "new 40 mm")),
    "wheel-line": (RATCHET, ("24 teeth",)),
    "brake-line": (part(style="closed", rated_torque="12 N*m"), ("closed", "12 N·m")),
    "brake-gap": (part(style="band"), ("band",)),
    "one-way-turn": (PLAIN, ()),
    "worm-push": (PLAIN, ()),
    "pin-through": (part(diameter="8 mm"), ("8 mm",)),
    "over-center": (part(past_center="4 mm"), ("4 mm past center",)),
    "cart-under": (PLAIN, ()),
    "winch-ends": (PLAIN, ()),
    "give-top": (PLAIN, ()),
    "drum-layers": (part(diameter="32 mm"), ("32 mm",)),
    "chain-run": (part(size="35"), ("#35",)),
    "cord-cloth": (part(fiber="hmpe", knot="bowline"), ("hmpe", "bowline")),
    "battery-strap": (PLAIN, ()),
    "stud-wrench": (part(stud="1/4-28"), ("1/4-28 stud",)),
    "crimp-pull": (part(gauge=12), ("wire 12",)),
    "bearing-rock": (PLAIN, ()),
    "chain-gauge": (part(pitches=16), ("16 pitches",)),
    "gas-spring": (part(force="200 N"), ("200 N",)),
    "motor-touch": (PLAIN, ()),
    "pawl-depth": (part(tooth_height="4 mm"), ("tooth 4 mm",)),
    "module-four": (PLAIN, ()),
    "volts-plug": (part(supply_low="9 V", supply_high="15 V"), ("9 V to 15 V",)),
    "relief-vent": (
        part(relief_pressure="8.6 bar", stored_pressure="8.27 bar"),
        ("8.6 bar", "8.27 bar"),
    ),
    "cylinder-rod": (PLAIN, ()),
    "chain-pull": (PLAIN, ()),
    "pressure-switch": (part(stored_pressure="8.27 bar"), ("full 8.27 bar",)),
    "pressure-regulator": (part(working_pressure="4.1 bar"), ("set to 4.1 bar",)),
    "valve-ways": (PLAIN, ()),
    "tooth-wipe": (PLAIN, ()),
    "nut-fingers": (PLAIN, ()),
    "nut-drag": (part(thread="1/4-20"), ("1/4-20",)),
    "pad-thickness": (part(pad_new="5 mm", pad_least="2 mm"), ("new 5 mm", "out at 2 mm")),
}
"""Every drawing with a part for it, and the part's own numbers that must stand in it."""
CHAIN_LIMIT = limit(stop_low=8.2, stop_high=12.4, guards={"stop_low": 1.0, "stop_high": 1.0})
