"""The `[climb]` table of a build sheet: which parts the robot hangs on, one after the other, and
how hard each is held."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pitcrew.base.errors import nearest
from pitcrew.domain.robot.mistakes import NOTHING, Mistakes
from pitcrew.domain.robot.tables import Field, read_table

INSPECTED = ("shaft", "key", "gearbox", "chain stage", "pawl", "hook", "structure")
"""What every climb hangs on besides rope, ratchet and bolts; each is listed, with or without
numbers."""
ROPE_KINDS = ("wire-rope", "cord")

CLIMB_FIELDS = (
    Field(
        "rope",
        "id",
        "id of the part that is the climb rope: a wire-rope, or a cord with its strength",
    ),
    Field("ratchet", "id", "id of the part that is the ratchet and drum"),
    Field(
        "equaliser",
        "yes_no",
        "whether an equaliser shares the load over separate lines; without one, any one line must"
        " hold it all",
        required=False,
        default=False,
    ),
    Field(
        "latency",
        "time",
        "time until the pawl is free to fall, once told",
        required=False,
        default=0.0,
        least=0,
        most=10,
    ),
    Field(
        "speed",
        "speed",
        "speed at which the rope runs out meanwhile",
        required=False,
        default=0.0,
        least=0,
        most=20,
    ),
    Field(
        "bolts",
        "tables",
        "the bolted joints of the chain, each under [[climb.bolts]]",
        required=False,
        default=[],
    ),
    Field(
        "other",
        "tables",
        "anything else of the chain that has numbers, each under [[climb.other]]",
        required=False,
        default=[],
    ),
)
BOLTS_FIELDS = (
    Field("part", "id", "id of the bolted joint"),
    Field(
        "carries",
        "words",
        "pull: the rope's pull along the bolts; shear: that pull across them; torque: the drum's,"
        " on a circle",
        choices=("pull", "shear", "torque"),
    ),
    Field(
        "radius",
        "length",
        "radius of the bolt circle, for a torque",
        required=False,
        least=0.001,
        most=1,
    ),
)
OTHER_FIELDS = (
    Field("name", "text", "what it is: " + ", ".join(INSPECTED) + ", or a name of your own"),
    Field("part", "id", "id of the part, where the build sheet has it", required=False),
    Field(
        "strength",
        "force",
        "force that breaks it, by its maker or a pull test",
        required=False,
        least=1,
    ),
    Field(
        "torque_strength",
        "torque",
        "torque that breaks it, by its maker or a test",
        required=False,
        least=0.01,
    ),
    Field(
        "radius",
        "length",
        "lever at which the drum's torque pulls with a force on it, such as a sprocket's",
        required=False,
        least=0.001,
        most=1,
    ),
)


@dataclass(frozen=True)
class ClimbBolts:
    """A bolted joint of the chain: what it carries, and the radius of its circle in m where that is
    a torque."""

    part: str
    carries: str
    radius: float | None = None


@dataclass(frozen=True)
class ClimbOther:
    """Anything else of the chain: the force in N or torque in N*m that breaks it, and the lever in
    m of a force."""

    name: str
    part: str = ""
    strength: float | None = None
    torque_strength: float | None = None
    radius: float | None = None


@dataclass(frozen=True)
class ClimbParts:
    """The chain by the ids of its parts; `latency` in s, `speed` in m/s."""

    rope: str
    ratchet: str
    equaliser: bool = False
    latency: float = 0.0
    speed: float = 0.0
    bolts: tuple[ClimbBolts, ...] = ()
    other: tuple[ClimbOther, ...] = ()

    @property
    def parts(self) -> tuple[str, ...]:
        """The ids of all parts that the chain names."""
        return (
            self.rope,
            self.ratchet,
            *(item.part for item in self.bolts),
            *(item.part for item in self.other if item.part),
        )


def read_climb(
    table: dict[str, Any] | None, kinds: Mapping[str, str], mistakes: Mistakes
) -> ClimbParts | None:
    """The `[climb]` table; `kinds` gives the kind of each part by id. None where there is none, or
    it cannot be used."""
    if table is None:
        return None
    values = read_table(table, CLIMB_FIELDS, "climb", mistakes)
    bolts = [
        read_table(item, BOLTS_FIELDS, f"climb.bolts {number}", mistakes)
        for number, item in enumerate(values.pop("bolts", []), 1)
    ]
    other = [
        read_table(item, OTHER_FIELDS, f"climb.other {number}", mistakes)
        for number, item in enumerate(values.pop("other", []), 1)
    ]
    _known(values, "rope", "climb", kinds, ROPE_KINDS, mistakes)
    _known(values, "ratchet", "climb", kinds, ("ratchet",), mistakes)
    for number, item in enumerate(bolts, 1):
        _known(item, "part", f"climb.bolts {number}", kinds, ("bolted-joint",), mistakes)
        if item.get("carries") == "torque" and "radius" not in item:
            mistakes.add(
                f"climb.bolts {number}, radius",
                NOTHING,
                'the radius of the bolt circle, such as "20 mm"',
            )
            item.pop("carries")
    for number, item in enumerate(other, 1):
        _known(item, "part", f"climb.other {number}", kinds, (), mistakes)
    if not {"rope", "ratchet"} <= set(values):
        return None
    return ClimbParts(
        **values,
        bolts=tuple(ClimbBolts(**item) for item in bolts if {"part", "carries"} <= set(item)),
        other=tuple(ClimbOther(**item) for item in other if "name" in item),
    )


def _known(
    values: dict[str, Any],
    key: str,
    place: str,
    kinds: Mapping[str, str],
    wanted: tuple[str, ...],
    mistakes: Mistakes,
) -> None:
    """Take a reference out again that leads to no part, or to one of another kind; that is a
    mistake."""
    part = values.get(key)
    if part is None:
        return
    fitting = [name for name, kind in kinds.items() if not wanted or kind in wanted]
    if part not in fitting:
        kind = " or ".join(wanted)
        mistakes.add(
            f"{place}, {key}",
            part,
            f"the id of a {kind or 'part'} of this build sheet",
            nearest(part, fitting),
        )
        del values[key]
