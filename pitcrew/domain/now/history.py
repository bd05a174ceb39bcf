"""Questions that pages and sheets ask of the state: what was done, what is near its limit, how each
zone stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pitcrew.base.kinds import KINDS
from pitcrew.domain.batteries.fleet import PREFIX
from pitcrew.domain.checks.limits import Limit, PartCheck
from pitcrew.domain.checks.readings import RANK, worse
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Look, Moment
from pitcrew.domain.logbook.state import State
from pitcrew.domain.logbook.temporaries import TemporaryState
from pitcrew.domain.now.due import DueCheck
from pitcrew.domain.now.readiness import open_stops
from pitcrew.domain.now.snapshot_shape import ZoneRow
from pitcrew.domain.robot.buildsheet import Robot

NEAR = 0.2
"""A reading is near its limit when it is judged `watch`, or within this share of the band between a
lower and an upper limit."""


@dataclass(frozen=True)
class ZoneState:
    """How a zone stands: `word` is the worst of its open faults and latest readings, `due` where
    nothing is wrong but work waits."""

    word: str
    due: int
    done: int
    total: int


@dataclass(frozen=True)
class NearLimit:
    """A latest reading close to a limit: `limit` is the SI number it is close to, `share` how far
    off in parts of the band."""

    part_check: PartCheck
    reading: ReadingFact
    limit: float
    share: float


def latest_readings(look: Look) -> dict[str, ReadingFact]:
    """The latest reading of every check of the robot that plays, by key."""
    found = {key: look.last_reading(key) for key in look.definitions.part_checks}
    return {key: reading for key, reading in found.items() if reading is not None}


def done_since(state: State, seq: int) -> list[Fact]:
    """What was done after an entry of the log, as corrected, in order of arrival; readings and the
    schedule are not among it."""
    return [fact for fact in _arrived_since(state, seq) if KINDS[fact.entry.kind].told]


def readings_since(state: State, seq: int) -> list[ReadingFact]:
    """The readings that arrived after an entry of the log, in order of arrival."""
    return [fact for fact in _arrived_since(state, seq) if isinstance(fact, ReadingFact)]


def _arrived_since(state: State, seq: int) -> list[Fact]:
    """What is in the lists of the entries after `seq`."""
    later = []
    for entry in reversed(state.entries_by_id.values()):
        if entry.seq <= seq:
            break
        later.append(entry.id)
    return [state.facts[name] for name in reversed(later) if name in state.facts]


def last_handoff_seq(state: State, audience: str = "") -> int:
    """The `seq` of the last handoff (to that audience, if given), 0 before the first."""
    return max(
        (fact.seq for fact in state.handoffs if audience in ("", fact.body.audience)), default=0
    )


def open_temporaries(look: Look) -> list[TemporaryState]:
    """What is taken off, bridged or borrowed on the robot that plays and must be undone, the oldest
    first."""
    found = [
        item for item in look.state.temporaries.values() if item.open and look.is_mine(item.robot)
    ]
    return sorted(found, key=lambda item: (item.at, item.id))


def near_limits(look: Look) -> list[NearLimit]:
    """The latest readings that are judged ok or watch but lie close to their limit, the closest
    first."""
    found = []
    for key, reading in latest_readings(look).items():
        item = look.definitions.part_checks[key]
        if reading.done and item.limit is not None and isinstance(reading.result, int | float):
            near = _nearest(item.limit, float(reading.result))
            if near is not None and (reading.verdict == "watch" or near[1] <= NEAR):
                found.append(NearLimit(item, reading, *near))
    return sorted(found, key=lambda near: (near.share, near.part_check.key))


def _nearest(limit: Limit, result: float) -> tuple[float, float] | None:
    """The closest stop bound (watch bound where there is none) and how far off it is: in parts of
    the band, or of the bound where it is the only one, and then > NEAR. None where there is no
    bound or only one number is right.
    """
    low, high = limit.stop_low, limit.stop_high
    if low is None and high is None:
        low, high = limit.watch_low, limit.watch_high
    if low is not None and high is not None:
        if high <= low:
            return None
        return min(
            ((bound, abs(result - bound) / (high - low)) for bound in (low, high)),
            key=lambda pair: pair[1],
        )
    bound = low if low is not None else high
    return None if bound is None else (bound, NEAR + abs(result - bound) / (abs(bound) or 1.0))


def zone_states(
    moment: Moment, due_now: Sequence[DueCheck], done_by_now: Sequence[ReadingFact]
) -> dict[str, ZoneState]:
    """How each zone of the robot that plays stands, for the robot map."""
    definitions = moment.definitions
    if definitions.robot is None:
        return {}
    due = [item.part_check.part.zone for item in due_now]
    done = [definitions.part_checks[fact.key].part.zone for fact in done_by_now]
    words = _worst_words(moment)
    found = {}
    for zone in definitions.robot.zones:
        waiting, finished, word = due.count(zone), done.count(zone), words.get(zone, "ok")
        word = "due" if waiting and RANK[word] < RANK["unjudged"] else word
        found[zone] = ZoneState(word, waiting, finished, waiting + finished)
    return found


def map_rows(robot: Robot | None, states: Mapping[str, ZoneState]) -> list[ZoneRow]:
    """The zones of a robot as the robot map and a phone need them: where each is, how it stands,
    and what is dangerous in it."""
    return [
        {
            "id": zone.id,
            "label": zone.label,
            "box": list(zone.box),
            "state": states[zone.id].word,
            "due": states[zone.id].due,
            "done": states[zone.id].done,
            "total": states[zone.id].total,
            "energies": list(zone.energies),
            "release": list(zone.release),
        }
        for zone in (robot.zones.values() if robot else ())
    ]


def _worst_words(moment: Moment) -> dict[str, str]:
    """The worst verdict of each zone from its latest readings and its faults; spare batteries are
    not on the robot."""
    definitions = moment.definitions
    parts = definitions.robot.parts if definitions.robot else {}
    stops = {fault.id for fault in open_stops(moment)}
    found = [
        (parts[fault.part].zone, "stop" if fault.id in stops else "watch")
        for fault in moment.faults
        if fault.part in parts and not fault.closed
    ]
    for key, reading in latest_readings(moment).items():
        part = definitions.part_checks[key].part
        if not part.id.startswith(PREFIX):
            found.append((part.zone, reading.verdict))
    words: dict[str, str] = {}
    for zone, word in found:
        words[zone] = worse(words.get(zone, "ok"), word)
    return words
