"""Limits: the numbers that a reading is judged by, computed once from the part's specification and
sent to the phone.

Start here. `compute_part_checks` brings every check to every part that it fits. The rule of a check
was read from its file (`limitrules`); what its formulas may name comes from robot, settings, hold
path and part (`scope`); `limitmaking` makes the limit, whose shape and sentences are in
`limitshape`. Where no limit can be made, the check says why, and the file at fault gets a mistake.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol, TypedDict

from pitcrew.base.errors import nearest
from pitcrew.base.settings import Settings
from pitcrew.base.spoken import with_article
from pitcrew.domain.checks.checklists import Check, Checklist
from pitcrew.domain.checks.fields import BOUNDS
from pitcrew.domain.checks.lacking import assumed_words, lacking, lacking_sentence
from pitcrew.domain.checks.limitmaking import LimitMaker
from pitcrew.domain.checks.limitshape import (
    InputLimit,
    Limit,
    accept_window,
    limit_as_dict,
    limit_from_dict,
    range_text,
    shown_quantity,
)
from pitcrew.domain.checks.pathchecks import looked_at, path_checks
from pitcrew.domain.checks.scope import (
    PART,
    Mistaken,
    Named,
    NotGiven,
    NotJudged,
    NotMade,
    part_scope,
    path_scope,
    robot_scope,
)
from pitcrew.domain.checks.toothless import TOOTHLESS, bound_fields, never_stops
from pitcrew.domain.holding.links import HoldPath
from pitcrew.domain.holding.names import climb_names, link_names
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.robot.buildsheet import Part, Robot
from pitcrew.domain.robot.mistakes import NOTHING, Mistake, Mistakes, Words
from pitcrew.domain.robot.partkinds import KINDS
from pitcrew.domain.robot.tables import wanted

__all__ = [
    "InputLimit",
    "Limit",
    "PartCheck",
    "compute_part_checks",
    "limit_as_dict",
    "limit_from_dict",
    "limit_lines",
    "limit_rows",
]


BROKEN = "This check has a mistake in its file and judges nothing"
MOST_LACKS = 3
"""How many things that the hold path lacks a sentence names."""


@dataclass(frozen=True)
class PartCheck:
    """A check on one part, with its limit. `unjudged_because` tells why no number of it can be
    judged."""

    check: Check
    part: Part
    limit: Limit | None
    unjudged_because: str = ""

    @property
    def key(self) -> str:
        """`check-id@part-id`."""
        return f"{self.check.id}@{self.part.id}"


def compute_part_checks(
    robot: Robot, checklists: Iterable[Checklist], settings: Settings
) -> tuple[dict[str, PartCheck], list[Mistake]]:
    """Every check on every part that it names, by key, with its limit; and the mistakes that show
    only on a part."""
    work = _work_on(robot, settings)
    found: dict[str, PartCheck] = {}
    mistakes: list[Mistake] = []
    for checklist in checklists:
        noted = Mistakes(checklist.file)
        made = {
            item.key: item for check in checklist.checks for item in work.checks_of(check, noted)
        }
        mistakes += noted.marked(
            any(item.part.climb_critical or item.check.for_climb for item in made.values())
        )
        found |= made
    found |= work.path_checks()
    return found, mistakes + work.sheet.marked(
        any(part.climb_critical for part in robot.parts.values())
    )


def part_check_on(robot: Robot, check: Check, part: Part, settings: Settings) -> PartCheck:
    """One check, as its checklist has it, on one part of a robot."""
    return _work_on(robot, settings).made(check, part, Mistakes(robot.file))


def _work_on(robot: Robot, settings: Settings) -> "_Work":
    path = hold_path(robot, settings)
    shared = {**robot_scope(robot, settings), **path_scope(climb_names(robot, path))}
    return _Work(robot, path, shared, settings["units"], Mistakes(robot.file))


@dataclass(frozen=True)
class _Work:
    """One robot's part checks in the making; `sheet` collects what its build sheet lacks."""

    robot: Robot
    path: HoldPath
    shared: dict[str, Named]
    system: str
    sheet: Mistakes

    def checks_of(self, check: Check, mistakes: Mistakes) -> list[PartCheck]:
        parts = [part for part in self.robot.parts.values() if check.applies_to(part, self.robot)]
        if check.part_pattern and not parts and not check.holds:
            close = nearest(check.part_pattern, self.robot.parts)
            mistakes.add(
                f"check {check.id}, part", check.part_pattern, f"a part of {self.robot.file}", close
            )
        return [self.made(check, part, mistakes) for part in parts]

    def path_checks(self) -> dict[str, PartCheck]:
        """The looks at the links that no one can compute, and their proof loads."""
        parts = [
            self.robot.parts[name] for name in looked_at(self.path) if name in self.robot.parts
        ]
        made = [self.made(check, part, self.sheet) for check in path_checks() for part in parts]
        return {item.key: item for item in made}

    def made(self, check: Check, part: Part, mistakes: Mistakes) -> PartCheck:
        """The check on the part with its limit, or with the reason why it has none."""
        own = path_scope(link_names(self.path, part.id))
        scope = {**self.shared, **own, **part_scope(part)}
        maker = LimitMaker(check, scope, self.system, assumed_words(check, part))
        if check.broken:
            because = f"{BROKEN}: {check.broken}"
            return PartCheck(check, part, maker.unjudged(because), because)
        known = frozenset(maker.scope)
        try:
            limit = self._limit(maker, check, part)
        except NotMade as error:
            because = self._why_not(error, check, part, known, mistakes)
            return PartCheck(maker.check_on_part(because), part, maker.unjudged(because), because)
        return PartCheck(maker.check_on_part(), part, limit)

    def _limit(self, maker: LimitMaker, check: Check, part: Part) -> Limit:
        """The limit, with a notice where what the part is measured with cannot tell."""
        if lacks := check.lacks(part):
            raise NotGiven(f"{PART}{min(lacks)}")
        limit = maker.limit()
        if never_stops(limit) and (fields := bound_fields(check.limit_rule)):
            raise NotJudged(TOOTHLESS, fields)
        if coarse := maker.too_coarse(limit):
            self.sheet.notice(f"part {part.id}, check {check.id}", Words(coarse[0]), coarse[1])
        return limit

    def _why_not(
        self, error: NotMade, check: Check, part: Part, known: frozenset[str], mistakes: Mistakes
    ) -> str:
        """Why there is no limit, as a sentence; the file at fault gets its mistake or notice."""
        if isinstance(error, NotGiven):
            return self._not_given(error.args[0], check, part, known)
        if isinstance(error, Mistaken):
            key, wrong, right = error.args
            mistakes.add(f"check {check.id}, limit.{key} (on {part.id})", Words(wrong), right)
            return f"{BROKEN}: {key} is {wrong}; wanted {right}."
        if isinstance(error, NotJudged):
            self._note_refused(error, part)
        return str(error)

    def _note_refused(self, error: NotJudged, part: Part) -> None:
        """Report a number that is outside what a figure can do: a mistake where the climb hangs
        on the part, else a notice."""
        tell = self.sheet.add if part.climb_critical else self.sheet.notice
        for key in (name for name in error.fields if name not in part.open):
            found = part.typed.get(key, part.specs.get(key, NOTHING))
            way = (
                ' Or test the nut by hand: nut = "finger".'
                if part.specs.get("nut") == "torque"
                else ""
            )
            tell(
                f"part {part.id}, {key}",
                found,
                f"{with_article(key)} that can be judged. {error}{way}",
            )

    def _not_given(self, name: str, check: Check, part: Part, known: frozenset[str]) -> str:
        """The reason, with everything that the sheet lacks for this check."""
        if name.startswith(PART):
            fields = lacking(check, part, known) or [name.removeprefix(PART)]
            for key in fields:
                if key not in part.open:
                    self._note_lack(key, check, part)
            return lacking_sentence(fields, self.robot.file)
        if name.startswith(("climb.", "link.")):
            lacks = (
                "; ".join(self.path.not_stated[:MOST_LACKS])
                or self.path.why
                or "what the link of this part rests on"
            )
            return f"The hold path cannot say {name}. Not stated: {lacks}."
        return f"{name} is not known, so nothing can be judged. Put it into {self.robot.file}."

    def _note_lack(self, key: str, check: Check, part: Part) -> None:
        """Report a field that a check needs, where reading the sheet has not reported it already:
        a mistake where the climb or a match hangs on the check, else a notice."""
        fields = (
            {field.name: field for field in KINDS[part.kind].fields} if part.kind in KINDS else {}
        )
        if key not in fields:
            right = f"{key}, which the check {check.id} needs; a {part.kind} has no such field"
            self.sheet.add(f"part {part.id}, {key}", NOTHING, right)
        elif not fields[key].needed:
            right = (
                f"{key}: {fields[key].meaning} ({wanted(fields[key])}), which the check {check.id}"
                " needs"
            )
            sure = key not in check.lacks(part)  # else no one knows whether the check fits at all
            if sure and (part.climb_critical or (check.must and not fields[key].later)):
                self.sheet.add(f"part {part.id}, {key}", NOTHING, right)
            else:
                self.sheet.notice(f"part {part.id}, {key}", NOTHING, right)


class Judged(Protocol):
    """What has part checks, as definitions do."""

    @property
    def part_checks(self) -> Mapping[str, PartCheck]: ...


class LimitRow(TypedDict):
    """One row of `limit_rows`."""

    check: str
    part: str
    checklist: str
    label: str
    unit: str
    shown: str
    stop_low: float | None
    watch_low: float | None
    watch_high: float | None
    stop_high: float | None
    guards: dict[str, float]
    range: str
    ok_low: float | None
    ok_high: float | None
    because: str
    source: str
    say: dict[str, str]
    answers: dict[str, dict[str, str]]
    unjudged_when: list[str]
    stop_when: list[str]
    unjudged_because: str
    must: bool
    climb_critical: bool


def limit_rows(definitions: Judged) -> list[LimitRow]:
    """Every check on every part with its limit as plain data: numbers in SI, `range` and the texts
    in the team's units.

    `ok_low` and `ok_high` are the accept window, guard bands taken off; `range` says the same in
    words.
    """
    rows: list[LimitRow] = []
    for item in definitions.part_checks.values():
        limit = item.limit or Limit()
        low, high = accept_window(limit)
        rows.append(
            {
                "check": item.check.id,
                "part": item.part.id,
                "checklist": item.check.checklist,
                "label": item.check.label,
                "unit": limit.unit,
                "shown": limit.shown,
                "stop_low": limit.stop_low,
                "watch_low": limit.watch_low,
                "watch_high": limit.watch_high,
                "stop_high": limit.stop_high,
                "guards": dict(limit.guards),
                "range": range_text(limit),
                "ok_low": low,
                "ok_high": high,
                "because": limit.because,
                "source": limit.source,
                "say": dict(limit.say),
                "answers": limit.answers,
                "unjudged_when": [sentence for *_, sentence in limit.unjudged_when],
                "stop_when": [sentence for *_, sentence in limit.stop_when],
                "unjudged_because": item.unjudged_because,
                "must": item.check.must,
                "climb_critical": item.part.climb_critical,
            }
        )
    return rows


def limit_lines(definitions: Judged) -> list[str]:
    """The same for a terminal: two lines for each check on each part, the limits and why."""
    lines = []
    for item in definitions.part_checks.values():
        limit = item.limit or Limit()
        lines.append(f"{item.key}: {item.unjudged_because or _limits_text(limit)}")
        why = ". ".join(
            part.rstrip(".")
            for part in (limit.because, f"Source: {limit.source}" if limit.source else "")
            if part
        )
        if why:
            lines.append(f"    {why}.")
    return lines


def _limits_text(limit: Limit) -> str:
    """The bounds of a limit, or its answers, in one line."""
    bounds = [(name, getattr(limit, name)) for name in BOUNDS if getattr(limit, name) is not None]
    if bounds:
        outside = [
            f"{name.replace('_', ' ')} {shown_quantity(limit, bound)}" for name, bound in bounds
        ]
        return f"good: {range_text(limit)}; {', '.join(outside)}"
    return "; ".join(
        f"{answer}: {verdict}"
        for answers in limit.answers.values()
        for answer, verdict in answers.items()
    )
