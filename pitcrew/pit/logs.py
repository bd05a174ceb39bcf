"""Robot logs in the pit folder: the raw file kept once by its hash, what a person said of its
columns, and the import into the logbook.

logs/<sha256>.csv     the file as it came       logs/<sha256>.json   its thinned course, to plot it
logs/columns.json     which column is which, by the headings that a person confirmed
"""

import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from string import ascii_letters
from threading import Lock
from typing import Any, BinaryIO

from pitcrew.base.entries import new_id, read_body
from pitcrew.base.errors import BadInput, DiskFull, Missing, PitcrewError
from pitcrew.base.spoken import made
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.state import State, battery_name
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from pitcrew.robotlog.clocks import Expected, split_unit
from pitcrew.robotlog.columns import ROLES, recognise
from pitcrew.robotlog.data import LogData
from pitcrew.robotlog.reading import SUMMED, look_at, read_log
from pitcrew.robotlog.results import answer_of, measured
from pitcrew.robotlog.text import Layout
from pitcrew.storage.durable import replace_whole, sync, sync_folder

LARGEST = 1_000_000_000
"""bytes of one log; a million rows of 89 columns are 700 MB"""
BLOCK = 1 << 20
_HASH_DIGITS = 64
_ONE_AT_A_TIME = Lock()
"""Two presses on one button are two requests; the second finds what the first has added."""


class LogStore:
    """The logs of one pit folder."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder / "logs"

    def keep(self, source: BinaryIO) -> str:
        """Store a log once; its SHA-256. Raises BadInput for an empty or too large one,
        DiskFull."""
        self._folder.mkdir(exist_ok=True)
        fresh = self._folder / f"{os.getpid()}-{id(source):x}.part"
        try:
            digest = _copy(source, fresh)
            os.replace(fresh, self.path(digest))
            sync_folder(self._folder)
        except OSError as error:
            raise DiskFull(
                f"The log is not stored ({error.strerror}). Free some space on this laptop and"
                " import it again."
            ) from error
        finally:
            fresh.unlink(missing_ok=True)
        return digest

    def path(self, digest: str) -> Path:
        """Where a log is. Raises BadInput for what is no hash."""
        if len(digest) != _HASH_DIGITS or set(digest) - set("0123456789abcdef"):
            raise BadInput("A log is named by 64 digits of its hash. Import it again.", "file")
        return self._folder / f"{digest}.csv"

    def blocks(self, digest: str) -> Iterator[bytes]:
        """The bytes of a log in blocks. Raises Missing."""
        try:
            with self.path(digest).open("rb") as file:
                while block := file.read(BLOCK):
                    yield block
        except FileNotFoundError:
            raise Missing(
                "The file of this log is not on this laptop. Import it here again."
            ) from None

    def course(self, digest: str) -> dict[str, Any] | None:
        """The thinned course of a log; None where this laptop has not read it."""
        path = self.path(digest).with_suffix(".json")
        return json.loads(path.read_text(encoding="utf-8")) if path.exists() else None

    def keep_course(self, digest: str, course: dict[str, Any]) -> None:
        """Store the thinned course beside the log."""
        replace_whole(self.path(digest).with_suffix(".json"), json.dumps(course).encode())

    def remembered(self, layout: Layout) -> dict[str, str] | None:
        """The columns that a person confirmed for these headings; None for headings that are
        new."""
        return self._all_remembered().get(_digest(layout.header_text))

    def remember(self, layout: Layout, columns: Mapping[str, str]) -> None:
        """Keep what a person said of these headings."""
        known = {**self._all_remembered(), _digest(layout.header_text): dict(columns)}
        self._folder.mkdir(exist_ok=True)
        replace_whole(
            self._folder / "columns.json", json.dumps(known, ensure_ascii=False, indent=1).encode()
        )

    def _all_remembered(self) -> dict[str, dict[str, str]]:
        path = self._folder / "columns.json"
        try:
            return json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
        except ValueError:
            return {}


def look_into(store: LogStore, digest: str) -> tuple[Layout, dict[str, str]]:
    """A stored log's layout, and the heading proposed for each role: as confirmed before, else as
    recognised (maybe not all)."""
    layout, _ = look_at(store.blocks(digest))
    known = store.remembered(layout)
    if known is not None:
        return layout, known
    try:
        found = recognise(layout.heads, layout.sample)
    except BadInput:
        return layout, {}
    return layout, {role: layout.heads[at].text or str(at + 1) for role, at in found.roles.items()}


def as_read(columns: Mapping[str, str], proposed: Mapping[str, str]) -> dict[str, str]:
    """The columns of a log's entry as a person can name them again. A column without a heading is
    named as `proposed`; a whole current that was added up from channels has no column."""
    return {
        role: name or proposed.get(role, "")
        for role, name in columns.items()
        if role in ROLES and not name.startswith(SUMMED)
    }


def import_file(
    pit: Pit,
    path: str,
    battery: str,
    match: str | None = None,
    columns: Mapping[str, str] | None = None,
    *,
    author: Author,
) -> dict[str, Any]:
    """Keep a file of this laptop and import it: see `import_stored`. Raises Missing."""
    store = LogStore(pit.folder)
    try:
        with Path(path).open("rb") as source:
            digest = store.keep(source)
    except OSError as error:
        raise Missing(f"{path} cannot be read ({error.strerror}). Check the name.") from None
    try:
        return import_stored(pit, digest, Path(path).name, battery, match, columns, author=author)
    except PitcrewError:
        discard(pit, digest)
        raise


def discard(pit: Pit, digest: str) -> None:
    """Throw a stored log away, unless it is in the logbook."""
    if log_of(pit, digest) is None:
        LogStore(pit.folder).path(digest).unlink(missing_ok=True)


def log_of(pit: Pit, digest: str) -> Fact | None:
    """What the logbook holds of a file; None where it was not imported."""
    with pit.reading() as state:
        return next(
            (
                fact
                for facts in state.robot_logs.values()
                for fact in facts
                if fact.body.file == digest
            ),
            None,
        )


def import_stored(
    pit: Pit,
    digest: str,
    name: str,
    battery: str,
    match: str | None = None,
    columns: Mapping[str, str] | None = None,
    *,
    author: Author,
) -> dict[str, Any]:
    """Read a stored log into the logbook, tied to its match and battery; what it says, in SI units,
    charge in A*h.

    The same file again adds nothing: the answer has `known` and says what stands. With other
    `columns` than it was read with, a correction is added, and the answer has `corrected`. Raises
    BadInput where nothing can be read.
    """
    battery = battery_name(battery)
    if not battery:
        raise BadInput("Name the battery that was in the robot.", "battery")
    with _ONE_AT_A_TIME:
        known = log_of(pit, digest)
        with pit.reading() as state:
            run, remarks = _run_of(match, state, pit.definitions.settings["event"])
        if known is not None:
            return _known(pit, known, columns, author)
        if f"battery.{battery}" not in (
            pit.definitions.robot.parts if pit.definitions.robot else {}
        ):
            remarks.append(f"No build sheet lists a battery {battery!r}.")
        body, more, found = _read(pit, digest, columns, battery, run)
        body |= {"battery": battery, "file": digest, "name": name[:120]}
        pit.record("robot_log", body, author, match=run, entry_id=new_id(pit.clock()))
    return {"known": False, "match": run, "remarks": remarks + found, **answer_of(body), **more}


def preview(
    pit: Pit, digest: str, battery: str, tied: bool, columns: Mapping[str, str]
) -> dict[str, Any]:
    """What a stored log would say by these columns, SI, charge in A*h; nothing is kept. `tied`: it
    is known to be of one match. Raises BadInput where it cannot be read so."""
    expected = expected_of(pit, battery_name(battery))
    _, data, _, _ = _read_columns(LogStore(pit.folder), digest, columns, expected)
    body, more = measured(data, pit.definitions.settings["brown_out"], expected, tied)
    return {**answer_of(body), "middle_voltage": more["middle_voltage"]}


def _known(
    pit: Pit, fact: Fact, columns: Mapping[str, str] | None, author: Author
) -> dict[str, Any]:
    """A log that the logbook has: read again and corrected where other columns are named, else as
    it stands."""
    stands = dict(fact.entry.body)
    answer: dict[str, Any] = {"known": True, "corrected": False, "match": fact.match, "remarks": []}
    if not columns:
        return answer | answer_of(stands)
    body, more, found = _read(pit, stands["file"], columns, stands["battery"], fact.match)
    body |= {name: stands[name] for name in ("battery", "file", "name")}
    newer = {name: body[name] for name in ("charge_slope", "doubts", "clock_unit") if name in body}
    if read_body("robot_log", body) == read_body("robot_log", newer | stands):
        return answer | answer_of(stands)
    read_with = ", ".join(f"{role}={name}" for role, name in columns.items() if name)
    why, said = made("read_again", columns=read_with)
    correction = {"of": fact.id, "body": body, "why": why, "said": said}
    pit.record("correction", correction, author)
    return answer | {"corrected": True, "remarks": found} | answer_of(body) | more


def expected_of(pit: Pit, battery: str) -> Expected:
    """What a log of the robot that plays is like: its match by the settings, its battery by the
    label."""
    robot = pit.definitions.robot
    part = robot.parts.get(f"battery.{battery}") if robot else None
    capacity = part.specs.get("capacity") if part else None
    length = float(pit.definitions.settings["match_length"])
    return (
        Expected(length, float(capacity)) if isinstance(capacity, int | float) else Expected(length)
    )


def _read(
    pit: Pit, digest: str, columns: Mapping[str, str] | None, battery: str, run: str | None
) -> tuple[dict[str, Any], dict[str, Any], list[str]]:
    """A log's numbers, what is shown once, and remarks; its course is kept, and columns that a
    person named are remembered."""
    store = LogStore(pit.folder)
    expected = expected_of(pit, battery)
    layout, data, given, by_earlier = _read_columns(store, digest, columns, expected)
    body, more = measured(data, pit.definitions.settings["brown_out"], expected, run is not None)
    store.keep_course(digest, {**more.pop("course"), **more})
    if given:
        texts = {head.text for head in layout.heads}
        known = {
            role: name if name in texts else given.get(role, "")
            for role, name in data.names.items()
            if role in ROLES
        }
        if data.clock_unit:
            known["time"] = body["columns"]["time"]
        store.remember(layout, {**given, **known})
    held = (
        ["Volts or amps stand only in the rows where they changed; each was held until the next."]
        if data.held
        else []
    )
    turned = ["Its newest row stood first: it was read from the end."] if data.turned else []
    earlier = (
        [f"Its clock counts {data.clock_unit}, as was said of an earlier log with these headings."]
        if by_earlier
        else []
    )
    without = (
        [
            "No column is read as the current, as was said of an earlier log with these headings."
            " If one holds it, name it: --columns current=NAME."
        ]
        if not columns and given.get("current") == ""
        else []
    )
    return body, more, [*held, *turned, *earlier, *without, *_of_the_current(data)]


def _read_columns(
    store: LogStore, digest: str, columns: Mapping[str, str] | None, expected: Expected
) -> tuple[Layout, LogData, dict[str, str], bool]:
    """A log read by the columns that a person names now, else by those of an earlier log with the
    same headings. What was named as that one's clock unit may be otherwise in this: it counts only
    where the log itself leaves the unit open, which the last of the answer says. Raises BadInput
    where nothing decides."""
    layout, blocks = look_at(store.blocks(digest))
    known = {} if columns else dict(store.remembered(layout) or {})
    given = dict(columns or known)
    if columns or not known:
        return layout, read_log(layout, blocks, given, expected), given, False
    heading, unit = split_unit(given.get("time", ""), [head.text for head in layout.heads])
    try:
        plain = {**given, "time": heading} if unit else given
        return layout, read_log(layout, blocks, plain, expected), plain, False
    except BadInput as error:
        if error.field != "time" or not unit:
            raise
    layout, blocks = look_at(store.blocks(digest))
    return layout, read_log(layout, blocks, given, expected), given, True


def _of_the_current(data: LogData) -> list[str]:
    """What has to be known of the current that was used."""
    if data.names.get("current", "").startswith(SUMMED):
        return [
            "No column holds the whole current; what is drawn beside the added channels is missing."
        ]
    return []


def _run_of(match: str | None, state: State, event: str) -> tuple[str | None, list[str]]:
    """The run that a match's name means, and a remark where the schedule does not have it."""
    if not (match or "").strip():
        return None, []
    wanted = (match or "").strip()
    runs = state.runs_in_order()
    for run in runs:
        names = (run.id, run.label, run.name, *([run.match] if run.event == event else []))
        if wanted.casefold() in {name.casefold() for name in names}:
            return run.id, []
    by_number = {
        run.match: run
        for run in runs
        if run.event == event and run.match.lstrip(ascii_letters + " ") == wanted
    }
    if len(by_number) == 1:  # `66` for Q66, if no other letters stand before 66
        return next(iter(by_number.values())).id, []
    if wanted.count("/") not in (0, 2):
        raise BadInput(
            f"The match {wanted!r} names no run. Wanted: its number, or event/match/run such as"
            " fjord/12/1.",
            "match",
        )
    return (wanted if "/" in wanted else f"{event}/{wanted}/1"), [
        f"The schedule has no match {wanted}."
    ]


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _copy(source: BinaryIO, target: Path) -> str:
    """Copy with fsync, and the SHA-256 of what was copied."""
    digest, size = hashlib.sha256(), 0
    with target.open("wb") as file:
        while block := source.read(BLOCK):
            size += len(block)
            if size > LARGEST:
                raise BadInput(
                    f"The log has over {LARGEST // 1_000_000} MB. Export the one match alone.",
                    "file",
                )
            digest.update(block)
            file.write(block)
        file.flush()
        sync(file.fileno())
    if not size:
        raise BadInput("The log is empty. Export it again.", "file")
    return digest.hexdigest()
