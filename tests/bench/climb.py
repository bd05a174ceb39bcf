"""The Climb page on a log of 50 000 entries against one of 1 000, and verifying 100 000 entries
against reading their JSON.

The entries are readings of all checks, signatures for the climb, and matches, as a season brings
them. Read the ratios.
"""

import json
import tempfile
from collections import deque
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from functools import partial
from itertools import count, islice
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from msgspec import structs

from pitcrew.base.clock import format_instant
from pitcrew.base.entries import Entry, new_id
from pitcrew.base.paths import ROOT
from pitcrew.demo.readings import HEALTHY
from pitcrew.domain.checks.fields import WITNESSED
from pitcrew.domain.checks.limits import PartCheck, limit_as_dict
from pitcrew.domain.checks.readings import judge
from pitcrew.pit.folder import LOGBOOK, bundled_lists, bundled_sheets, make_folder
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.pit.verify import verify_folder
from pitcrew.web.app import create_app

SMALL, LARGE, LONG = 1_000, 50_000, 100_000
ROUNDS = 15
CHUNK = 2_000
WALKS = 5


def a_pit(folder: Path, entries: int) -> Pit:
    """A pit with the bundled lists and about so many entries: rounds of all checks, one a minute,
    then a signature and a match."""
    make_folder(folder, 'event = "bench"\n', bundled_sheets(), bundled_lists())
    pit = open_pit(folder, fsync=False)
    begin = pit.clock() - timedelta(minutes=entries)
    bodies = [body(item) for item in pit.definitions.part_checks.values()]
    made = islice(season(bodies, begin, pit.journal.head()[0]), entries)
    while chunk := list(islice(made, CHUNK)):
        pit.append(chunk)
    return pit


def season(bodies: list[dict[str, Any]], begin: datetime, head: int) -> Iterator[Entry]:
    """Endless entries, one a minute from `begin` on, after entry `head`."""
    number = count(1)
    for match in count(1):
        started = 0
        for walk in range(WALKS):
            started = next(number) if walk == WALKS - 1 else started
            for content in bodies:
                yield from _read(begin, number, content)
        signed = next(number)
        if _day(begin, started) == _day(begin, signed):  # a hold test counts on its day
            yield an_entry(
                begin, signed, "clearance", {"decision": "cleared", "seen_seq": head + signed - 1}
            )
        played = next(number)
        actual = format_instant(begin + timedelta(minutes=played))
        yield an_entry(
            begin, played, "match_run", {"actual": actual, "ours": "red 1"}, f"bench/{match}/1"
        )


def _read(begin: datetime, number: Iterator[int], content: dict[str, Any]) -> Iterator[Entry]:
    """A reading, and a second person who saw it where its check asks for one."""
    read = an_entry(begin, next(number), "reading", content)
    yield read
    if content["check"].startswith(WITNESSED):
        seen = an_entry(begin, next(number), "approval", {"of": read.id, "decision": "confirmed"})
        yield structs.replace(seen, device="d2", person="Ivo")


def _day(begin: datetime, number: int) -> object:
    return (begin + timedelta(minutes=number)).date()


def an_entry(
    begin: datetime, number: int, kind: str, content: dict[str, Any], match: str | None = None
) -> Entry:
    """An entry as the laptop stores it."""
    at = begin + timedelta(minutes=number)
    text = format_instant(at)
    return Entry(
        id=new_id(at),
        kind=kind,
        at=text,
        device="d1",
        person="Ada",
        robot="tern",
        match=match,
        body=content,
        received_at=text,
    )


def body(item: PartCheck) -> dict[str, Any]:
    """A reading of a check on a part in good order, judged by its limit."""
    usual = {**HEALTHY.get(item.check.id, {}), **HEALTHY.get(item.key, {})}
    inputs: dict[str, Any] = {}
    for field in item.check.inputs:
        typed = usual.get(field.name, "").partition(" ")[0]
        if field.kind == "number" and typed:
            inputs[field.name] = {"typed": typed, "value": float(typed), "unit": field.unit}
        elif field.options:
            answer = next(word for word, verdict in field.options.items() if verdict == "ok")
            inputs[field.name] = {"typed": answer, "value": answer, "unit": None}
    limit = limit_as_dict(item.limit) if item.limit else None
    found = judge(limit, inputs, item.unjudged_because)
    return {
        "check": item.check.id,
        "part": item.part.id,
        "inputs": inputs,
        "limit": limit,
        "verdict": found.verdict,
    }


def timed(work: Callable[[], object]) -> float:
    """How long that takes, ms."""
    start = perf_counter()
    work()
    return (perf_counter() - start) * 1000


def page_of(pit: Pit) -> Callable[[], object]:
    """Asking for the Climb page as the captain."""
    app = create_app(pit)
    joined = pit.roster.join(
        pit.roster.make_code("captain", timedelta(minutes=9)), "Mira", "bench", "a"
    )
    browser = app.test_client()
    with browser.session_transaction() as session:
        session["device"] = joined.device.id
    assert browser.get("/climb").status_code == 200
    return lambda: browser.get("/climb")


def lines_of(path: Path, keep: bool = True) -> list[Any]:
    """What `json.loads` makes of each line, in a list or thrown away at once."""
    with path.open("rb") as lines:
        read = map(json.loads, lines)
        return list(read) if keep else list(deque(read, maxlen=0))


def main() -> None:
    """Print both comparisons."""
    (ROOT / "build").mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory(dir=ROOT / "build") as place:
        pits = [a_pit(Path(place, str(size)), size) for size in (SMALL, LARGE)]
        asks = [page_of(pit) for pit in pits]
        rounds = [[timed(ask) for ask in asks] for _ in range(ROUNDS)]
        small, large = (median(times) for times in zip(*rounds, strict=True))
        print(
            f"Climb page: {small:.0f} ms on {SMALL} entries, {large:.0f} ms on {LARGE}:"
            f" {large / small:.2f} times (wanted: at most 1.3)"
        )
        for pit in pits:
            pit.close()
    with tempfile.TemporaryDirectory(dir=ROOT / "build") as place:
        folder = Path(place, "pit")
        a_pit(folder, LONG).close()
        report = verify_folder(folder)
        assert not report.bad, report.lines
        works = (
            partial(verify_folder, folder),
            partial(lines_of, folder / LOGBOOK),
            partial(lines_of, folder / LOGBOOK, keep=False),
        )
        rounds = [[timed(work) for work in works] for _ in range(3)]
        whole, kept, dropped = (median(times) for times in zip(*rounds, strict=True))
        signed = sum(line.startswith("Clearance") for line in report.lines)
        print(
            f"verify of {LONG} entries, every seal, verdict and clearance ({signed}) worked out"
            f" again: {whole:.0f} ms, {whole / kept:.2f} of json.loads on each line into a list"
            f" (wanted: at most 3), {whole / dropped:.2f} of it with nothing kept"
        )
