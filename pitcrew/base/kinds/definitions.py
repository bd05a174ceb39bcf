"""Changed TOML files were loaded."""

from typing import Any

from pitcrew.base.kinds.kind import LAPTOP, Body, Kind


class DefinitionsLoaded(Body):
    """What a load of changed TOML did: digests of the files; per climb-critical thing, before and
    after; mistakes that block the climb.

    `rules`: the rules of the program that loaded them, as in a clearance.
    """

    digests: dict[str, str]
    changes: list[dict[str, Any]] = []
    mistakes: list[dict[str, Any]] = []
    rules: int = 1


KIND = Kind(
    name="definitions",
    words="change of the files",
    body=DefinitionsLoaded,
    written_by=LAPTOP,
    decision=True,
    signed=True,
    correctable=False,
    of_parts=False,
    table="loads",
)
