"""The demo: an invented team, robot and event, told up to the middle of day 2, with something true
on every screen."""

import json
import shutil
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

from pitcrew.base.clock import format_instant, parse_instant, system_clock
from pitcrew.base.errors import Conflict, Locked
from pitcrew.demo import matches, readings, story
from pitcrew.demo.matches import Match
from pitcrew.demo.robotlog import match_log
from pitcrew.demo.story import Told, Turn
from pitcrew.demo.teller import StoryClock, Teller
from pitcrew.domain.checks.spares import SPARES_FILE
from pitcrew.pit.commands import import_schedule
from pitcrew.pit.folder import bundled_lists, bundled_sheets, is_held, make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import glance, open_pit

MARK = "demo.json"
"""The file by which a folder is known as a demo: the head as it was made, and when the event is
over."""
SEED = 2026
BACK = timedelta(minutes=7)
"""From the start of a match until the robot is back."""


def prepare(folder: Path, fresh: bool = False, now: datetime | None = None) -> str:
    """Make the demo in `folder`, or keep the one that is there; what was done, in a sentence.

    A demo whose event is over is made again if no one has added anything. Raises Conflict for a
    folder that is no demo.
    """
    now = now or system_clock()
    if not folder.exists() or (folder.is_dir() and not any(folder.iterdir())):
        _make_in_place_of(folder, now)
        return f"Made the invented demo event in {folder}."
    if not (folder / MARK).exists():
        raise Conflict(
            f"{folder} is not a demo folder (it has no {MARK}), and nothing in it was touched. Name"
            " another folder."
        )
    if is_held(folder):
        if fresh:
            raise Locked(
                f"{folder} is being served. Stop that server first, then make the demo again."
            )
        return f"{folder} is being served already."
    mark = json.loads((folder / MARK).read_text(encoding="utf-8"))
    over = parse_instant(mark["over"]) <= now
    if fresh or (over and glance(folder).state.head == mark["head"]):
        _make_in_place_of(folder, now)
        return f"Made the demo event in {folder} again."
    late = " Its event is over; start over with --fresh." if over else ""
    return f"Kept the demo event in {folder}, with everything that was added.{late}"


def _make_in_place_of(folder: Path, now: datetime) -> None:
    """Make the demo beside `folder` and put it in its place, so that an interrupted making leaves
    no half of one."""
    beside = folder.with_name(f"{folder.name}.making")
    shutil.rmtree(beside, ignore_errors=True)
    make_demo(beside, now)
    if folder.exists():
        shutil.rmtree(folder)
    beside.rename(folder)


def make_demo(folder: Path, now: datetime, seed: int = SEED) -> None:
    """Make the demo in a new folder, told up to `now`. The same `now` and seed give the same
    entries."""
    rng = Random(seed)
    zone = matches.event_zone(now, now.astimezone().utcoffset() or timedelta())
    settings = (
        f'team = "{matches.TEAM}"\nevent = "{story.EVENT}"\nevent_label ='
        f' "{story.EVENT_LABEL}"\nzone = "{zone}"\n'
    )
    make_folder(folder, settings, bundled_sheets(), bundled_lists())
    (folder / SPARES_FILE).write_text(story.SPARES, encoding="utf-8")
    listed = matches.match_list(now, zone, rng)
    (folder / "matches.csv").write_text(matches.as_csv(listed, zone), encoding="utf-8")
    ours = [match for match in listed if matches.TEAM in match.teams]
    clock = StoryClock(ours[0].planned - timedelta(hours=2))
    pit = open_pit(folder, clock, fsync=False)
    try:
        import_schedule(
            pit, matches.as_csv(listed, zone), Author("demo-laptop", story.LEAD, "lead")
        )
        head = _tell(Teller(pit, clock, rng, story.EVENT), ours, rng)
    finally:
        pit.close()
    over = listed[-1].planned + timedelta(hours=1)
    (folder / MARK).write_text(
        json.dumps({"head": head, "over": format_instant(over)}), encoding="utf-8"
    )


def _tell(teller: Teller, ours: list[Match], rng: Random) -> int:
    """The whole story; the head of the logbook at its end."""
    last = len(story.TURNS) - 1
    _charge_all(teller, ours[0].planned - timedelta(minutes=100))
    _turn(teller, story.TURNS[0], 0, ours[0].planned - timedelta(minutes=95), None)
    in_robot = story.TURNS[0].battery
    for number in range(1, last + 1):
        match, turn = ours[number - 1], story.TURNS[number]
        late = matches.DELAY if number == last else timedelta(minutes=rng.randint(1, 9))
        run, start = teller.run_id(match.name), match.planned + late
        teller.record(start, story.LEAD, "match_run", {"actual": format_instant(start)}, run)
        back = start + BACK
        debrief = Told(0, story.DRIVER, "debrief", {"answers": turn.debrief}, "debrief")
        teller.tell(back - timedelta(minutes=2), debrief, run, number)
        if turn.debrief.get("held"):
            teller.confirm(back - timedelta(minutes=1), "debrief", story.SECOND[story.DRIVER])
        teller.tell(back, Told(0, story.DRIVER, "returned", {}), run, number)
        teller.tell(back + timedelta(seconds=40), _battery(in_robot, "rest"), run, number)
        if number in readings.LOGS:
            drawn = Random(
                f"log {number}"
            )  # of its own, so that a reading more or less in the story leaves the logs as they are
            raw = match_log(drawn, readings.LOGS[number], 12.75 + drawn.uniform(0, 0.1))
            teller.read_log(
                back + timedelta(seconds=50), "Ivo", raw, f"{match.name}.csv", in_robot, run
            )
        _turn(teller, turn, number, back, run, charge=in_robot)
        in_robot = turn.battery
        if number == story.EVENING:
            _turn(teller, story.MORNING, number, ours[number].planned - timedelta(minutes=58), run)
            in_robot = story.MORNING.battery
    with teller.pit.reading() as state:
        return state.head


def _turn(
    teller: Teller, turn: Turn, number: int, begin: datetime, run: str | None, charge: str = ""
) -> None:
    """One turnaround from `begin`: what is told before, the walk, what is told after, the
    signature, and what is told then."""
    walk, signs = 3.0, 7.0 + turn.walk_minutes
    told = [*turn.told]
    if turn.battery:
        told.append(_battery(turn.battery, "robot", minute=2.8))
    if charge:
        told.append(_battery(charge, "channel", charge, minute=18.5))
    told.sort(key=lambda item: item.minute)

    def tell(first: float, end: float) -> None:
        for item in told:
            if first <= item.minute < end:
                teller.tell(begin + timedelta(minutes=item.minute), item, run, number)

    under_way = number == len(story.TURNS) - 1
    tell(0, walk)
    teller.walk(
        begin + timedelta(minutes=walk),
        turn.walk_minutes,
        number,
        turn.read,
        story.NOT_WALKED if under_way else (),
    )
    tell(walk, signs)
    if turn.battery or under_way:
        teller.sign(begin + timedelta(minutes=signs), story.CAPTAIN)
    tell(signs, 600)


def _battery(name: str, to: str, where: str = "", minute: float = 0) -> Told:
    return Told(minute, "Ivo", "battery_move", {"battery": name, "to": to, "where": where})


def _charge_all(teller: Teller, at: datetime) -> None:
    """Every battery on a channel of its own."""
    robot = teller.pit.definitions.robot
    names = (
        [
            part.id.removeprefix("battery.")
            for part in robot.parts.values()
            if part.kind == "battery"
        ]
        if robot
        else []
    )
    for channel, name in enumerate(names, 1):
        teller.tell(at, _battery(name, "channel", str(channel)), None, 0)
