"""What an entry should have said, or that it should not count."""

from typing import Any

from pitcrew.base.kinds.kind import CREW, Body, Kind


class Correction(Body):
    of: str
    body: dict[str, Any] | None
    why: str


KIND = Kind(
    name="correction",
    body=Correction,
    written_by=CREW,
    decision=True,
    correctable=False,
    table="",
)
