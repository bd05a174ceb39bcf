"""Writing commands, as functions over an open pit. The CLI runs one under the folder's lock, or
hands it to the server that holds the lock (`web/handover.py`); both ways end in the same function
here."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from pitcrew.domain.event.schedule_csv import read_schedule
from pitcrew.domain.logbook.schedule import schedule_entries
from pitcrew.pit.intake import Author
from pitcrew.pit.logs import import_file
from pitcrew.pit.pit import LAPTOP, Pit

AT_THE_LAPTOP = Author(LAPTOP, LAPTOP, "lead")


def make_code(pit: Pit, role: str = "crew") -> dict[str, Any]:
    """A fresh join code for a role: `{code, role, minutes}`. Raises UnknownName."""
    lifetime = pit.definitions.settings["join_code_time"]
    return {
        "code": pit.roster.make_code(role, timedelta(seconds=lifetime)),
        "role": role,
        "minutes": round(lifetime / 60),
    }


def import_schedule(pit: Pit, text: str, author: Author = AT_THE_LAPTOP) -> dict[str, Any]:
    """Store what a match list adds or changes: `{read, changed, problems}`; the same list again
    changes nothing."""
    settings = pit.definitions.settings
    rows, problems = read_schedule(text, settings["event"], settings["zone"], settings["team"])
    with pit.reading() as state:
        changes = schedule_entries(rows, state)
    for run, body in changes:
        pit.record("match_run", body, author, match=run)
    return {
        "read": len(rows),
        "changed": len(changes),
        "problems": [problem.sentence for problem in problems],
    }


def import_log(
    pit: Pit,
    path: str,
    battery: str,
    match: str | None = None,
    columns: dict[str, str] | None = None,
    author: Author = AT_THE_LAPTOP,
) -> dict[str, Any]:
    """Read a robot's log, a file of this laptop, into the logbook; see `logs.import_stored` for the
    answer."""
    return import_file(pit, path, battery, match, columns, author=author)


def note_handoff(
    pit: Pit, audience: str, head: str, author: Author = AT_THE_LAPTOP
) -> dict[str, Any]:
    """Record that a handoff sheet was made, so that the next one says what happened since:
    `{seq}`."""
    return {"seq": pit.record("handoff", {"audience": audience, "head": head}, author).seq}


COMMANDS: dict[str, Callable[..., dict[str, Any]]] = {
    "code": make_code,
    "import-schedule": import_schedule,
    "import-log": import_log,
    "handoff-made": note_handoff,
}
"""The pit's own commands by name; `exchange/commands.py` adds the one that takes a bundle, and runs
them."""
