"""Something taken off, bridged or borrowed that has to be undone."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, own_id, own_part


class Temporary(Body):
    part: str
    what: str
    blocks: bool = True


KIND = Kind(
    name="temporary",
    words="temporary state",
    body=Temporary,
    written_by=CREW,
    table="temporary_starts",
    key=own_id,
    parts=own_part,
    done=lambda body: "bridged or taken off",
)
