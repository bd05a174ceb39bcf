"""Quantities at the edges: what a person types is read in one way only, or asked again."""

import math
from datetime import UTC, datetime

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.clock import zone_words
from pitcrew.base.errors import BadQuantity
from pitcrew.base.typed import split_number
from pitcrew.base.units import (
    from_si,
    mark,
    parse_quantity,
    parse_reading,
    render,
    scale_of,
    screen_unit,
    show,
    to_si,
)
from pitcrew.base.unittable import SI_UNIT, UNITS


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("6,2", 6.2),
        ("6.2", 6.2),
        ("6,2 V", 6.2),
        ("6.2V", 6.2),
        (" 12,7 ", 12.7),
        ("1.250", 1.25),
        (".5", 0.5),
        ("−3", -3.0),
        ("1e-3", 0.001),
    ],
)
def test_decimal_point_and_comma_are_read(typed: str, value: float) -> None:
    quantity = parse_reading(typed, "V")
    assert (quantity.value, quantity.unit, quantity.typed) == (value, "V", typed)


@pytest.mark.parametrize("typed", ["1.234,5", "1,234.5", "1,2,3", "1.2.3", "6,2,"])
def test_two_marks_are_ambiguous(typed: str) -> None:
    with pytest.raises(BadQuantity, match="two ways"):
        split_number(typed)


@pytest.mark.parametrize(
    "typed", ["", "V", "abc", "--3", "nan", "inf", "1e999", "9**9**9 m", "0x10"]
)
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


@pytest.mark.parametrize(
    ("text", "inches"), [("1/8 in", 0.125), ("16 1/4 in", 16.25), ("3/16in", 0.1875)]
)
def test_inch_fractions_are_read_in_files(text: str, inches: float) -> None:
    assert parse_quantity(text, "length").value == inches


# how the trade writes torques, temperatures and lengths, beside the unit that it means
SPELLED = [
    ("9 lb-ft", "torque", 9, "ft*lbf"),
    ("9 ft lbs", "torque", 9, "ft*lbf"),
    ("9 foot-pounds", "torque", 9, "ft*lbf"),
    ("9 in lb", "torque", 9, "in*lbf"),
    ("9 IN-LBS", "torque", 9, "in*lbf"),
    ("9 lbf·in", "torque", 9, "in*lbf"),
    ("9 N m", "torque", 9, "N*m"),
    ("9 newton meters", "torque", 9, "N*m"),
    ("9 kg-cm", "torque", 9, "kgf*cm"),
    ("9 kgf cm", "torque", 9, "kgf*cm"),
    ("9 oz-in", "torque", 9, "ozf*in"),
    ("72 F", "temperature", 72, "degF"),
    ("22 C", "temperature", 22, "degC"),
    ("22 °C", "temperature", 22, "degC"),
    ("2 C", "charge", 2, "C"),
    ("1' 6\"", "length", 18, "in"),
    ("1'6", "length", 18, "in"),
    ("1 ft 4 in", "length", 16, "in"),
    ("1 ft. 4 1/2 in", "length", 16.5, "in"),
    ("1’ 4½”", "length", 16.5, "in"),
    ("½ m", "length", 0.5, "m"),
    ("16¼ in", "length", 16.25, "in"),
    ("6'", "length", 6, "ft"),
    ("3 feet", "length", 3, "ft"),
    ("10 Lbs", "mass", 10, "lb"),
    ("55 in*lbf", "torque", 55, "in*lbf"),
    ("25 kgf*cm", "torque", 25, "kgf*cm"),
    ("3 lb/ft", "mass_per_length", 3, "lb/ft"),
]


@pytest.mark.parametrize(("text", "dimension", "value", "unit"), SPELLED)
def test_units_are_read_as_people_write_them(
    text: str, dimension: str, value: float, unit: str
) -> None:
    found = parse_quantity(text, dimension)
    assert (found.value, scale_of(found.unit)) == (pytest.approx(value, rel=1e-15), scale_of(unit))


@pytest.mark.parametrize(
    "text",
    ["9 mN", "9 lb ft in", "9 pound", "9 Mm", "1' 18\"", "1' 12\"", "1 ft 4 lb", "1/0 in", "½½ in"],
)
def test_what_is_no_unit_or_two_readings_is_asked_again(text: str) -> None:
    """mN is a thousandth of a newton and never a torque; twelve inches are a foot."""
    for dimension in ("torque", "length"):
        with pytest.raises(BadQuantity):
            parse_quantity(text, dimension)


def spellings_of_torque() -> st.SearchStrategy[tuple[str, str]]:
    """A torque unit as someone may write it, and the table's name of it."""
    pairs = {
        "ft*lbf": (("ft", "foot", "feet"), ("lb", "lbs", "lbf", "pounds")),
        "in*lbf": (("in", "inch", "inches"), ("lb", "lbs", "lbf")),
    }
    both = [
        (first, second, unit)
        for unit, (one, other) in pairs.items()
        for a in one
        for b in other
        for first, second in ((a, b), (b, a))
    ]
    both += [
        ("N", "m", "N*m"),
        ("N", "cm", "N*cm"),
        ("kg", "cm", "kgf*cm"),
        ("kgf", "cm", "kgf*cm"),
        ("oz", "in", "ozf*in"),
    ]
    marks = st.sampled_from((" ", "-", "·", "*", " - ", "x"))
    return st.tuples(st.sampled_from(both), marks, st.sampled_from((str, str.upper))).map(
        lambda drawn: (drawn[2](f"{drawn[0][0]}{drawn[1]}{drawn[0][1]}"), drawn[0][2])
    )


@given(spellings_of_torque(), st.integers(1, 99_999), st.sampled_from((".", ",")))
def test_a_torque_in_any_spelling_is_the_same_torque(
    spelled: tuple[str, str], hundredths: int, mark_: str
) -> None:
    written, unit = spelled
    typed = f"{hundredths / 100:.2f}".replace(".", mark_)
    assert parse_quantity(f"{typed} {written}", "torque").si == pytest.approx(
        to_si(hundredths / 100, unit), rel=1e-12
    )


@given(
    st.integers(0, 40),
    st.integers(0, 11),
    st.integers(0, 31),
    st.sampled_from(("'", " ft ", "′ ", " feet ", "ft-")),
    st.booleans(),
)
def test_feet_inches_and_fractions_are_read_back(
    feet: int, inches: int, parts: int, mark_: str, negative: bool
) -> None:
    fraction = f" {parts}/32" if parts else ""
    typed = f'{"-" if negative else ""}{feet}{mark_}{inches}{fraction}"'
    wanted = (feet * 12 + inches + parts / 32) * 0.0254
    assert parse_quantity(typed, "length").si == pytest.approx(
        -wanted if negative else wanted, rel=1e-12, abs=1e-15
    )
    plain = f"{feet * 12 + inches}{fraction} in"
    assert parse_quantity(plain, "length").si == pytest.approx(wanted, rel=1e-12, abs=1e-15)


def test_a_wrong_dimension_names_both() -> None:
    with pytest.raises(BadQuantity, match="is a torque; wanted a length"):
        parse_quantity("3 N*m", "length")


# NIST SP 811 (2008), Appendix B.8: conversion factors, digits as printed there; bold ones are
# exact.
NIST_SP_811 = [
    (1, "in", 2.54e-2, 0),
    (1, "ft", 3.048e-1, 0),
    (1, "lb", 4.535924e-1, 5e-8),
    (1, "oz", 2.834952e-2, 5e-9),
    (1, "lbf", 4.448222, 5e-7),
    (1, "kgf", 9.80665, 0),
    (1, "ft*lbf", 1.355818, 5e-7),
    (1, "in*lbf", 1.129848e-1, 5e-8),
    (1, "ozf*in", 7.061552e-3, 5e-10),
    (1, "psi", 6.894757e3, 5e-4),
    (1, "ksi", 6.894757e6, 5e-1),
    (1, "bar", 1e5, 0),
    (1, "lb/ft", 1.488164, 5e-7),
    (1, "lbf/ft", 1.459390e1, 5e-6),
    (1, "lbf/in", 1.751268e2, 5e-5),
    (1, "rpm", 1.047198e-1, 5e-8),
    (1, "deg", 1.745329e-2, 5e-9),
    (1, "in^3", 1.638706e-5, 5e-12),
    (1, "in^2", 6.4516e-4, 0),
    (32, "degF", 273.15, 1e-9),
]


@pytest.mark.parametrize(("value", "unit", "printed", "half_digit"), NIST_SP_811)
def test_factors_are_those_of_nist(
    value: float, unit: str, printed: float, half_digit: float
) -> None:
    assert to_si(value, unit) == pytest.approx(printed, abs=half_digit, rel=1e-15)


def test_factors_are_those_of_pints_own_list() -> None:
    """Ours is short for the sake of a quick start; pint's default list is the other hand that wrote
    these definitions."""
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
    assert {dimension: scale_of(unit) for dimension, unit in SI_UNIT.items()} == dict.fromkeys(
        SI_UNIT, (1.0, 0.0)
    )


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
    """POSIX counts the sign of such names the other way round: Etc/GMT-8 is eight hours ahead of
    UTC."""
    now = datetime(2026, 3, 7, 9, 0, tzinfo=UTC)
    assert zone_words("Etc/GMT-8", now) == "UTC+08:00"
    assert zone_words("Europe/Oslo", now) == "Europe/Oslo"
