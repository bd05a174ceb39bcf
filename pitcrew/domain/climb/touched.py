"""What happened to the hold path since it was last seen to hold: worked on, corrected in the
logbook, or changed on paper.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitcrew.base.entries import Entry
from pitcrew.base.kinds import KINDS
from pitcrew.domain.climb.waiting import folded
from pitcrew.domain.logbook.moment import Moment


@dataclass(frozen=True)
class Work:
    """One thing that was done to a part, with its time and the number of its entry."""

    part: str
    done: str
    at: datetime
    seq: int


def work_on(moment: Moment, parts: Collection[str]) -> list[Work]:
    """All work on the parts that the logbook reports, in order of time."""
    found = []
    for part in parts:
        for _, entry in moment.state.worked.get(part, []):
            fact = moment.state.facts.get(entry.id)
            done = KINDS[entry.kind].done(fact.body) if fact else ""
            if fact is not None and done and moment.is_mine(fact.robot):
                found.append(Work(part, done, fact.at, fact.seq))
    return sorted(found, key=lambda work: (work.at, work.seq))


def touched_since(
    moment: Moment, parts: Collection[str], at: datetime, seq: int, test: str = ""
) -> list[str]:
    """What was done to the parts since `at`, in words, each once.

    `seq`: the last entry that was known then; corrections and changed definitions count from when
    the laptop had them. `test`: the hold test's own id, whose correction asks for a new witness
    instead.
    """
    done = [
        f"{moment.label(work.part)} was {work.done} since"
        for work in work_on(moment, parts)
        if work.at >= at
    ]
    corrected = [
        f"what is known of {moment.label(part)} was corrected since"
        for part in parts
        for number, entry in moment.state.worked.get(part, [])
        if number > seq
        and entry.kind == "correction"
        and moment.is_mine(entry.robot)
        and _counts(moment, entry, test)
    ]
    return list(dict.fromkeys([*done, *corrected, *_changed_on_paper(moment, parts, seq)]))


def _counts(moment: Moment, correction: Entry, test: str) -> bool:
    of = moment.state.entries_by_id.get(str(correction.body.get("of")))
    return of is None or (_of_parts(of.kind) and of.id != test)


def _of_parts(kind: str) -> bool:
    """Whether a correction of such an entry changes what is known of a part; of an unknown kind it
    may."""
    return kind not in KINDS or KINDS[kind].of_parts


def _changed_on_paper(moment: Moment, parts: Collection[str], seq: int) -> list[str]:
    """The parts of which the definitions in force say otherwise than at entry `seq`. What they only
    add contradicts nothing.
    """
    then, now = (folded(moment, number)[0] for number in (seq, None))
    path = f"robot:{moment.robot}"
    names = {f"part:{moment.robot}/{part}": moment.label(part) for part in parts}
    found = [
        f"the build sheet says otherwise of {label} since"
        for name, label in names.items()
        if _differs(then.get(name), now.get(name))
    ]
    changed = _steps(then.get(path)) and _steps(then.get(path)) != _steps(now.get(path))
    return [*found, *(["the hold path goes another way since"] if changed else [])]


def _differs(then: Mapping[str, Any] | None, now: Mapping[str, Any] | None) -> bool:
    if then is None:
        return False
    if now is None or then["kind"] != now["kind"]:
        return True
    return any(
        name in now["specs"] and now["specs"][name] != value
        for name, value in then["specs"].items()
    )


def _steps(fact: Mapping[str, Any] | None) -> list[Any]:
    """Which parts the path names, in order, and how each hands the load on; empty where the fact
    has no path.
    """
    path = (fact or {}).get("hold_path") or {}
    return [
        (step.get("part"), step.get("name"), step.get("hands_on")) for step in path.get("steps", [])
    ]
