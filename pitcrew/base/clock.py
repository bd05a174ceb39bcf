"""The one place that asks the time. All instants are UTC; a pit shows them in its event's zone."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pitcrew.base.errors import BadInput

Clock = Callable[[], datetime]
EARLIEST, LATEST = datetime(1970, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)
"""No working clock shows a time before the first or from the second on."""


def system_clock() -> datetime:
    """Now, in UTC."""
    return datetime.now(UTC)


def format_instant(instant: datetime) -> str:
    """An aware datetime as RFC 3339 in UTC with milliseconds: `2026-03-07T10:31:05.120Z`."""
    return instant.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def parse_instant(text: str) -> datetime:
    """Read an RFC 3339 instant; it must carry `Z` or an offset. Raises BadInput."""
    try:
        instant = datetime.fromisoformat(text)
    except (ValueError, TypeError):
        raise BadInput(f"{text!r} is not a time. Wanted: 2026-03-07T10:31:05Z.") from None
    if instant.tzinfo is None:
        raise BadInput(f"{text!r} has no zone. Add Z or an offset such as +01:00.")
    return instant.astimezone(UTC)


def read_time(text: str, offset: float | None = None) -> datetime:
    """An instant in UTC, moved by `offset` seconds. Raises BadInput, also for times that no working
    clock shows."""
    try:
        instant = parse_instant(text) + timedelta(seconds=offset or 0.0)
    except (OverflowError, ValueError):
        raise BadInput(f"{text!r} is a time that no clock shows. Set it again.") from None
    if not EARLIEST <= instant < LATEST:
        raise BadInput(f"{text!r} is a time that no working clock shows. Set it again.")
    return instant


def zone(name: str) -> ZoneInfo:
    """The time zone of that IANA name. Raises BadInput."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadInput(
            f"{name!r} is not a time zone. Wanted an IANA name such as Europe/Oslo."
        ) from None


def zone_words(name: str, now: datetime) -> str:
    """A zone as people read it: its name, or `UTC+08:00` for `Etc/GMT-8`, whose sign counts the
    other way round."""
    return f"UTC{now.astimezone(zone(name)).isoformat()[-6:]}" if name.startswith("Etc/") else name


@lru_cache(maxsize=8192)
def event_day(instant: datetime, zone_name: str) -> str:
    """The event's local calendar day of an instant, as `2026-03-07`."""
    return instant.astimezone(zone(zone_name)).date().isoformat()


def local_time(instant: datetime, zone_name: str) -> str:
    """`14:52` in the event's zone."""
    return instant.astimezone(zone(zone_name)).strftime("%H:%M")


def day_time(instant: datetime, zone_name: str, now: datetime) -> str:
    """`14:52` in the event's zone, `Fri 14:52` on another event day than that of `now`."""
    text = local_time(instant, zone_name)
    same = event_day(instant, zone_name) == event_day(now, zone_name)
    return text if same else f"{instant.astimezone(zone(zone_name)):%a} {text}"
