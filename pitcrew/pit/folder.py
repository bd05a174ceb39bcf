"""The pit folder on disk: its layout, making one, and reading its TOML files. `pit.py` and this
module alone open TOML.

pitcrew.toml          settings            checklists/*.toml   what is checked
robots/NAME.toml      one build sheet     logbook.jsonl       the entries
photos/               by hash             secrets/            key, tokens, codes (mode 0600)
spares.toml           what is carried     refused.json        refused entries (mode 0600)
"""

import hashlib
import re
import secrets
import shutil
import tomllib
from pathlib import Path
from typing import Any

from pitcrew.base.clock import Clock, system_clock
from pitcrew.base.errors import BadInput, Conflict, Missing
from pitcrew.base.paths import CHECKLISTS
from pitcrew.domain.checks.definitions import Definitions, build_definitions
from pitcrew.domain.checks.spares import SPARES_FILE
from pitcrew.domain.robot.mistakes import Mistake
from pitcrew.pit.roster import read_secret, write_secret
from pitcrew.pit.tls import CertificateFiles, make_authority
from pitcrew.storage.lock import read_holder

SETTINGS_FILE = "pitcrew.toml"
LOGBOOK = "logbook.jsonl"
LARGEST_FILE = 2_000_000


def make_folder(
    folder: Path,
    settings_text: str,
    sheets: list[Path],
    lists: list[Path],
    clock: Clock = system_clock,
) -> None:
    """Make a pit folder with its key, certificates, settings, build sheets and checklists.

    Raises Conflict where one stands, BadInput where it cannot be written.
    """
    if (folder / SETTINGS_FILE).exists():
        raise Conflict(f"{folder} is a pit folder already. Serve it with: pitcrew serve {folder}")
    try:
        _lay_out(folder, settings_text, sheets, lists, clock)
    except OSError as error:
        raise BadInput(
            f"{folder} cannot be made ({error.strerror or error}). Name a folder where you may"
            " write.",
            "folder",
        ) from None


def _lay_out(
    folder: Path, settings_text: str, sheets: list[Path], lists: list[Path], clock: Clock
) -> None:
    for name in ("robots", "checklists", "photos"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    for path in sheets:
        shutil.copyfile(path, folder / "robots" / path.name)
    for path in lists:
        shutil.copyfile(path, folder / "checklists" / path.name)
    host = f"pit-{secrets.token_hex(4)}.local"
    write_secret(
        folder / "secrets" / "pit.json",
        {"key": secrets.token_hex(32), "session_key": secrets.token_hex(32), "host": host},
    )
    make_authority(CertificateFiles(folder), host, host.removesuffix(".local"), clock())
    (folder / SETTINGS_FILE).write_text(settings_text, encoding="utf-8")


def bundled_lists() -> list[Path]:
    """The checklists that come with pitcrew."""
    return sorted(
        path for path in CHECKLISTS.glob("*.toml") if not path.name.startswith("example-")
    )


def bundled_sheets() -> list[Path]:
    """The example build sheet that a new pit folder begins with; the others show other climbs."""
    return [CHECKLISTS / "robots" / "tern.toml"]


def is_held(folder: Path) -> bool:
    """Whether a server or a writing command holds the folder's lock now."""
    return read_holder(folder) is not None


def pit_keys(folder: Path) -> tuple[bytes, str]:
    """The pit's sealing key and the key of page sessions. Raises Missing where the folder is no pit
    folder."""
    if not (folder / SETTINGS_FILE).exists():
        raise Missing(
            f"{folder} is not a pit folder (no {SETTINGS_FILE}). Make one with: pitcrew new"
            f" {folder}"
        )
    stored = _pit_secret(folder)
    return bytes.fromhex(stored["key"]), stored["session_key"]


def pit_host(folder: Path) -> str:
    """The pit's lasting name on the local network, such as `pit-3f9a01bc.local`."""
    return str(_pit_secret(folder)["host"])


def _pit_secret(folder: Path) -> dict[str, str]:
    stored = read_secret(folder / "secrets" / "pit.json", None)
    if stored is None:
        raise Missing(
            f"{folder}/secrets/pit.json is missing. Put it back from the recovery file; without it"
            " no entry can be sealed."
        )
    return stored


def read_definitions(folder: Path) -> Definitions:
    """Settings, build sheets, checklists and limits of a folder. Wrong files become mistakes; the
    rest loads."""
    mistakes: list[Mistake] = []
    digests: dict[str, str] = {}
    settings = _read_toml(folder, folder / SETTINGS_FILE, mistakes, digests) or {}
    sheets = _read_all(folder, "robots", mistakes, digests)
    lists = _read_all(folder, "checklists", mistakes, digests)
    spares = (
        _read_toml(folder, folder / SPARES_FILE, mistakes, digests)
        if (folder / SPARES_FILE).exists()
        else None
    )
    return build_definitions(settings, sheets, lists, mistakes, digests, spares)


def digests_now(folder: Path) -> dict[str, str]:
    """The SHA-256 of every definition file, to notice a change without reading it as TOML."""
    return {_name(folder, path): _digest(path.read_bytes()) for path in definition_files(folder)}


def definition_files(folder: Path) -> list[Path]:
    """The settings, build sheets and checklists of a folder."""
    lists = [
        *sorted((folder / "robots").glob("*.toml")),
        *sorted((folder / "checklists").glob("*.toml")),
    ]
    paths = [folder / SETTINGS_FILE, folder / SPARES_FILE, *lists]
    return [path for path in paths if path.is_file()]


def parse_toml(raw: bytes) -> dict[str, Any] | None:
    """A file's text as TOML; None where it is none."""
    try:
        return tomllib.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return None


def toml_of(path: Path) -> dict[str, Any]:
    """The table of one TOML file that a person names. Raises Missing where there is none, BadInput
    where it is no TOML."""
    try:
        return tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except OSError as error:
        raise Missing(f"{path} cannot be read ({error.strerror}). Check the name.") from None
    except (ValueError, RecursionError) as error:
        raise BadInput(
            f"{path} is no TOML: {error}. Wanted: name = value, texts in quotes, UTF-8."
        ) from None


def _read_all(
    folder: Path, kind: str, mistakes: list[Mistake], digests: dict[str, str]
) -> dict[str, dict[str, Any]]:
    tables = {}
    for path in sorted((folder / kind).glob("*.toml")):
        table = _read_toml(folder, path, mistakes, digests)
        if table is not None:
            tables[_name(folder, path)] = table
    return tables


def _read_toml(
    folder: Path, path: Path, mistakes: list[Mistake], digests: dict[str, str]
) -> dict[str, Any] | None:
    name = _name(folder, path)
    try:
        raw = path.read_bytes()
        digests[name] = _digest(raw)
        if len(raw) > LARGEST_FILE:
            raise ValueError(f"{len(raw)} bytes")
        return tomllib.loads(raw.decode("utf-8-sig"))
    except OSError as error:
        mistakes.append(
            Mistake(
                name, "file", error.strerror or "unreadable", "a file that can be read", climb=True
            )
        )
    except UnicodeDecodeError:
        mistakes.append(
            Mistake(name, "file", "text that is not UTF-8", "a file saved as UTF-8", climb=True)
        )
    except tomllib.TOMLDecodeError as error:
        mistakes.append(
            Mistake(
                name,
                _place(str(error)),
                str(error),
                "TOML: name = value, texts in quotes",
                climb=True,
            )
        )
    except (ValueError, RecursionError) as error:
        mistakes.append(
            Mistake(
                name,
                "file",
                str(error),
                f"a file of at most {LARGEST_FILE} bytes, not nested deeply",
                climb=True,
            )
        )
    return None


def _place(message: str) -> str:
    found = re.search(r"line (\d+)", message)
    return f"line {found[1]}" if found else "file"


def _name(folder: Path, path: Path) -> str:
    return path.relative_to(folder).as_posix()


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()
