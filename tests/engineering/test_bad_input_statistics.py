"""What the electrical, statistical and measurement figures refuse, and how: a sentence, never a
traceback, never a NaN."""

import math
from typing import Any

import pytest

from pitcrew.base.errors import BadInput, BadQuantity, UnknownName
from pitcrew.engineering.catalogue import find
from pitcrew.engineering.printing import outcome_json
from tests.every import every

GOOD: dict[str, dict[str, str]] = {
    "battery-charge": {"rest_voltage": "12.7 V", "table": "agm"},
    "battery-resistance": {"v1": "12.6 V", "i1": "20 A", "v2": "12.1 V", "i2": "60 A"},
    "battery-capacity": {"capacity": "17 A*h", "temperature": "15 degC", "rated_time": "20 h"},
    "peukert-time": {
        "capacity": "18 A*h",
        "rated_time": "20 h",
        "current": "20 A",
        "exponent": "1.15",
    },
    "peukert-exponent": {"i1": "1 A", "t1": "18 h", "i2": "20 A", "t2": "40 min"},
    "load-test-minimum": {"temperature": "15 degC"},
    "battery-sag": {
        "rest_voltage": "12.7 V",
        "resistance": "15 mohm",
        "current": "150 A",
        "wiring": "5 mohm",
        "brown_out": "6.8 V",
    },
    "wire-drop": {"length": "1 m", "gauge": "12", "current": "40 A"},
    "bus-resistance": {"measured": "60 ohm"},
    "leak-rate": {"volume": "1 l", "drop": "10 kPa", "time": "5 min"},
    "rate-interval": {"events": "3", "exposure": "12", "confidence": "0.95"},
    "share-interval": {"hits": "3", "tries": "12", "confidence": "0.95", "method": "exact"},
    "stock-risk": {"events": "3", "exposure": "12", "ahead": "6", "stock": "2"},
    "trend": {"times": "2,3,9", "end": "12", "truncated": "time"},
    "growth": {"times": "2,3,9", "end": "12", "truncated": "time", "confidence": "0.9"},
    "growth-grouped": {"ends": "4,8,12", "counts": "3,2,1", "confidence": "0.9"},
    "survival": {"times": "2,3,9", "removed": "5,12", "confidence": "0.9"},
    "survival-compare": {"times1": "2,3,9", "times2": "4,5,6", "removed1": "12", "removed2": "12"},
    "ewma": {"values": "1,2,3", "centre": "2", "sd": "1", "weight": "0.3", "width": "3"},
    "individuals": {"values": "1,2,3"},
    "line": {"x": "1,2,3,4", "y": "1,2,4,4", "confidence": "0.9"},
    "robust-line": {"x": "1,2,3,4", "y": "1,2,4,4", "confidence": "0.9", "limit": "9"},
    "guard-band": {"limit": "3 mm", "uncertainty": "0.2 mm", "risk": "0.05", "side": "upper"},
    "uncertainty-ratio": {"tolerance": "3 mm", "uncertainty": "0.2 mm"},
}
KINDS = {
    (name, key): find(name).parameters[key].kind for name, given in GOOD.items() for key in given
}
NUMBERS = [pair for pair, kind in KINDS.items() if kind in ("quantity", "number", "count")]
QUANTITIES = [pair for pair, kind in KINDS.items() if kind == "quantity"]
LISTS = [pair for pair, kind in KINDS.items() if kind == "numbers"]
CHOICES = [pair for pair, kind in KINDS.items() if kind == "choice"]
SIGNED = {("ewma", "centre"), ("robust-line", "limit"), ("wire-drop", "gauge")}
MAY_BE_ZERO = SIGNED | {
    ("battery-resistance", "i1"),
    ("battery-sag", "resistance"),
    ("battery-sag", "current"),
    ("battery-sag", "wiring"),
    ("wire-drop", "current"),
    ("leak-rate", "drop"),
    ("rate-interval", "events"),
    ("share-interval", "hits"),
    ("stock-risk", "events"),
    ("stock-risk", "stock"),
}
SIGNED_LISTS = {
    ("ewma", "values"),
    ("individuals", "values"),
    ("line", "x"),
    ("line", "y"),
    ("robust-line", "x"),
    ("robust-line", "y"),
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


def finite(value: Any) -> bool:
    if isinstance(value, list):
        return all(finite(item) for item in value)
    return value is None or isinstance(value, str) or math.isfinite(value)


@every("name", GOOD)
def test_the_good_example_is_good(name: str) -> None:
    figure = find(name)
    outcome = figure.compute_typed(GOOD[name])
    assert all(finite(value) for value in outcome_json(figure, outcome).values())
    for system in ("metric", "inch"):
        assert outcome.say(system).rstrip().endswith(".") and "⟦" not in outcome.say(system)
    assert set(figure.extra_units) - {"reach", "reach_early", "reach_late"} <= set(outcome.extras)
    assert set(outcome.extras) <= set(figure.extra_units), "an extra without a declared unit"


@every("name key", NUMBERS)
@every("bad", [math.nan, math.inf, -math.inf, "12", True, None, [1.0]])
def test_what_is_no_finite_number_is_refused(name: str, key: str, bad: Any) -> None:
    if bad is None and not find(name).parameters[key].required:
        return
    with pytest.raises(BadInput) as refusal:
        find(name).compute(si(name) | {key: bad})
    assert key in refusal.value.sentence and plain_sentence(refusal.value)


@every("name key", [pair for pair in NUMBERS if pair not in SIGNED])
def test_negative_numbers_are_refused(name: str, key: str) -> None:
    with pytest.raises(BadInput) as refusal:
        find(name).compute(si(name) | {key: -1.0})
    assert key in refusal.value.sentence and plain_sentence(refusal.value)


@every("name key", NUMBERS)
def test_zero_is_refused_or_means_something(name: str, key: str) -> None:
    if (name, key) in MAY_BE_ZERO:
        assert math.isfinite(find(name).compute(si(name) | {key: 0}).value)
        return
    with pytest.raises(BadInput) as refusal:
        find(name).compute(si(name) | {key: 0})
    assert plain_sentence(refusal.value)


@every("name key", NUMBERS)
@every("size", [1e300, 1e-300, 10**30])
def test_huge_and_tiny_numbers_end_in_a_value_or_a_sentence(
    name: str, key: str, size: float
) -> None:
    try:
        figure = find(name)
        outcome = figure.compute(si(name) | {key: size})
        assert all(finite(value) for value in outcome_json(figure, outcome).values())
    except BadInput as refusal:
        assert plain_sentence(refusal)


@every("name key", QUANTITIES)
def test_a_wrong_dimension_names_both(name: str, key: str) -> None:
    dimension = find(name).parameters[key].dimension or ""
    wrong, other = ("3 s", "time") if dimension != "time" else ("3 V", "voltage")
    with pytest.raises(BadQuantity) as refusal:
        find(name).compute_typed(GOOD[name] | {key: wrong})
    assert other in refusal.value.sentence and dimension in refusal.value.sentence


@every("name key", QUANTITIES)
def test_a_bare_number_is_refused_where_a_unit_belongs(name: str, key: str) -> None:
    with pytest.raises(BadQuantity, match="unit"):
        find(name).compute_typed(GOOD[name] | {key: "3"})


@every("name key", LISTS)
@every("bad", [math.nan, math.inf, -math.inf, "3", None, True])
def test_lists_with_something_that_is_no_number(name: str, key: str, bad: Any) -> None:
    values = si(name)
    with pytest.raises(BadInput) as refusal:
        find(name).compute(values | {key: [*values[key], bad]})
    assert key in refusal.value.sentence and plain_sentence(refusal.value)


@every("name key", LISTS)
@every("typed", ["1;2", "1,x,3", "1,nan", "1,inf", "1e999,2", "--1,2"])
def test_lists_as_typed_are_read_or_refused(name: str, key: str, typed: str) -> None:
    try:
        assert math.isfinite(find(name).compute_typed(GOOD[name] | {key: typed}).value)
    except BadInput as refusal:
        assert plain_sentence(refusal)
        return
    assert typed == "1;2"


@every("name key", [pair for pair in LISTS if pair not in SIGNED_LISTS])
def test_negative_times_and_counts_are_refused(name: str, key: str) -> None:
    values = si(name)
    with pytest.raises(BadInput) as refusal:
        find(name).compute(values | {key: [-1.0, *values[key][1:]]})
    assert plain_sentence(refusal.value)


@every("name", sorted({name for name, _ in LISTS}))
def test_empty_lists_are_refused(name: str) -> None:
    keys = [key for figure, key in LISTS if figure == name]
    with pytest.raises(BadInput) as refusal:
        find(name).compute(si(name) | {key: [] for key in keys})
    assert plain_sentence(refusal.value)


@every("name key", LISTS)
def test_ten_thousand_numbers_end_in_a_value_or_a_sentence(name: str, key: str) -> None:
    figure, values = find(name), si(name)
    long = [float(i) for i in range(1, 10_001)]
    same = (
        [key for figure_name, key in LISTS if figure_name == name]
        if name in ("line", "robust-line", "growth-grouped")
        else [key]
    )
    try:
        outcome = figure.compute(
            values | {one: long for one in same} | ({"end": 10_001.0} if "end" in values else {})
        )
        assert all(finite(value) for value in outcome_json(figure, outcome).values())
    except BadInput as refusal:
        assert plain_sentence(refusal)
    with pytest.raises(BadInput, match="10001 numbers arrived"):
        figure.compute_typed(GOOD[name] | {key: ",".join(["1"] * 10_001)})


@every("name key", CHOICES)
def test_unknown_words_give_the_nearest(name: str, key: str) -> None:
    word = find(name).parameters[key].choices[0]
    with pytest.raises(UnknownName) as refusal:
        find(name).compute_typed(GOOD[name] | {key: word + "z"})
    assert refusal.value.nearest == word


@every("name", GOOD)
def test_an_unknown_parameter_gives_the_nearest(name: str) -> None:
    key = next(iter(GOOD[name]))
    with pytest.raises(UnknownName) as refusal:
        find(name).compute_typed(GOOD[name] | {key + "z": "1"})
    assert refusal.value.nearest == key


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
    with pytest.raises(BadInput, match=f"needs {needed}"):
        figure.compute_typed({key: text for key, text in GOOD[name].items() if key != needed})


@every("name", GOOD)
def test_every_figure_of_this_half_stands_here(name: str) -> None:
    assert {key for key, parameter in find(name).parameters.items() if parameter.required} <= set(
        GOOD[name]
    )


def test_an_unknown_figure_gives_the_nearest() -> None:
    with pytest.raises(UnknownName) as refusal:
        find("batery-charge")
    assert refusal.value.nearest == "battery-charge"
