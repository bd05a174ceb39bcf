"""What a part's age is counted in: matches, climbs, hours of play or battery cycles, by its
kind."""

from dataclasses import dataclass

from pitcrew.domain.logbook.state import battery_name
from pitcrew.domain.patterns.record import Record, Scope

COUNTED_IN = {
    "wire-rope": "climb",
    "ratchet": "climb",
    "hook": "climb",
    "cord": "climb",
    "battery": "cycle",
    "air-system": "hour",
    "radio": "hour",
    "controller": "hour",
}
"""Kind of part → unit; every other kind is counted in matches. A rope of the lift, which is no part
of the climb, too."""
MEANINGS = {
    "match": "our match starts that are over; a replay is one more",
    "climb": (
        "matches in which the debrief tells of a climb or, where nobody was asked, the climb was"
        " cleared"
    ),
    "hour": "our matches times their length; practice is not recorded",
    "cycle": "how often that battery went into a robot",
}


@dataclass(frozen=True)
class Exposure:
    """So many of a unit, in which something could happen; `entries`: the runs or battery moves that
    were counted."""

    amount: float
    unit: str
    entries: tuple[str, ...]


def unit_of(record: Record, part: str) -> str:
    """The unit in which a part's age is counted."""
    unit = COUNTED_IN.get(record.kind(part), "match")
    return "match" if unit == "climb" and not part.startswith("climb") else unit


def exposure_of(record: Record, scope: Scope, unit: str = "match", part: str = "") -> Exposure:
    """How much of a unit falls into what is looked at. `part` names the battery whose cycles are
    counted."""
    played = record.played_in(scope)
    if unit == "cycle":
        moves = [
            move
            for move in record.state.battery_moves.get(battery_name(part), [])
            if move.body.to == "robot"
            and scope.has_robot(move.robot)
            and record.is_when(scope, None, move.at)
        ]
        return Exposure(len(moves), unit, tuple(move.id for move in moves))
    if unit == "climb":
        played = tuple(item for item in played if item.climbed)
    runs = tuple(item.run.id for item in played)
    if unit == "hour":
        return Exposure(len(runs) * record.definitions.settings["match_length"] / 3600, unit, runs)
    return Exposure(len(runs), unit, runs)
