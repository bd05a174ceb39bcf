"""A fault's next step: deferred, repaired, proven, reopened, or nothing found."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, Move, Names


class FaultMove(Body):
    fault: str
    to: Move
    why: str = ""
    until: str | None = None
    restriction: str = ""
    parts_used: list[str] = []
    reading: str | None = None


def _told(body: FaultMove, names: Names) -> tuple[str, str] | None:
    found = names.fault(body.fault)
    return (found[0], f"{names.word(body.to)}: {found[1]}. {body.why}") if found else None


KIND = Kind(
    name="fault_move",
    words="decision on a fault",
    body=FaultMove,
    written_by=CREW,
    decision=True,
    table="fault_moves",
    key=lambda fact: fact.body.fault,
    refers="fault",
    done=lambda body: "repaired" if body.to == "repaired" else "",
    told=_told,
)
