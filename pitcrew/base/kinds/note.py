"""A remark, on a part, a fault or nothing."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, Names, Said, own_part


class Note(Body):
    """`said`: what the text is made of where the program wrote it."""

    text: str
    part: str | None = None
    fault: str | None = None
    photos: list[str] = []
    said: Said | None = None


def _told(body: Note, names: Names) -> tuple[str, str]:
    return names.label(body.part) if body.part else "Note", body.text


KIND = Kind(
    name="note",
    body=Note,
    written_by=CREW,
    of_parts=False,
    table="notes",
    parts=own_part,
    told=_told,
)
