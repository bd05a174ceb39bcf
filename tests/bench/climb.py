"""The Climb page on a log of 50 000 entries against one of 1 000, and verifying 100 000 entries against reading their JSON.

The entries are readings, notes and match facts as a season brings them, most of them on parts of the climb. Read the ratios.
"""

import json
import tempfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from pitcrew.clock import format_instant
from pitcrew.domain.limits import PartCheck, limit_as_dict
from pitcrew.domain.readings import judge
from pitcrew.entries import Entry, new_id
from pitcrew.folder import LOGBOOK, bundled_lists, bundled_sheets, make_folder
from pitcrew.paths import ROOT
from pitcrew.pit import Pit, open_pit
from pitcrew.verify import verify_folder
from pitcrew.web.app import create_app

SMALL, LARGE, LONG = 1_000, 50_000, 100_000
ROUNDS = 15
CHUNK = 2_000


def a_pit(folder: Path, entries: int) -> Pit:
    """A pit with the bundled lists and so many readings, each check in turn, one a minute."""
    make_folder(folder, 'event = "bench"\n', bundled_sheets(), bundled_lists())
    pit = open_pit(folder, fsync=False)
    checks = list(pit.definitions.part_checks.values())
    bodies = [body(item) for item in checks]
    begin = pit.clock() - timedelta(minutes=entries)
    for start in range(0, entries, CHUNK):
        numbers = range(start, min(start + CHUNK, entries))
        pit.append(an_entry(bodies[number % len(bodies)], format_instant(at := begin + timedelta(minutes=number)), new_id(at))
                   for number in numbers)
    return pit


def an_entry(content: dict[str, Any], at: str, name: str) -> Entry:
    """A reading as the laptop stores it."""
    return Entry(id=name, kind="reading", at=at, device="d1", person="Ada", robot="tern", body=content, received_at=at, offset=0.2)


def body(item: PartCheck) -> dict[str, Any]:
    """Some reading of a check, judged by its limit."""
    inputs: dict[str, Any] = {}
    for field in item.check.inputs:
        if field.kind == "number":
            inputs[field.name] = {"typed": "10", "value": 10, "unit": field.unit}
        elif field.options:
            answer = next(iter(field.options))
            inputs[field.name] = {"typed": answer, "value": answer, "unit": None}
    limit = limit_as_dict(item.limit) if item.limit else None
    found = judge(limit, inputs, item.unjudged_because)
    return {"check": item.check.id, "part": item.part.id, "inputs": inputs, "limit": limit, "verdict": found.verdict}


def timed(work: Callable[[], object]) -> float:
    """How long that takes, ms."""
    start = perf_counter()
    work()
    return (perf_counter() - start) * 1000


def page_of(pit: Pit) -> Callable[[], object]:
    """Asking for the Climb page as the captain."""
    app = create_app(pit)
    joined = pit.roster.join(pit.roster.make_code("captain", timedelta(minutes=9)), "Mira", "bench", "a")
    browser = app.test_client()
    with browser.session_transaction() as session:
        session["device"] = joined.device.id
    assert browser.get("/climb").status_code == 200
    return lambda: browser.get("/climb")


def main() -> None:
    """Print both comparisons."""
    (ROOT / "build").mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory(dir=ROOT / "build") as place:
        pits = [a_pit(Path(place, str(size)), size) for size in (SMALL, LARGE)]
        asks = [page_of(pit) for pit in pits]
        rounds = [[timed(ask) for ask in asks] for _ in range(ROUNDS)]
        small, large = (median(times) for times in zip(*rounds, strict=True))
        print(f"Climb page: {small:.0f} ms on {SMALL} entries, {large:.0f} ms on {LARGE}: {large / small:.2f} times (wanted: at most 1.3)")
        for pit in pits:
            pit.close()
    with tempfile.TemporaryDirectory(dir=ROOT / "build") as place:
        folder = Path(place, "pit")
        a_pit(folder, LONG).close()
        plain = median(timed(lambda: [json.loads(line) for line in (folder / LOGBOOK).open("rb")]) for _ in range(3))
        whole = median(timed(lambda: verify_folder(folder)) for _ in range(3))
        print(f"verify of {LONG} entries: {whole:.0f} ms, {whole / plain:.2f} of json.loads on each line (wanted: at most 3)")
