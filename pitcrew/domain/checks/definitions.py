"""Everything that the pit folder's files define: settings, robots, checklists, part checks, and the
mistakes in them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from pitcrew.base.errors import nearest
from pitcrew.base.settings import SettingMistake, Settings, read_settings
from pitcrew.domain.checks.checklists import Check, Checklist, parse_checklist
from pitcrew.domain.checks.limits import PartCheck, compute_part_checks
from pitcrew.domain.checks.pathchecks import path_checks
from pitcrew.domain.checks.plannedclimb import planned_climb_mistakes
from pitcrew.domain.checks.spares import Spare, parse_spares
from pitcrew.domain.checks.unsafe import UNSAFE, unsafe_notice
from pitcrew.domain.holding.ownparts import with_own_parts
from pitcrew.domain.robot.buildsheet import Robot, parse_build_sheet
from pitcrew.domain.robot.mistakes import NOTHING, Mistake

SETTINGS_FILE = "pitcrew.toml"
CLIMB_SETTINGS = frozenset({"robot", "climb_factor", "slip", "climb_planned", "clearance_runs"})


@dataclass(frozen=True)
class Definitions:
    """What the files say. `robot` is the one that plays; `lost` names checks that could not be
    loaded at all.

    `notices` are what was read and had better be written otherwise: they hold nothing up.
    """

    settings: Settings
    robots: dict[str, Robot]
    robot: Robot | None
    checklists: tuple[Checklist, ...]
    part_checks: dict[str, PartCheck]
    mistakes: list[Mistake] = field(default_factory=list)
    digests: dict[str, str] = field(default_factory=dict)
    lost: tuple[str, ...] = ()
    spares: tuple[Spare, ...] = ()
    notices: list[Mistake] = field(default_factory=list)

    @property
    def climb_blocked(self) -> bool:
        """Whether a file with climb-critical parts or checks has a mistake: then no climb is
        cleared."""
        return any(mistake.climb for mistake in self.mistakes)


def _of_setting(item: SettingMistake) -> Mistake:
    """A setting that could not be used, as a mistake of its file."""
    climb = item.name in CLIMB_SETTINGS or item.nearest in CLIMB_SETTINGS
    return Mistake(
        SETTINGS_FILE,
        item.name,
        item.found,
        item.wanted,
        item.nearest,
        climb and not item.notice,
        item.notice,
    )


def build_definitions(
    settings_table: Mapping[str, Any],
    sheets: Mapping[str, dict[str, Any]],
    lists: Mapping[str, dict[str, Any]],
    early_mistakes: Iterable[Mistake] = (),
    digests: Mapping[str, str] | None = None,
    spares_table: Mapping[str, Any] | None = None,
) -> Definitions:
    """The definitions of a pit folder from its parsed TOML tables by file name. What cannot be used
    becomes a mistake."""
    settings, wrong = read_settings(settings_table, SETTINGS_FILE)
    mistakes = [*early_mistakes, *map(_of_setting, wrong)]
    robots = {}
    for file, table in sorted(sheets.items()):
        robot, found = parse_build_sheet(table, file)
        mistakes += found
        if robot is not None:
            robots[robot.name] = with_own_parts(robot)
    checklists = _read_lists(lists, mistakes)
    robot = _playing(robots, settings["robot"], mistakes)
    part_checks: dict[str, PartCheck] = {}
    if robot is not None:
        part_checks, found = compute_part_checks(robot, checklists, settings)
        mistakes += found
    mistakes += planned_climb_mistakes(settings, robot, part_checks)
    spares, found = parse_spares(dict(spares_table or {}), settings["zone"])
    mistakes += found
    lost = tuple(name for checklist in checklists for name in checklist.lost)
    wrong_ones, notices = (
        [item for item in _once(mistakes) if item.notice is notice] for notice in (False, True)
    )
    return Definitions(
        settings,
        robots,
        robot,
        checklists,
        part_checks,
        wrong_ones,
        dict(digests or {}),
        lost,
        spares,
        notices,
    )


def _read_lists(
    lists: Mapping[str, dict[str, Any]], mistakes: list[Mistake]
) -> tuple[Checklist, ...]:
    """The checklists; a check id that another list has already is a mistake, and the second is not
    loaded."""
    checklists = []
    owners: dict[str, str] = {check.id: "the hold path" for check in path_checks()}
    for file, table in sorted(lists.items()):
        checklist, found = parse_checklist(table, file)
        mistakes += found
        kept: list[Check] = []
        for check in checklist.checks:
            if check.id in UNSAFE:
                mistakes.append(unsafe_notice(file, check.id))
            elif check.id in owners:
                wanted = f"an id of its own; {owners[check.id]} has it too"
                mistakes.append(
                    Mistake(file, f"check {check.id}", "an id that is taken", wanted, climb=True)
                )
            else:
                owners[check.id] = file
                kept.append(check)
        checklists.append(
            Checklist(checklist.name, checklist.label, file, tuple(kept), checklist.lost)
        )
    return tuple(checklists)


def _playing(robots: dict[str, Robot], wanted: str, mistakes: list[Mistake]) -> Robot | None:
    """The robot that plays: the one of the settings, else the first by name."""
    if wanted in robots:
        return robots[wanted]
    if wanted:
        close = nearest(wanted, robots) or ""
        mistakes.append(
            Mistake(
                SETTINGS_FILE, "robot", f'"{wanted}"', "a build sheet in robots/", close, climb=True
            )
        )
        return None
    if not robots:
        mistakes.append(
            Mistake(
                "robots",
                "folder",
                str(NOTHING),
                "a build sheet such as robots/tern.toml",
                climb=True,
            )
        )
    return robots[min(robots)] if robots else None


def _once(mistakes: Iterable[Mistake]) -> list[Mistake]:
    """One mistake for each place of a file, in the order found."""
    by_place: dict[tuple[str, str, str], Mistake] = {}
    for mistake in mistakes:
        by_place.setdefault((mistake.file, mistake.place, mistake.found), mistake)
    return list(by_place.values())
