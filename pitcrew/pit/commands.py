"""Writing commands, as functions over an open pit. The CLI runs one under the folder's lock, or hands it to the server
that holds the lock (`web/handover.py`); both ways end in the same function here."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.domain.event.schedule_csv import read_schedule
from pitcrew.domain.logbook.schedule import schedule_entries
from pitcrew.exchange.bundle import hand_in, read_bundle, sentence_of
from pitcrew.pit.logs import import_file
from pitcrew.pit.pit import LAPTOP, Author, Pit
from pitcrew.pit.relay import adopted_lines

AT_THE_LAPTOP = Author(LAPTOP, LAPTOP, "lead")


def make_code(pit: Pit, role: str = "crew") -> dict[str, Any]:
    """A fresh join code for a role: `{code, role, minutes}`. Raises UnknownName."""
    lifetime = pit.definitions.settings["join_code_time"]
    return {"code": pit.roster.make_code(role, timedelta(seconds=lifetime)), "role": role, "minutes": round(lifetime / 60)}


def import_schedule(pit: Pit, text: str, author: Author = AT_THE_LAPTOP) -> dict[str, Any]:
    """Store what a match list adds or changes: `{read, changed, problems}`; the same list again changes nothing."""
    settings = pit.definitions.settings
    rows, problems = read_schedule(text, settings["event"], settings["zone"], settings["team"])
    with pit.reading() as state:
        changes = schedule_entries(rows, state)
    for run, body in changes:
        pit.record("match_run", body, author, match=run)
    return {"read": len(rows), "changed": len(changes), "problems": [problem.sentence for problem in problems]}


def import_log(
    pit: Pit, path: str, battery: str, match: str | None = None, columns: dict[str, str] | None = None, author: Author = AT_THE_LAPTOP,
) -> dict[str, Any]:
    """Read a robot's log, a file of this laptop, into the logbook; see `logs.import_stored` for the answer."""
    return import_file(pit, path, battery, match, columns, author=author)


def note_handoff(pit: Pit, audience: str, head: str, author: Author = AT_THE_LAPTOP) -> dict[str, Any]:
    """Record that a handoff sheet was made, so that the next one says what happened since: `{seq}`."""
    return {"seq": pit.record("handoff", {"audience": audience, "head": head}, author).seq}


def adopt_bundle(pit: Pit, text: str) -> dict[str, Any]:
    """Store what a phone's hand-over file brings: `{sentence, receipt, refused, adopted}`; twice is harmless.

    Whoever rebuilds at the laptop itself takes a lost laptop's match list and a captain's deferrals as well, unverified.
    """
    done = hand_in(pit, read_bundle(text.encode("utf-8", "surrogatepass")), AT_THE_LAPTOP.role, stranger=AT_THE_LAPTOP.role)
    return {"sentence": sentence_of(done), "receipt": done.receipt, "refused": done.refused, "adopted": adopted_lines(pit.journal.after(0))}


COMMANDS: dict[str, Callable[..., dict[str, Any]]] = {
    "code": make_code, "import-schedule": import_schedule, "import-log": import_log, "handoff-made": note_handoff,
    "adopt-bundle": adopt_bundle,
}


def run(pit: Pit, name: str, arguments: dict[str, Any]) -> dict[str, Any]:
    """Run a command by name. Raises UnknownName, BadInput and the command's own errors."""
    if name not in COMMANDS:
        raise UnknownName("The command", name, COMMANDS)
    try:
        return COMMANDS[name](pit, **arguments)
    except TypeError as error:
        raise BadInput(f"The command {name} cannot take these arguments: {error}.") from None
