"""What a check measured or saw, as typed and as understood, with the limit it was judged by."""

from typing import Any

from pitcrew.base.kinds.kind import CREW, Body, Kind, Said, Verdict, check_key, own_part


class InputValue(Body):
    """One input of a reading: as typed, as understood, and the unit of `value` (null for words)."""

    typed: str
    value: float | str | bool | None = None
    unit: str | None = None


class Reading(Body):
    """`said`: the sentence that its maker saw, with key and numbers; none in entries from before.
    It is never believed: what a screen shows follows from `limit` and `inputs`."""

    check: str
    part: str
    inputs: dict[str, InputValue] = {}
    result: float | str | bool | None = None
    limit: dict[str, Any] | None = None
    verdict: Verdict | None = None
    photos: list[str] = []
    note: str = ""
    said: Said | None = None


KIND = Kind(
    name="reading",
    body=Reading,
    written_by=CREW,
    table="readings",
    key=check_key,
    parts=own_part,
)
