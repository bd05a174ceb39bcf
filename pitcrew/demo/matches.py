"""The invented event's match list: 84 matches of 42 teams in two days, around the moment at which
the demo plays."""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random

from pitcrew.base.clock import zone

TEAM = "QX17"
TEAMS = 42
STATIONS = ("left 1", "left 2", "left 3", "right 1", "right 2", "right 3")
CYCLE = timedelta(minutes=8)
OURS = (4, 11, 17, 25, 31, 38, 46, 53, 59, 66, 75, 82)
FIRST_OF_DAY_2, LAST = 57, 84
LUNCH_AFTER, LUNCH = 28, timedelta(minutes=60)
PLAYED = 66
"""The match that our robot played last when the demo is opened; it started DELAY after its printed
time."""
DELAY = timedelta(minutes=6)
SINCE_START = timedelta(minutes=40)
DAYTIME = range(10, 15)


@dataclass(frozen=True)
class Match:
    """One match of the printed list: its name, its printed start in UTC, and the teams by
    station."""

    name: str
    planned: datetime
    teams: tuple[str, ...]


def event_zone(now: datetime, laptop_offset: timedelta) -> str:
    """The laptop's own whole-hour zone while that makes it the middle of the day, else one where it
    is noon now."""
    hours, rest = divmod(laptop_offset, timedelta(hours=1))
    if rest or (now + laptop_offset).hour not in DAYTIME:
        hours = 12 - now.astimezone(UTC).hour
    return f"Etc/GMT{-hours:+d}" if hours else "Etc/GMT"


def match_list(now: datetime, zone_name: str, rng: Random) -> list[Match]:
    """The printed list, dated so that PLAYED started SINCE_START before `now`, DELAY late, on the
    event's second day."""
    anchor = now.replace(second=0, microsecond=0) - SINCE_START - DELAY
    day_1 = (anchor.astimezone(zone(zone_name)) - timedelta(days=1)).replace(hour=9, minute=0)
    teams = _draw(rng)
    return [
        Match(f"Q{number}", _start(number, anchor, day_1), next(teams))
        for number in range(1, LAST + 1)
    ]


def as_csv(matches: list[Match], zone_name: str) -> str:
    """The list as the event's office would hand it out: local times, a column for each station."""
    lines = ["match,date,time," + ",".join(STATIONS)]
    for match in matches:
        local = match.planned.astimezone(zone(zone_name))
        lines.append(
            ",".join([match.name, local.date().isoformat(), f"{local:%H:%M}", *match.teams])
        )
    return "\n".join(lines) + "\n"


def _start(number: int, anchor: datetime, day_1: datetime) -> datetime:
    if number >= FIRST_OF_DAY_2:
        return anchor + (number - PLAYED) * CYCLE
    return (
        day_1 + (number - 1) * CYCLE + (LUNCH if number > LUNCH_AFTER else timedelta())
    ).astimezone(UTC)


def _draw(rng: Random) -> Iterator[tuple[str, ...]]:
    """Six teams for each match in turn: ours in the matches of OURS, the others as evenly as
    shuffling allows."""
    others = [f"QX{number:02d}" for number in range(1, TEAMS + 1) if f"QX{number:02d}" != TEAM]
    waiting: deque[str] = deque()
    for number in range(1, LAST + 1):
        playing: list[str] = [TEAM] if number in OURS else []
        while len(playing) < len(STATIONS):
            if not waiting:
                waiting.extend(rng.sample(others, len(others)))
            team = waiting.popleft()
            (waiting if team in playing else playing).append(team)
        rng.shuffle(playing)
        yield tuple(playing)
