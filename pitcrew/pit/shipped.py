"""The checklists that come with the program, beside the copies of them in a pit folder.

A copy that no one touched since a release brought it is known by its digest and may be replaced.
One that was edited stays: what it says and what comes with this program are shown side by side, and
the team decides.
"""

import hashlib
import os
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from pitcrew.base.errors import BadInput
from pitcrew.pit.folder import bundled_lists, parse_toml, pit_keys

RELEASED: Mapping[str, tuple[str, ...]] = {
    "battery.toml": ("13e50c2ea7627b66f69715dab0fbd38a2add30aff0a929e0b4d30e53394d28d1",),
    "climb.toml": ("c165b93decc5ded6b66f29160e289b5b064df0c07b917574b127783d6b6735bf",),
    "morning.toml": ("9ba687a8f85dcd8b8700c14a92a2580351ec09c0462bb6216436cc6a639c36e7",),
    "post-match.toml": ("0899306e23b142362305fa83af0584aebb9f844501a5118ee507786e0e6e475a",),
    "pre-match.toml": ("9c0caf45bd39c9e945bfe8cb9b9df4987a89dca2d03c8c5b60885638f873df95",),
}
"""SHA-256 of each list as an earlier release brought it, the oldest first; add those of a release
when the next one is begun.
"""
CURRENT, OLDER, EDITED, ABSENT = "current", "older", "edited", "absent"
NOTHING = "–"


@dataclass(frozen=True)
class Difference:
    """One thing that two versions of a list say differently; `–` where one says nothing."""

    check: str
    what: str
    yours: str
    comes: str


@dataclass(frozen=True)
class Copy:
    """A list of this program and the folder's copy of it: `current`, `older` (as an earlier release
    brought it, no one touched it), `edited` (with what differs), or `absent` from the folder.
    """

    name: str
    state: str
    differs: tuple[Difference, ...] = ()

    @property
    def sentence(self) -> str:
        """How the copy stands, for a person."""
        return f"{self.name} {_SENTENCES[self.state]}"


_SENTENCES = {
    CURRENT: "is as this program brings it.",
    OLDER: "is as an earlier release brought it; nobody changed it, and there is a newer one.",
    EDITED: "is your own; what this program brings says otherwise in the lines below.",
    ABSENT: "comes with this program and is not in the folder.",
}


def copies(folder: Path) -> list[Copy]:
    """Every list of this program with the folder's copy of it. Raises Missing where the folder is
    no pit folder.
    """
    pit_keys(folder)
    return [_copy(path, folder / "checklists" / path.name) for path in bundled_lists()]


def replace_older(folder: Path) -> list[str]:
    """Put this program's lists in the place of the untouched older ones: their names. Raises
    BadInput where one cannot be written.
    """
    older = [item.name for item in copies(folder) if item.state == OLDER]
    for path in bundled_lists():
        if path.name in older:
            _put(folder / "checklists" / path.name, path.read_bytes())
    return older


def copies_data(found: list[Copy]) -> list[dict[str, Any]]:
    """The same as plain data."""
    return [asdict(item) for item in found]


def copies_lines(found: list[Copy], folder: Path) -> list[str]:
    """The same for a terminal; what differs stands side by side."""
    lines = []
    for item in found:
        lines.append(item.sentence)
        if item.differs:
            yours = max(len("yours"), *(len(row.yours) for row in item.differs))
            name = max(len(f"{row.check}, {row.what}") for row in item.differs)
            rows = [
                ("", "yours", "this program"),
                *((f"{row.check}, {row.what}", row.yours, row.comes) for row in item.differs),
            ]
            lines += [
                f"    {one:<{name}}  {two:<{yours}}  {three}".rstrip() for one, two, three in rows
            ]
    if any(item.state == OLDER for item in found):
        lines.append(f"Replace what nobody changed with: pitcrew checklists {folder} --update")
    return lines


def _put(path: Path, raw: bytes) -> None:
    fresh = path.with_suffix(".new")
    try:
        fresh.write_bytes(raw)
        os.replace(fresh, path)
    except OSError as error:
        fresh.unlink(missing_ok=True)
        raise BadInput(
            f"{path} cannot be written ({error.strerror or error}); it stays as it was. Try again.",
            "folder",
        ) from None


def _copy(comes: Path, yours: Path) -> Copy:
    if not yours.is_file():
        return Copy(comes.name, ABSENT)
    mine, new = yours.read_bytes(), comes.read_bytes()
    if _digest(mine) == _digest(new):
        return Copy(comes.name, CURRENT)
    if _digest(mine) in RELEASED.get(comes.name, ()):
        return Copy(comes.name, OLDER)
    return Copy(comes.name, EDITED, tuple(_differences(parse_toml(mine), parse_toml(new))))


def _digest(raw: bytes) -> str:
    """The digest of a file whatever its line ends, which programs change by themselves."""
    return hashlib.sha256(raw.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n")).hexdigest()


def _differences(
    yours: dict[str, Any] | None, comes: dict[str, Any] | None
) -> Iterator[Difference]:
    if yours is None or comes is None:
        yield Difference(
            "the file", "text", "cannot be read" if yours is None else "is read", "is read"
        )
        return
    mine, new = _checks(yours), _checks(comes)
    for name in {**new, **mine}:
        if name not in mine or name not in new:
            yield Difference(
                name,
                "the check",
                NOTHING if name not in mine else "is there",
                NOTHING if name not in new else "is there",
            )
            continue
        told, wanted = _flat(mine[name]), _flat(new[name])
        for key in {**wanted, **told}:
            if told.get(key) != wanted.get(key):
                yield Difference(name, key, told.get(key, NOTHING), wanted.get(key, NOTHING))


def _checks(table: dict[str, Any]) -> dict[str, Any]:
    checks = table.get("check", [])
    listed = checks if isinstance(checks, list) else []
    return {
        str(item.get("id", number)): item
        for number, item in enumerate(listed, 1)
        if isinstance(item, dict)
    }


def _flat(value: Any, place: str = "") -> dict[str, str]:
    """The single values of a check by their way there: `limit.stop_high`, `input.travel.unit`."""
    if isinstance(value, dict):
        pairs = [(str(key), item) for key, item in value.items()]
    elif isinstance(value, list) and any(isinstance(item, dict) for item in value):
        pairs = [
            (str(item.get("name", number)) if isinstance(item, dict) else str(number), item)
            for number, item in enumerate(value, 1)
        ]
    else:
        return {place: ", ".join(map(_word, value)) if isinstance(value, list) else _word(value)}
    found: dict[str, str] = {}
    for key, item in pairs:
        found |= _flat(item, f"{place}.{key}" if place else key)
    return found


def _word(value: Any) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)
