"""The arithmetic of checklists: what it reads, what it refuses, and that it stays within plain
arithmetic."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.errors import BadInput
from pitcrew.base.unittable import SI_UNIT, UNITS
from pitcrew.domain.checks.formulas import (
    PLAIN,
    NoResult,
    dimension,
    dimension_name,
    evaluate,
    exponents,
    names,
    parse,
    substitute,
)


@pytest.mark.parametrize(
    ("text", "expression"),
    [
        ("travel", "travel"),
        ("2.5", 2.5),
        ("a + b * c", ["+", "a", ["*", "b", "c"]]),
        ("(a + b) * c", ["*", ["+", "a", "b"], "c"]),
        ("a - b - c", ["-", ["-", "a", "b"], "c"]),
        ("a / b / c", ["/", ["/", "a", "b"], "c"]),
        ("-a * b", ["*", ["-", "a"], "b"]),
        ("min(a, 2, b)", ["min", "a", 2.0, "b"]),
        ("abs(reads - part.offset)", ["abs", ["-", "reads", "part.offset"]]),
        ("100 * (measured / new - 1)", ["*", 100.0, ["-", ["/", "measured", "new"], 1.0]]),
    ],
)
def test_reads_plain_arithmetic(text: str, expression: object) -> None:
    assert parse(text) == expression


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a ^ b", "has '^' in it"),
        ("a +", "where 'its end' stands"),
        ("a b", "goes on with 'b'"),
        ("(a", "needs ')'"),
        ("sqrt(a)", "calls 'sqrt'"),
        ("abs(a, b)", "gives abs 2 values"),
        ("", "needs a name"),
        ("A + b", "has 'A' in it"),
        ("__import__('os')", "calls '__import__'"),
        ("a" + " + a" * 21, "more than 20 levels"),
        ("(" * 60 + "a" + ")" * 60, "more than 20 levels"),
        ("a" * 301, "at most 300"),
    ],
)
def test_refuses_all_else_with_a_sentence(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=r".") as error:
        evaluate(parse(text), {"a": 1.0, "b": 2.0})
    assert said in error.value.sentence


def test_names_and_substitution() -> None:
    expression = parse("min(a, part.span) - setting.slip")
    assert names(expression) == {"a", "part.span", "setting.slip"}
    fixed = substitute(expression, {"part.span": 0.4, "setting.slip": 0.01}, keep={"a"})
    assert fixed == ["-", ["min", "a", 0.4], 0.01]
    with pytest.raises(NoResult, match=r"part\.span is missing"):
        substitute(expression, {"setting.slip": 0.01}, keep={"a"})


def test_no_result_for_a_division_by_zero_or_a_missing_name() -> None:
    with pytest.raises(NoResult, match="division by zero"):
        evaluate(parse("a / (b - b)"), {"a": 1.0, "b": 2.0})
    with pytest.raises(NoResult, match="c is missing"):
        evaluate(parse("a + c"), {"a": 1.0})
    with pytest.raises(NoResult, match="too large"):
        evaluate(parse("a * a"), {"a": 1e9})


@given(
    st.recursive(
        st.sampled_from(["a", "b", "3", "0.25"]),
        lambda inner: (
            st.builds("({} {} {})".format, inner, st.sampled_from("+-*"), inner)
            | st.builds("max({}, {})".format, inner, inner)
        ),
        max_leaves=12,
    )
)
def test_agrees_with_python_on_what_python_can_read(text: str) -> None:
    a, b = 2.5, -0.75
    assert evaluate(parse(text), {"a": a, "b": b}) == eval(text, {"max": max}, {"a": a, "b": b})


def test_dimensions_are_those_of_pint() -> None:
    """The exponents table against pint's own dimensions, for every dimension that has SI base units
    (charge is kept in A*h)."""
    registry = pint.UnitRegistry()
    bases = ("[length]", "[mass]", "[time]", "[current]", "[temperature]")
    plain = ("percent", "number", "angle", "charge")
    for name, unit in SI_UNIT.items():
        if name in plain:
            continue
        found = dict(
            registry.get_dimensionality(UNITS[unit][1] if name != "temperature" else "kelvin")
        )
        assert exponents(name)[:5] == tuple(int(found.get(base, 0)) for base in bases), name


def test_unlike_things_are_not_added() -> None:
    known = {
        "travel": exponents("length"),
        "span": exponents("length"),
        "volts": exponents("voltage"),
        "amps": exponents("current"),
        "n": PLAIN,
    }
    assert dimension(parse("(travel + span) / n"), known) == exponents("length")
    assert dimension_name(dimension(parse("volts / amps"), known)) == "resistance"
    assert dimension_name(dimension(parse("travel / span"), known)) == "number"
    assert dimension(parse("max(0, travel)"), known) == exponents("length")
    with pytest.raises(BadInput, match="a length and a voltage together"):
        dimension(parse("travel + volts"), known)
    with pytest.raises(BadInput, match="a length and a number together"):
        dimension(parse("travel + 2"), known)
    with pytest.raises(BadInput, match="no number here"):
        dimension(parse("trvel"), known)


def test_not_finite_numbers_do_not_pass() -> None:
    with pytest.raises(NoResult):
        evaluate("a", {"a": math.nan})
    with pytest.raises(NoResult):
        evaluate("a", {"a": math.inf})
