"""Quantities at the edges: what a person types is read in one way only, or asked again."""

import math
from datetime import UTC, datetime

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.clock import zone_words
from pitcrew.base.errors import BadQuantity
from pitcrew.base.units import (
    SI_UNIT,
    UNITS,
    from_si,
    mark,
    parse_quantity,
    parse_reading,
    render,
    scale_of,
    screen_unit,
    show,
    split_number,
    to_si,
)


@pytest.mark.parametrize(
    ("typed", "value"),
    [("6,2", 6.2), ("6.2", 6.2), ("6,2 V", 6.2), ("6.2V", 6.2), (" 12,7 ", 12.7), ("1.250", 1.25), (".5", 0.5), ("−3", -3.0),
     ("1e-3", 0.001)],
)
def test_decimal_point_and_comma_are_read(typed: str, value: float) -> None:
    quantity = parse_reading(typed, "V")
    assert (quantity.value, quantity.unit, quantity.typed) == (value, "V", typed)


@pytest.mark.parametrize("typed", ["1.234,5", "1,234.5", "1,2,3", "1.2.3", "6,2,"])
def test_two_marks_are_ambiguous(typed: str) -> None:
    with pytest.raises(BadQuantity, match="two ways"):
        split_number(typed)


@pytest.mark.parametrize("typed", ["", "V", "abc", "--3", "nan", "inf", "1e999", "9**9**9 m", "0x10"])
def test_what_is_no_number_is_said(typed: str) -> None:
    with pytest.raises(BadQuantity):
        parse_reading(typed, "V")


def test_outside_what_is_possible_is_asked_again() -> None:
    with pytest.raises(BadQuantity, match=r"0 to 15 V.*once more"):
        parse_reading("62", "V", 0, 15)


def test_a_wrong_unit_says_which_was_expected() -> None:
    with pytest.raises(BadQuantity, match="is a current; expected a voltage in V"):
        parse_reading("6.2 A", "V")
    with pytest.raises(BadQuantity, match="expected a number in V"):
        parse_reading("6.2 furlong", "V")


def test_another_unit_of_the_same_dimension_is_kept_as_typed() -> None:
    quantity = parse_reading("0,4 in", "mm", 0, 80)
    assert (quantity.value, quantity.unit) == (0.4, "in")
    assert quantity.si == pytest.approx(0.01016)


def test_a_bare_number_where_a_unit_is_needed_is_a_mistake() -> None:
    for found in ("412", 412, 412.0, True, None):
        with pytest.raises(BadQuantity, match="no unit"):
            parse_quantity(found, "length")
    assert parse_quantity(5, "number").si == 5.0


@pytest.mark.parametrize(("text", "inches"), [("1/8 in", 0.125), ("16 1/4 in", 16.25), ("3/16in", 0.1875)])
def test_inch_fractions_are_read_in_files(text: str, inches: float) -> None:
    assert parse_quantity(text, "length").value == inches


def test_a_wrong_dimension_names_both() -> None:
    with pytest.raises(BadQuantity, match="is a torque; wanted a length"):
        parse_quantity("3 N*m", "length")


# NIST SP 811 (2008), Appendix B.8: conversion factors, digits as printed there; bold ones are exact.
NIST_SP_811 = [
    (1, "in", 2.54e-2, 0), (1, "ft", 3.048e-1, 0), (1, "lb", 4.535924e-1, 5e-8), (1, "oz", 2.834952e-2, 5e-9),
    (1, "lbf", 4.448222, 5e-7), (1, "kgf", 9.80665, 0), (1, "ft*lbf", 1.355818, 5e-7), (1, "in*lbf", 1.129848e-1, 5e-8),
    (1, "ozf*in", 7.061552e-3, 5e-10), (1, "psi", 6.894757e3, 5e-4), (1, "ksi", 6.894757e6, 5e-1), (1, "bar", 1e5, 0),
    (1, "lb/ft", 1.488164, 5e-7), (1, "lbf/ft", 1.459390e1, 5e-6), (1, "lbf/in", 1.751268e2, 5e-5), (1, "rpm", 1.047198e-1, 5e-8),
    (1, "deg", 1.745329e-2, 5e-9), (1, "in^3", 1.638706e-5, 5e-12), (1, "in^2", 6.4516e-4, 0), (32, "degF", 273.15, 1e-9),
]


@pytest.mark.parametrize(("value", "unit", "printed", "half_digit"), NIST_SP_811)
def test_factors_are_those_of_nist(value: float, unit: str, printed: float, half_digit: float) -> None:
    assert to_si(value, unit) == pytest.approx(printed, abs=half_digit, rel=1e-15)


def test_factors_are_those_of_pints_own_list() -> None:
    """Ours is short for the sake of a quick start; pint's default list is the other hand that wrote these definitions."""
    registry = pint.UnitRegistry()
    for unit, (dimension, name) in UNITS.items():
        if dimension != "temperature":
            expected = registry.Quantity(1.0, name).to(UNITS[SI_UNIT[dimension]][1]).magnitude
            assert scale_of(unit) == (pytest.approx(expected, rel=1e-15), 0.0), unit


@given(st.sampled_from(sorted(UNITS)), st.floats(-1e6, 1e6, allow_nan=False))
def test_there_and_back(unit: str, value: float) -> None:
    assert from_si(to_si(value, unit), unit) == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(st.floats(1e-6, 1e8))
def test_shown_numbers_are_read_back_within_their_digits(value: float) -> None:
    shown = show(value, "N", digits=4)
    assert parse_quantity(shown, "force").si == pytest.approx(value, rel=6e-4)


def test_every_dimension_has_an_si_unit_of_scale_one() -> None:
    assert {dimension: scale_of(unit) for dimension, unit in SI_UNIT.items()} == dict.fromkeys(SI_UNIT, (1.0, 0.0))


def test_a_sentence_is_written_in_the_readers_units() -> None:
    sentence = f"Press the middle of the {mark(0.412, 'length')} span."
    assert render(sentence) == "Press the middle of the 412 mm span."
    assert render(sentence, "inch") == "Press the middle of the 16.2 in span."
    assert screen_unit("voltage", "inch") == "V"


def test_a_plain_number_is_asked_for_as_one() -> None:
    with pytest.raises(BadQuantity, match=r"'50 h' is a time; wanted a number, such as 3\.5\."):
        parse_quantity("50 h", "number")


@given(st.text(max_size=80))
def test_no_text_does_anything_but_read_or_refuse(text: str) -> None:
    try:
        assert math.isfinite(parse_reading(text, "mm").si)
    except BadQuantity as error:
        assert error.sentence.endswith((".", '"'))


def test_a_zone_named_by_its_offset_is_shown_as_people_read_it() -> None:
    """POSIX counts the sign of such names the other way round: Etc/GMT-8 is eight hours ahead of UTC."""
    now = datetime(2026, 3, 7, 9, 0, tzinfo=UTC)
    assert zone_words("Etc/GMT-8", now) == "UTC+08:00"
    assert zone_words("Europe/Oslo", now) == "Europe/Oslo"
