"""A temporary state was undone."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, Names


class TemporaryUndone(Body):
    temporary: str
    how: str = ""


def _told(body: TemporaryUndone, names: Names) -> tuple[str, str] | None:
    found = names.temporary(body.temporary)
    return (found[0], f"undone: {found[1]}. {body.how}") if found else None


KIND = Kind(
    name="temporary_undone",
    words="closing of a temporary state",
    body=TemporaryUndone,
    written_by=CREW,
    table="temporary_ends",
    key=lambda fact: fact.body.temporary,
    refers="temporary",
    done=lambda body: "put back",
    told=_told,
)
