"""Words of a part's specification that a table of the trade must have: threads, grades, plates,
chains, ropes and their ends.

A word that is not there would leave its checks unjudged at the event; told of here, it is a mistake
of the build sheet at home.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from pitcrew.base.errors import BadInput, OutOfRange, UnknownName
from pitcrew.base.units import show
from pitcrew.engineering.brakes import lining_pair
from pitcrew.engineering.chainsizes import chain, link_kept
from pitcrew.engineering.cords import fiber_name
from pitcrew.engineering.friction import condition
from pitcrew.engineering.grades import known_grade, strength
from pitcrew.engineering.lookup import plain
from pitcrew.engineering.plates import cracking_plastic, plate
from pitcrew.engineering.ropes import (
    KNOTS,
    TERMINATIONS,
    part_kept,
    rope_construction,
    rope_material,
    rope_strength,
)
from pitcrew.engineering.threads import screw, thread

Specs = Mapping[str, Any]


def _termination(written: object) -> float:
    return part_kept("termination", written, TERMINATIONS)


def _knot(written: object) -> float:
    return part_kept("knot", written, KNOTS)


Tables = dict[str, Callable[[str], object]]
_CABLE: Tables = {"construction": rope_construction, "material": rope_material}
_ENDS: Tables = {"termination": _termination, "knot": _knot}
_TABLES: dict[str, Tables] = {
    "roller-chain": {"size": chain, "link": link_kept},
    "sprocket": {"size": chain},
    "bolted-joint": {
        "thread": thread,
        "grade": known_grade,
        "plate": plate,
        "condition": condition,
    },
    "wire-rope": _CABLE | _ENDS,
    "cord": _ENDS | {"fiber": fiber_name},
    "brake": {"lining": lining_pair},
}
_WITHOUT_NUMBERS = {
    "grade": {"other", "stainless"},
    "plate": {"other", "abs", "acrylic", "pmma", "asa"},
}
"""What parts really are made of and no table here has numbers for: unjudged, but no mistake."""


def _grade_fits(specs: Specs) -> None:
    strength(thread(specs["thread"]), specs["grade"])


def _long_enough(specs: Specs) -> None:
    """A screw engages over its own length at most."""
    _, length = screw(specs["thread"])
    engaged = specs.get("engagement")
    if length is not None and engaged is not None and engaged > length:
        raise OutOfRange(
            f"The screw is {show(length, 'mm')} long, so that it can't engage over"
            f" {show(engaged, 'mm')}.",
            "engagement",
        )


def _joint_fits(specs: Specs) -> None:
    _long_enough(specs)
    _grade_fits(specs)


def _pair_rises(specs: Specs) -> None:
    """The second load of a resistance test is the larger one."""
    for low, high in (("load_low", "load_high"), ("second_low", "second_high")):
        if low in specs and high in specs and specs[high] <= specs[low]:
            raise OutOfRange(
                f"The larger load is {show(specs[high], 'A')}, the smaller one"
                f" {show(specs[low], 'A')}.",
                high,
            )


def _in_rope_table(specs: Specs) -> None:
    rope_strength(specs["diameter"], specs["construction"], specs["material"], None)


_TOGETHER: dict[str, Callable[[Specs], None]] = {
    "battery": _pair_rises,
    "bolted-joint": _joint_fits,
    "wire-rope": _in_rope_table,
}


def wrong_words(
    kind: str, specs: Specs, meanings: Mapping[str, str]
) -> Iterator[tuple[str, str, str | None]]:
    """Each key of a specification whose word no table has, or that goes with none of the others:
    key, what is expected, nearest.

    `meanings` gives what each key of the kind is. A rope whose maker's `strength` is given need not
    be in the table of ropes.
    """
    free = {key for key, words in _WITHOUT_NUMBERS.items() if plain(specs.get(key)) in words}
    if kind == "wire-rope" and "strength" in specs:
        free |= _CABLE.keys()
    for key, find in _TABLES.get(kind, {}).items():
        if (
            key in specs
            and key not in free
            and (found := _refused(find, specs[key], meanings[key]))
        ):
            yield key, *found
    if kind == "bolted-joint":
        yield from _wrong_locking(specs)
    try:
        if kind in _TOGETHER and not free:
            _TOGETHER[kind](specs)
    except OutOfRange as error:
        yield error.field or "", f"a {error.field} that goes with the rest. {error.sentence}", None
    except (UnknownName, KeyError):
        return  # reported already


def _wrong_locking(specs: Specs) -> Iterator[tuple[str, str, str | None]]:
    """Thread-locker where it cracks a plastic."""
    plastic = cracking_plastic(specs.get("plate")) or cracking_plastic(specs.get("layers"))
    if specs.get("locking") == "thread-locker" and plastic:
        right = (
            f"nylon insert, or none with a paint line: thread-locker cracks {plastic} under stress,"
            " days later; wipe it off at once and keep it away"
        )
        yield "locking", right, None


def _refused(
    find: Callable[[str], object], written: str, meaning: str
) -> tuple[str, str | None] | None:
    """What is wanted instead of a word and the nearest one; None where the table has it."""
    try:
        find(written)
    except UnknownName as error:
        return (meaning, error.nearest) if error.nearest else (f"{meaning}. {error.sentence}", None)
    except BadInput as error:
        return f"{meaning}. {error.sentence}", None
    return None
