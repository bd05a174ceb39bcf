"""Local dates and times of match lists, as people and programs write them, as instants in UTC.

Read are ISO 8601, `07.03.2026 10:20`, `3/17/2026 2:05 PM`, `7 Mar 2026 10:20`, and only a time
beside a date column. Nothing is guessed: what can be read in two ways is refused with the sentence
that says so.
"""

import re
from collections.abc import Iterable
from datetime import UTC, date, datetime, time

from pitcrew.base.clock import zone
from pitcrew.base.errors import BadInput

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_DOTS = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})")
_SLASHES = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")
_DAY_MONTH = re.compile(r"(\d{1,2})\.?\s+([A-Za-z]{3,9})\.?,?\s+(\d{4})")
_MONTH_DAY = re.compile(r"([A-Za-z]{3,9})\.?\s+(\d{1,2}),?\s+(\d{4})")
_TIME = re.compile(
    r"(\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?\s*([ap])?\.?(?:m\b\.?)?", re.IGNORECASE
)
_WEEKDAY = re.compile(r"\b(mon|tue|wed|thu|fri|sat|sun)[a-z]*\b\.?,?", re.IGNORECASE)
_OFFSET = re.compile(r"(z|[+-]\d{2}:?\d{2})$", re.IGNORECASE)


def day_comes_first(texts: Iterable[str]) -> bool | None:
    """Whether dates with slashes put the day first, as the texts together show; None where none of
    them shows it."""
    for text in texts:
        for first, second, _ in _SLASHES.findall(text):
            if int(first) > 12 or int(second) > 12:
                return int(first) > 12
    return None


def read_local(
    text: str, beside: str, zone_name: str, day_first: bool | None
) -> tuple[datetime, str]:
    """An instant in UTC, and a remark where the clock shows the time twice that night (else empty).

    `text` holds date and time, or only the time, with the date in `beside`. Raises BadInput with
    what is expected.
    """
    stamp = text.strip()
    if _ISO.match(stamp) and _OFFSET.search(stamp):
        return _with_offset(stamp), ""
    day, rest = _take_date(stamp, day_first)
    if day is None:
        day, over = _take_date(beside.strip(), day_first)
        if over and day is not None:
            raise BadInput(f"{beside!r} is not a date alone. Wanted: 2026-03-07.")
    clock = _read_time(rest, text)
    if day is None:
        raise BadInput(f"{text!r} does not say which day. Add a date column, such as 2026-03-07.")
    return _in_zone(datetime.combine(day, clock), zone_name)


def _with_offset(stamp: str) -> datetime:
    try:
        return datetime.fromisoformat(
            stamp.upper().replace(" +", "+").replace(" Z", "Z")
        ).astimezone(UTC)
    except (ValueError, OverflowError):
        raise BadInput(f"{stamp!r} is not a time. Wanted: 2026-03-07 10:20.") from None


def _take_date(text: str, day_first: bool | None) -> tuple[date | None, str]:
    """The date in a text, if there is one, and the rest of the text."""
    text = _WEEKDAY.sub(" ", text)
    for pattern in (_ISO, _DOTS, _SLASHES, _DAY_MONTH, _MONTH_DAY):
        found = pattern.search(text)
        if found:
            rest = (text[: found.start()] + " " + text[found.end() :]).strip(" ,Tt")
            return _date_of(pattern, found, day_first), rest
    return None, text.strip()


def _date_of(pattern: re.Pattern[str], found: re.Match[str], day_first: bool | None) -> date:
    first, second, third = found.groups()
    if pattern is _SLASHES and day_first is None and first != second:
        raise BadInput(
            f"{found[0]!r} can be read in two ways. Write the year first, such as {third}-03-07."
        )
    if pattern is _ISO:
        year, month, day = int(first), int(second), int(third)
    elif pattern is _DAY_MONTH or pattern is _MONTH_DAY:
        name = second if pattern is _DAY_MONTH else first
        if name[:3].lower() not in _MONTHS:
            raise BadInput(f"{name!r} is not a month. Write the date as 2026-03-07.")
        year, month, day = (
            int(third),
            _MONTHS.index(name[:3].lower()) + 1,
            int(first if pattern is _DAY_MONTH else second),
        )
    else:
        days = pattern is _DOTS or day_first
        year, month, day = (
            int(third),
            int(second if days else first),
            int(first if days else second),
        )
    try:
        return date(year, month, day)
    except ValueError:
        raise BadInput(f"{found[0]!r} is no day of the calendar. Wanted: 2026-03-07.") from None


def _read_time(text: str, whole: str) -> time:
    found = _TIME.fullmatch(text.strip())
    if found is None:
        raise BadInput(f"{whole!r} is not a time. Wanted: 10:20, 2:05 PM or 2026-03-07 10:20.")
    hour, half = int(found[1]), (found[4] or "").lower()
    if half and not 1 <= hour <= 12:
        raise BadInput(f"{whole!r} is no time of the 12-hour clock. Wanted: 2:05 PM.")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        return time(hour, int(found[2]), int(found[3] or 0))
    except ValueError:
        raise BadInput(f"{whole!r} is no time of the day. Wanted: 10:20.") from None


def _in_zone(local: datetime, zone_name: str) -> tuple[datetime, str]:
    """A local time as an instant: refused where the clock jumps over it, remarked where it shows it
    twice."""
    here = zone(zone_name)
    first = local.replace(tzinfo=here)
    shown = local.strftime("%H:%M on %Y-%m-%d")
    if first.astimezone(UTC).astimezone(here).replace(tzinfo=None) != local:
        raise BadInput(
            f"{shown} does not exist in {zone_name}: the clocks go forward over it. Correct the"
            " time."
        )
    if first.utcoffset() != first.replace(fold=1).utcoffset():
        return (
            first.astimezone(UTC),
            f"{shown} comes twice in {zone_name}, as the clocks go back; the first one is taken.",
        )
    return first.astimezone(UTC), ""
