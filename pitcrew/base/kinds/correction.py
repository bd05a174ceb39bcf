"""What an entry should have said, or that it should not count."""

from typing import Any

from pitcrew.base.kinds.kind import CREW, Body, Kind, Said


class Correction(Body):
    """`body`: the whole body as it should have been, null where the entry should not count;
    `match`: the match run that it belongs to (empty: none), null to leave that as it is;
    `said`: what `why` is made of where the program wrote it."""

    of: str
    body: dict[str, Any] | None
    why: str
    match: str | None = None
    said: Said | None = None


KIND = Kind(
    name="correction",
    body=Correction,
    written_by=CREW,
    decision=True,
    correctable=False,
    table="",
)
