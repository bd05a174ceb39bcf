"""The recovery file: what another laptop needs so that phones meet it as if nothing had happened.

It holds the pit's name and keys, its certificates, who has joined (hashes of their tokens), and the
definition files. It holds no entries: the phones do. Who has it can stand in for the pit's laptop,
so it belongs on a memory stick, not in the cloud.
"""

import json
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from pitcrew.base.clock import format_instant, system_clock
from pitcrew.base.errors import BadInput, Conflict, Missing
from pitcrew.domain.checks.spares import SPARES_FILE
from pitcrew.pit.folder import (
    SETTINGS_FILE,
    bundled_lists,
    bundled_sheets,
    definition_files,
    make_folder,
    pit_keys,
)
from pitcrew.pit.roster import Roster, read_secret, write_secret
from pitcrew.pit.tls import CertificateFiles

VERSION = 1
_SINGLE = (SETTINGS_FILE, SPARES_FILE)
_FOLDERS = ("robots", "checklists")
_NOT_KEPT = {
    "logbook.jsonl": "the logbook (the phones hold it)",
    "photos": "photos",
    "logs": "logs of the robot",
    "matches.csv": "the match list as a file",
    "refused.json": "refused entries",
    "secrets/pins.json": "PINs (each person sets a new one)",
}
"""What is in a pit folder and is not in its recovery file, in words."""


def recovery_of(folder: Path, now: datetime) -> dict[str, Any]:
    """The content of a recovery file for a pit folder. Raises Missing where the folder is no pit
    folder."""
    pit_keys(folder)
    devices = [asdict(device) for device in Roster(folder, system_clock).devices()]
    return {
        "pitcrew": "recovery",
        "version": VERSION,
        "made_at": format_instant(now),
        "pit": read_secret(folder / "secrets" / "pit.json", {}),
        "devices": devices,
        "certificates": {
            name: path.read_text() for name, path in _kept(folder).items() if path.exists()
        },
        "files": {
            path.relative_to(folder).as_posix(): path.read_bytes().decode("utf-8", "replace")
            for path in definition_files(folder)
        },
        "not_included": [
            words for name, words in _NOT_KEPT.items() if _holds_something(folder / name)
        ],
    }


def left_out(data: dict[str, Any]) -> str:
    """What is not in a recovery file, in a sentence; empty where it does not say so."""
    names = [str(item) for item in data.get("not_included") or []]
    return f"Not in it, copy it yourself: {', '.join(names)}." if names else ""


def _holds_something(path: Path) -> bool:
    return any(path.iterdir()) if path.is_dir() else path.exists()


def write_recovery(folder: Path, target: Path | None, now: datetime) -> Path:
    """Write a recovery file (mode 0600), by default `recovery-NAME.json` in the folder; its
    path."""
    target = target or folder / f"recovery-{folder.resolve().name}.json"
    if not target.resolve().parent.is_dir():  # not made: it may be a stick that is not plugged in
        raise Missing(
            f"{target.parent} does not exist. Is the memory stick plugged in? Name the place"
            " with -o.",
            "-o",
        )
    try:
        write_secret(target, recovery_of(folder, now))
    except OSError as error:
        raise Missing(
            f"{target} cannot be written ({error.strerror}). Name another place with -o.", "-o"
        ) from None
    return target


def read_recovery(path: Path) -> dict[str, Any]:
    """A recovery file's content. Raises Missing and BadInput."""
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise Missing(
            f"{path} cannot be read ({error.strerror}). Name the recovery file on your memory"
            " stick.",
            "--recovery",
        ) from None
    except ValueError:
        data = None
    if (
        not isinstance(data, dict)
        or data.get("pitcrew") != "recovery"
        or data.get("version") != VERSION
    ):
        raise BadInput(
            f"{path} is not a recovery file. Wanted: the file that `pitcrew new` or `pitcrew"
            " recovery` wrote.",
            "--recovery",
        )
    return data


def make_from_recovery(folder: Path, data: dict[str, Any]) -> None:
    """Make a pit folder that is the old pit, with an empty logbook. Raises Conflict where a pit
    folder stands, BadInput."""
    if (folder / SETTINGS_FILE).exists():
        raise Conflict(
            f"{folder} is a pit folder already. Name a new folder, or leave out --recovery to add"
            " bundles to this one."
        )
    try:
        files = {folder / _safe(name): str(text) for name, text in data["files"].items()}
        certificates = {
            path: str(data["certificates"][name])
            for name, path in _kept(folder).items()
            if name in data["certificates"]
        }
        pit, devices = dict(data["pit"]), list(data["devices"])
    except (KeyError, TypeError, AttributeError):
        raise BadInput(
            "The recovery file lacks something that pitcrew writes into one. Use another copy"
            " of it.",
            "--recovery",
        ) from None
    for name in ("robots", "checklists", "photos"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    write_secret(folder / "secrets" / "pit.json", pit)
    write_secret(folder / "secrets" / "roster.json", {"devices": devices, "codes": []})
    for path, text in certificates.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch(mode=0o600 if path.suffix == ".key" else 0o644)
        path.write_text(text)
    for path, text in sorted(
        files.items(), key=lambda item: item[0].name == SETTINGS_FILE
    ):  # the settings last: they make it a pit folder
        path.write_bytes(text.encode())


def prepare(folder: Path, recovery: Path | None) -> str:
    """A pit folder to adopt into: the old pit from its recovery file, a new one, or the one that is
    there. What was done."""
    if recovery is not None:
        data = read_recovery(recovery)
        make_from_recovery(folder, data)
        made = (
            f"Made {folder} from {recovery.name}: phones that had joined meet it as before. Serve"
            f" it with: pitcrew serve {folder}"
        )
        return "\n".join(filter(None, (made, left_out(data))))
    if (folder / SETTINGS_FILE).exists():
        return f"Adding to the pit in {folder}."
    make_folder(folder, 'event = "event"\n', bundled_sheets(), bundled_lists())
    return (
        f"Made {folder} again, with the bundled checklists. Without the recovery file nothing can"
        " be proven, and phones do not know this laptop: they hand over by file or codes, then join"
        " again."
    )


def _kept(folder: Path) -> dict[str, Path]:
    files = CertificateFiles(folder)
    return {
        "root": files.root,
        "intermediate": files.intermediate,
        "intermediate_key": files.intermediate_key,
    }


def _safe(name: str) -> str:
    """A path of a definition file, and of nothing else. Raises KeyError."""
    path = Path(name)
    in_folder = len(path.parts) == 2 and path.parts[0] in _FOLDERS and path.suffix == ".toml"
    if not (name in _SINGLE or in_folder) or ".." in path.parts:
        raise KeyError(name)
    return name
