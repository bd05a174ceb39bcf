"""What the schedule says of one run of a match."""

from pitcrew.base.errors import BadInput
from pitcrew.base.kinds.kind import DECIDERS, Body, Filed, Kind


class MatchRun(Body):
    """A schedule fact of one run; fields left out keep what was known before."""

    planned: str | None = None
    actual: str | None = None
    stations: dict[str, list[str]] | None = None
    ours: str | None = None
    cancelled: bool | None = None
    label: str | None = None
    order: int | None = None


def _run_id(fact: Filed) -> str:
    if fact.match is None or len(fact.match.split("/")) != 3:
        raise BadInput(
            f"The match {fact.match!r} does not name a run. Wanted: event/match/run, such as"
            " fjord/12/1.",
            "match",
        )
    return fact.match


KIND = Kind(
    name="match_run",
    words="change of the schedule",
    body=MatchRun,
    written_by=DECIDERS | {"laptop"},
    table="run_facts",
    key=_run_id,
)
