"""What the mechanical figures refuse, and how: a sentence with what arrived and what is expected,
never a traceback."""

import math
from typing import Any

import pytest

from pitcrew.base.errors import BadInput, BadQuantity, OutOfRange, UnknownName
from pitcrew.engineering.catalogue import find
from tests.every import every

GOOD: dict[str, dict[str, str]] = {
    "chain-strength": {"size": "35"},
    "chain-length": {"size": "35", "centre": "300 mm", "teeth1": "16", "teeth2": "32"},
    "chain-slack": {"span": "300 mm", "duty": "normal"},
    "chain-wear": {
        "size": "35",
        "pitches": "16",
        "measured": "154 mm",
        "teeth": "32",
        "fixed_centres": "no",
    },
    "chain-tension": {"weight_per_length": "3 N/m", "span": "300 mm", "sag": "9 mm"},
    "chain-ripple": {"teeth": "16"},
    "belt-tension": {"mass_per_length": "60 g/m", "span": "250 mm", "frequency": "100 Hz"},
    "belt-span": {"centre": "300 mm", "diameter1": "40 mm", "diameter2": "20 mm"},
    "belt-deflection": {"tension": "100 N", "span": "250 mm"},
    "bolt-area": {"thread": "M6"},
    "bolt-proof": {"thread": "M6", "grade": "8.8"},
    "bolt-torque": {"thread": "M6", "grade": "8.8", "condition": "zinc", "fraction": "0.75"},
    "bolt-preload": {"thread": "M6", "torque": "8 N*m", "condition": "zinc"},
    "nut-factor": {"thread": "M6", "thread_friction": "0.15", "collar_friction": "0.15"},
    "bolt-strip": {"thread": "M6", "engagement": "6 mm"},
    "thread-engagement": {"thread": "M6", "bolt_strength": "800 MPa", "plate_strength": "290 MPa"},
    "bolt-audit": {
        "thread": "M6",
        "grade": "8.8",
        "plate": "6061-T6",
        "condition": "zinc",
        "engagement": "6 mm",
    },
    "aircraft-torque": {"thread": "10-32", "joint": "tension"},
    "locknut-torque": {"thread": "10-32", "rule": "nasm25027"},
    "ratchet-hold": {
        "mass": "68 kg",
        "drum": "30 mm",
        "rope": "4 mm",
        "lines": "1",
        "ratio": "1",
        "pawl_radius": "25 mm",
    },
    "ratchet-drop": {
        "drum": "30 mm",
        "teeth": "12",
        "ratio": "1",
        "latency": "50 ms",
        "speed": "100 mm/s",
    },
    "ratchet-pitch": {"torque": "10 N*m", "width": "10 mm", "teeth": "12"},
    "impact-factor": {"drop": "5 mm", "stretch": "2 mm"},
    "hold-slip": {"slip": "2 mm", "drum": "30 mm", "teeth": "12", "ratio": "1"},
    "back-drive": {"efficiency": "0.6"},
    "servo-torque": {"rated_torque": "2 N*m", "rated_voltage": "6 V", "voltage": "5 V"},
    "servo-force": {"torque": "2 N*m", "horn": "20 mm"},
    "motor-torque": {"stall_torque": "2 N*m", "free_speed": "5000 rpm", "speed": "2000 rpm"},
    "spring-force": {"mass": "5 kg", "springs": "2"},
    "rope-strength": {"diameter": "3.175 mm", "construction": "7x19", "material": "carbon"},
    "rope-bend": {"diameter": "3 mm", "sheave": "60 mm"},
    "sheave-least": {"diameter": "3 mm", "construction": "7x19"},
    "rope-load": {
        "strength": "9 kN",
        "termination": "0.95",
        "bend": "0.91",
        "knot": "none",
        "factor": "5",
    },
    "rope-diameter-loss": {"nominal": "3.2 mm", "measured": "3.1 mm"},
    "broken-wires": {"rule": "climb", "in_6d": "1", "in_30d": "2", "at_end": "0"},
    "rope-stretch": {
        "diameter": "3.2 mm",
        "construction": "7x19",
        "material": "carbon",
        "length": "600 mm",
        "load": "600 N",
    },
    "cord-stretch": {
        "fiber": "hmpe",
        "strength": "6 kN",
        "length": "600 mm",
        "load": "600 N",
        "elongation": "4 %",
        "at": "0.5",
    },
    "knot-left": {"fiber": "nylon", "knot": "bowline"},
    "wraps-least": {"rope": "wire rope"},
    "hold-factor": {"material": "metal"},
    "drum-torque": {"load": "600 N", "drum": "30 mm", "rope": "4 mm", "layers": "2"},
    "stall-pull": {
        "stall_torque": "2 N*m",
        "motors": "2",
        "ratio": "20",
        "drum": "30 mm",
        "rope": "4 mm",
    },
    "swing-factor": {"angle": "30 deg"},
    "shaft-torsion": {"shape": "round", "size": "12 mm", "torque": "40 N*m", "bore": "6 mm"},
    "key-shear": {
        "width": "3 mm",
        "height": "3 mm",
        "length": "15 mm",
        "diameter": "12 mm",
        "torque": "20 N*m",
    },
    "pin-shear": {"diameter": "6 mm", "load": "3 kN", "planes": "2", "plate": "5 mm"},
    "band-brake-hold": {"friction": "0.1", "angle": "270 deg", "tension": "100 N", "drum": "80 mm"},
    "brake-friction": {"lining": "woven lining", "state": "dry"},
    "team-lift": {"each": "25 kg; 25 kg; 16 kg"},
    "belt-strength": {"profile": "htd5m", "width": "15 mm", "cord": "steel", "teeth": "10"},
    "disc-brake-hold": {
        "friction": "0.1",
        "force": "800 N",
        "outer": "60 mm",
        "inner": "30 mm",
        "faces": "2",
    },
    "worm-hold": {"lead_angle": "4 deg", "friction": "0.08", "pressure_angle": "20 deg"},
}
NUMBERS = [
    (name, key)
    for name, given in GOOD.items()
    for key in given
    if find(name).parameters[key].kind in ("quantity", "number", "count")
]
QUANTITIES = [(name, key) for name, key in NUMBERS if find(name).parameters[key].kind == "quantity"]
MAY_BE_ZERO = {
    ("ratchet-hold", "rope"),
    ("ratchet-drop", "latency"),
    ("ratchet-drop", "speed"),
    ("impact-factor", "drop"),
    ("hold-slip", "slip"),
    ("motor-torque", "speed"),
    ("nut-factor", "thread_friction"),
    ("nut-factor", "collar_friction"),
    ("broken-wires", "in_6d"),
    ("broken-wires", "in_30d"),
    ("broken-wires", "at_end"),
    ("rope-stretch", "load"),
    ("cord-stretch", "load"),
    ("drum-torque", "rope"),
    ("stall-pull", "rope"),
    ("swing-factor", "angle"),
    ("shaft-torsion", "bore"),
    ("disc-brake-hold", "inner"),
}


def si(name: str) -> dict[str, Any]:
    figure = find(name)
    return {key: figure.read(key, text) for key, text in GOOD[name].items()}


def plain_sentence(error: BadInput) -> bool:
    return (
        error.sentence.rstrip().endswith(".")
        and "Traceback" not in error.sentence
        and "⟦" not in error.sentence
    )


@every("name", GOOD)
def test_the_good_example_is_good(name: str) -> None:
    outcome = find(name).compute_typed(GOOD[name])
    assert math.isfinite(outcome.value)
    for system in ("metric", "inch"):
        assert outcome.say(system).rstrip().endswith(".") and "⟦" not in outcome.say(system)
    assert set(find(name).extra_units) <= set(outcome.extras), (
        "a unit for an extra that is not there"
    )


@every("name key", NUMBERS)
@every("bad", [math.nan, math.inf, -math.inf, -1.0])
def test_numbers_that_are_none_or_negative_are_refused(name: str, key: str, bad: float) -> None:
    with pytest.raises(BadInput) as refusal:
        find(name).compute(si(name) | {key: bad})
    assert key in refusal.value.sentence and plain_sentence(refusal.value)


@every("name key", [pair for pair in NUMBERS if pair not in MAY_BE_ZERO])
def test_zero_is_refused_where_nothing_can_be_zero(name: str, key: str) -> None:
    with pytest.raises(BadInput) as refusal:
        find(name).compute(si(name) | {key: 0})
    assert plain_sentence(refusal.value)


@every("name key", sorted(MAY_BE_ZERO))
def test_zero_is_a_number_where_it_means_something(name: str, key: str) -> None:
    assert math.isfinite(find(name).compute(si(name) | {key: 0}).value)


@every("name key", QUANTITIES)
def test_a_wrong_dimension_names_both(name: str, key: str) -> None:
    dimension = find(name).parameters[key].dimension or ""
    wrong, other = ("3 s", "time") if dimension != "time" else ("3 V", "voltage")
    with pytest.raises(BadQuantity) as refusal:
        find(name).compute_typed(GOOD[name] | {key: wrong})
    assert other in refusal.value.sentence and dimension.replace("_", " ") in refusal.value.sentence


@every("name key", QUANTITIES)
def test_a_bare_number_is_refused_where_a_unit_belongs(name: str, key: str) -> None:
    with pytest.raises(BadQuantity, match="unit"):
        find(name).compute_typed(GOOD[name] | {key: "3"})


@every("name key", NUMBERS)
def test_huge_numbers_end_in_a_value_or_a_sentence(name: str, key: str) -> None:
    count = find(name).parameters[key].kind == "count"
    for huge in (10**30 if count else 1e300, 1 if count else 1e-300):
        try:
            assert math.isfinite(find(name).compute(si(name) | {key: huge}).value)
        except BadInput as refusal:
            assert plain_sentence(refusal)


@every("name", GOOD)
def test_an_unknown_parameter_gives_the_nearest(name: str) -> None:
    key = next(iter(GOOD[name]))
    with pytest.raises(UnknownName) as refusal:
        find(name).compute_typed(GOOD[name] | {key + "z": "1"})
    assert refusal.value.nearest == key


@every(
    "name key typed nearest",
    [
        ("chain-slack", "duty", "normall", "normal"),
        ("chain-strength", "size", "08C", "08b"),
        ("bolt-proof", "grade", "8.9", "8.8"),
        ("bolt-torque", "condition", "lubricate", "lubricated"),
        ("bolt-audit", "plate", "6061-t7", "6061-t6"),
        ("aircraft-torque", "joint", "tensions", "tension"),
        ("locknut-torque", "rule", "nasm2502", "nasm25027"),
        ("rope-strength", "construction", "7x18", "7x19"),
        ("rope-strength", "material", "carbn", "carbon"),
        ("rope-load", "knot", "bowlin", "bowline"),
        ("broken-wires", "rule", "climbs", "climb"),
        ("rope-diameter-loss", "rule", "mines", "mine"),
        ("rope-stretch", "construction", "7x18", "7x19"),
        ("cord-stretch", "fiber", "nylom", "nylon"),
        ("knot-left", "knot", "bowlin", "bowline"),
        ("hold-factor", "material", "metl", "metal"),
        ("shaft-torsion", "shape", "rund", "round"),
        ("brake-friction", "lining", "woven linings", "woven lining"),
        ("belt-strength", "profile", "htd5n", "htd5m"),
        ("chain-strength", "link", "connecting lnk", "connecting link"),
    ],
)
def test_unknown_names_give_the_nearest(name: str, key: str, typed: str, nearest: str) -> None:
    with pytest.raises(UnknownName) as refusal:
        find(name).compute_typed(GOOD[name] | {key: typed})
    assert refusal.value.nearest == nearest and typed in refusal.value.sentence


@every(
    "name changes held",
    [
        ("chain-wear", {"measured": "180 mm"}, "Count the pitches"),
        ("chain-wear", {"pitches": "3"}, "at least 6"),
        ("chain-length", {"centre": "30 mm"}, "touch"),
        ("chain-tension", {"sag": "400 mm"}, "slack span"),
        ("belt-tension", {"pitch": "20 mm"}, "20"),
        ("belt-span", {"centre": "30 mm"}, "overlap"),
        ("bolt-proof", {"thread": "10-32", "grade": "5"}, "1/4 in to 1-1/2 in"),
        ("bolt-strip", {"engagement": "30 mm"}, "3 diameters"),
        ("servo-torque", {"voltage": "2 V"}, "wanted 3 to 9.6 V"),
        ("motor-torque", {"speed": "6000 rpm"}, "free speed"),
        ("rope-bend", {"sheave": "2 mm"}, "at least 1"),
        ("rope-diameter-loss", {"measured": "1 mm"}, "Measure"),
        ("chain-ripple", {"teeth": "0"}, "at least 5"),
        ("ratchet-drop", {"teeth": "0"}, "at least 2"),
        ("ratchet-hold", {"lines": "1.5"}, "whole number"),
        ("aircraft-torque", {"thread": "M6"}, "table 7-1"),
        ("rope-stretch", {"load": "12 kN"}, "breaks before 2 %"),
        ("cord-stretch", {"load": "7 kN"}, "breaks at 6000 N"),
        ("knot-left", {"fiber": "aramid"}, "only for: splice"),
        ("knot-left", {"fiber": "hmpe", "knot": "sheet bend"}, "the maker's own figure"),
        ("drum-torque", {"layers": "0"}, "at least 1"),
        ("swing-factor", {"angle": "91 deg"}, "at most 90"),
        ("shaft-torsion", {"bore": "12 mm"}, "a wall must be left"),
        ("shaft-torsion", {"shape": "hex"}, "nobody has published"),
        ("key-shear", {"width": "12 mm"}, "smaller than its shaft"),
        ("key-shear", {"height": "13 mm"}, "smaller than its shaft"),
        ("pin-shear", {"planes": "3"}, "at most 2"),
        ("band-brake-hold", {"friction": "0.7"}, "at most 0.6"),
        ("team-lift", {"each": "25 kg; 25 kg; 16 kg; 20 kg"}, "4 people arrived; wanted at most 3"),
        ("team-lift", {"each": "25 kg; -1 kg"}, "each is -1 kg"),
        ("disc-brake-hold", {"inner": "60 mm"}, "less inside than outside"),
        ("worm-hold", {"lead_angle": "50 deg"}, "at most 45"),
    ],
)
def test_outside_its_range_a_figure_says_what_arrived_and_what_is_wanted(
    name: str, changes: dict[str, str], held: str
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        find(name).compute_typed(GOOD[name] | changes)
    assert held in refusal.value.sentence and plain_sentence(refusal.value)


@every(
    "name",
    [
        name
        for name in GOOD
        if any(parameter.required for parameter in find(name).parameters.values())
    ],
)
def test_a_missing_argument_is_asked_for_with_an_example(name: str) -> None:
    figure = find(name)
    needed = next(key for key, parameter in figure.parameters.items() if parameter.required)
    given = {key: text for key, text in GOOD[name].items() if key != needed}
    with pytest.raises(BadInput, match=f"needs {needed}"):
        figure.compute_typed(given)


@every(
    "name changed told",
    [
        (
            "chain-slack",
            {"span": "-300 mm"},
            (
                "span is -300 mm",
                "at least 50 mm and at most 5000 mm",
                "Range: spans of 50 mm to 5 m",
            ),
        ),
        (
            "chain-ripple",
            {"teeth": "0"},
            ("teeth is 0", "at least 5", "Range: sprockets of 5 teeth and more"),
        ),
    ],
)
def test_outside_the_range_the_number_is_told_as_people_write_it_with_the_range_of_the_source(
    name: str, changed: dict[str, str], told: tuple[str, ...]
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        find(name).compute_typed(GOOD[name] | changed)
    assert all(words in refusal.value.sentence for words in told)
