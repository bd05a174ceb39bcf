"""Cells of a robot's log as numbers: decimal marks, thousands, units, times of day, dates, yes and
no."""

import math
import re
from collections.abc import Iterable
from datetime import date

from pitcrew.robotlog.words import UNITS

PLAIN = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")
"""A number with a decimal point or a decimal comma."""
_BY_COMMAS = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d*)?")
_BY_POINTS = re.compile(r"[+-]?\d{1,3}(?:\.\d{3})+(?:,\d*)?")
_BY_SPACES = re.compile(r"(?<=\d)[ '’\u00a0\u202f](?=\d{3}(?!\d))")
_UNIT = re.compile(r"([+-]?[\d.,'’]+(?:[eE][+-]?\d+)?)\s*([^\W\d_]{1,12}|%)")
_TIME = re.compile(
    r"(?:(\d{4})[-/.](\d\d)[-/.](\d\d)[T, ]\s*|.*[T,"
    r" ])?(?:(\d{1,3}):(?=\d{1,2}:\d))?(\d{1,4}):(\d{2})(?:[.,:](\d+))?"
    r"\s*([ap]m)?\s*(?:Z|UTC|[+-]\d\d:?\d\d)?",
    re.IGNORECASE,
)
_WORDS = {"true": 1.0, "false": 0.0, "yes": 1.0, "no": 0.0, "on": 1.0, "off": 0.0}


def number(text: str, decimal_comma: bool = False) -> float:
    """A cell as a number; a unit that is in it is brought to SI, true and false are 1 and 0, a
    time of day is its seconds (with its date since Monday); nan for what is none."""
    text = text.strip().strip('"').strip()
    plain = _plain(text, decimal_comma)
    if not math.isnan(plain):
        return plain
    with_unit = _UNIT.fullmatch(text)
    if with_unit and with_unit[2].casefold() in UNITS:
        return _plain(with_unit[1], decimal_comma) * UNITS[with_unit[2].casefold()][1]
    time = _TIME.fullmatch(text)
    return _seconds(time) if time else _WORDS.get(text.casefold(), math.nan)


def tells_seconds(text: str) -> bool:
    """Whether `number` reads a cell as seconds: a time of day, a date with a time, minutes and
    seconds, or a number with its unit."""
    text = text.strip().strip('"').strip()
    with_unit = _UNIT.fullmatch(text)
    if with_unit:
        return UNITS.get(with_unit[2].casefold(), ("",))[0] == "time"
    plain = not math.isnan(_plain(text, False)) or not math.isnan(_plain(text, True))
    return not plain and bool(_TIME.fullmatch(text))


def has_decimal_comma(cells: Iterable[str]) -> bool:
    """Whether commas are decimal marks in these cells, and not marks between thousands."""
    found = [cell.strip('"') for cell in cells]
    with_comma = [
        cell
        for cell in found
        if "," in cell and (PLAIN.fullmatch(cell) or _BY_POINTS.fullmatch(cell))
    ]
    with_point = [
        cell
        for cell in found
        if "." in cell and PLAIN.fullmatch(cell) and not _BY_POINTS.fullmatch(cell)
    ]
    if (
        not with_comma
        or with_point
        or any(
            _BY_COMMAS.fullmatch(cell) and cell.count(",") + cell.count(".") > 1 for cell in found
        )
    ):
        return False
    below_1000 = any(re.fullmatch(r"[+-]?\d{1,3}", cell) for cell in found)
    return not (below_1000 and all(_BY_COMMAS.fullmatch(cell) for cell in with_comma))


def _plain(text: str, decimal_comma: bool) -> float:
    text = _BY_SPACES.sub("", text)
    if (_BY_POINTS if decimal_comma else _BY_COMMAS).fullmatch(text):
        text = text.replace("." if decimal_comma else ",", "")
    if decimal_comma:
        text = text.replace(",", ".")
    return float(text) if PLAIN.fullmatch(text) and "," not in text else math.nan


def _seconds(found: re.Match[str]) -> float:
    """A time of day, or minutes and seconds, in s; with a date that begins with its year, since
    Monday."""
    year, month, day, hours, minutes, seconds, fraction, half = found.groups()
    hour = int(hours or 0)
    if half:
        hour = hour % 12 + (12 if half.casefold() == "pm" else 0)
    try:
        days = date(int(year), int(month), int(day)).weekday() if year else 0
    except ValueError:
        return math.nan
    return (
        86400 * days + 3600 * hour + 60 * int(minutes) + int(seconds) + float(f"0.{fraction or 0}")
    )
