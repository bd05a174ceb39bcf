"""A part was changed, for an identical one or for another kind."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, Names, own_part


class PartChange(Body):
    part: str
    identical: bool
    old: str = ""
    new: str = ""


def _told(body: PartChange, names: Names) -> tuple[str, str]:
    how = "changed for an identical one. " if body.identical else "changed for another kind. "
    return names.label(body.part), how + body.new


KIND = Kind(
    name="part_change",
    body=PartChange,
    written_by=CREW,
    table="part_changes",
    key=lambda fact: fact.body.part,
    parts=own_part,
    done=lambda body: "changed",
    told=_told,
)
