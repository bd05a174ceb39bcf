"""Patterns over 50 000 entries of five seasons: the first view of a new head, a change of filter,
and the same view again.

Time of the server's processor for whole pages through the application (so that other work on the
machine does not count), beside what pandas needs to count the same faults by part once it has them
in a table.
"""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter, thread_time

from flask.testing import FlaskClient

from pitcrew.base.clock import format_instant
from pitcrew.base.entries import Entry, new_id
from pitcrew.domain.checks.limits import PartCheck, limit_as_dict
from pitcrew.pit.folder import bundled_lists, bundled_sheets, make_folder
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.web.app import create_app
from tests.web.conftest import join

ENTRIES, SEASONS, EVENTS, MATCHES = 50_000, 5, 4, 16
FAULTS_A_MATCH, ROUNDS = 3, 7
WORDS = ("loose", "bent", "stuck again", "wobbly", "hot", "cracked", "squeals", "slack")


def main() -> None:
    """Print medians and ratios."""
    with TemporaryDirectory() as place:
        folder = Path(place) / "pit"
        make_folder(
            folder,
            'team = "4711"\nevent = "event-4-3"\nzone = "UTC"\n',
            bundled_sheets(),
            bundled_lists(),
        )
        end = datetime(2026, 6, 1, tzinfo=UTC)
        pit = open_pit(folder, lambda: end, fsync=False)
        begin = perf_counter()
        fill(pit, end)
        print(f"{pit.journal.head()[0]} entries, made in {perf_counter() - begin:.1f} s")
        app = create_app(pit)
        client = join(app, pit, "lead", "Ada").flask
        measure(pit, client)
        pit.close()


def measure(pit: Pit, client: FlaskClient) -> None:
    """The views in turn with pandas."""
    print(
        f"first view after the start (judges, imports): {timed(client, '/patterns') * 1000:.0f} ms"
    )
    now = timed(client, "/mistakes")
    first, other = views(pit, client, "/patterns")
    again = [timed(client, "/patterns") for _ in range(ROUNDS)]
    pandas = group_by(pit)
    for name, times, target in (
        ("first view of a head", first, 150),
        ("change of filter", other, 50),
        ("the same again", again, None),
    ):
        wanted = f" (target {target})" if target else ""
        beside = (
            f", {median(times) / pandas:.1f} times pandas' group-by ({pandas * 1000:.1f} ms)"
            if pandas
            else ""
        )
        print(
            f"{name}: {median(times) * 1000:.0f} ms{wanted}{beside}; a page without patterns takes"
            f" {now * 1000:.0f} ms"
        )
    for path in ("again", "limits", "stocks", "checks", "compared"):
        first, other = views(pit, client, f"/patterns/{path}")
        print(
            f"/patterns/{path}: first view of a head {median(first) * 1000:.0f} ms, change of"
            f" filter {median(other) * 1000:.0f} ms"
        )


def views(pit: Pit, client: FlaskClient, path: str) -> tuple[list[float], list[float]]:
    """Seconds for a page each time the logbook has moved on, and for another choice of event and
    subsystem after it."""
    parts = [item.part.id.partition(".")[0] for item in pit.definitions.part_checks.values()]
    first, other = [], []
    for place in range(ROUNDS):
        pit.append([entry("note", {"text": "one more"}, datetime(2026, 5, 31, tzinfo=UTC))])
        first.append(timed(client, path))
        other.append(
            timed(
                client,
                f"{path}?event=event-{place % SEASONS}-{place % EVENTS}&part={parts[place * 7 % len(parts)]}",
            )
        )
    return first, other


def timed(client: FlaskClient, path: str) -> float:
    """Seconds of the processor for one page."""
    begin = thread_time()
    answer = client.get(path)
    assert answer.status_code == 200, path
    return thread_time() - begin


def group_by(pit: Pit) -> float | None:
    """Seconds that pandas takes to count matches with a fault by part; None where it is not
    installed."""
    try:
        import pandas
    except ImportError:
        return None
    with pit.reading() as state:
        rows = [(fault.part, fault.match, fault.grade) for fault in state.faults.values()]
    table = pandas.DataFrame(rows, columns=["part", "match", "grade"])

    def count() -> None:
        table.groupby("part").agg(matches=("match", "nunique"), faults=("grade", "size"))

    return repeated(count)


def repeated(action: Callable[[], None]) -> float:
    """The median time of an action."""
    times = []
    for _ in range(ROUNDS):
        begin = thread_time()
        action()
        times.append(thread_time() - begin)
    return median(times)


def entry(kind: str, body: dict, at: datetime, match: str | None = None) -> Entry:
    """One entry, as the phone of the crew made it."""
    return Entry(
        id=new_id(at),
        kind=kind,
        at=format_instant(at),
        device="d1",
        person="Ivo",
        robot="tern",
        match=match,
        body=body,
        received_at=format_instant(at),
    )


def fill(pit: Pit, end: datetime) -> None:
    """Five seasons of four events of sixteen matches: faults with their fixes, and the rest
    readings."""
    random = Random(5)
    items = [item for item in pit.definitions.part_checks.values() if item.limit]
    runs = SEASONS * EVENTS * MATCHES
    readings = (ENTRIES - runs * (2 + 2 * FAULTS_A_MATCH)) // runs
    for season in range(SEASONS):
        for event in range(EVENTS):
            start = end - timedelta(days=365 * (SEASONS - season) - 21 * event - 30)
            for match in range(1, MATCHES + 1):
                pit.append(
                    turnaround(
                        random,
                        items,
                        start + timedelta(minutes=40 * match),
                        f"event-{season}-{event}/{match}/1",
                        readings,
                    )
                )


def turnaround(
    random: Random, items: list[PartCheck], at: datetime, run: str, readings: int
) -> list[Entry]:
    """What one match and the work after it leave in the logbook."""
    made = [
        entry(
            "match_run",
            {"planned": format_instant(at), "actual": format_instant(at), "ours": "red 1"},
            at,
            run,
        ),
        entry("debrief", {"answers": {"climb": "held"}}, at + timedelta(minutes=4), run),
    ]
    for place in range(FAULTS_A_MATCH):
        when = at + timedelta(minutes=5, seconds=place)
        part = items[min(int(random.expovariate(0.12)), len(items) - 1)].part.id
        fault = entry(
            "fault",
            {
                "part": part,
                "symptom": random.choice(WORDS),
                "grade": random.choice(("stop", "degraded")),
            },
            when,
            run,
        )
        fix = {
            "fault": fault.id,
            "to": "repaired",
            "why": random.choice(("tightened", "new one fitted", "thread-locker")),
        }
        made += [fault, entry("fault_move", fix, when + timedelta(minutes=3), run)]
    return made + [
        reading(random, random.choice(items), at + timedelta(minutes=9, seconds=number), run)
        for number in range(readings)
    ]


def reading(random: Random, item: PartCheck, at: datetime, run: str) -> Entry:
    """A reading of a check with its limit, judged ok by phone and laptop alike."""
    inputs = {}
    for field in item.check.inputs:
        if field.kind == "number":
            low, high = field.least or 0.0, field.most or 10.0
            inputs[field.name] = {
                "typed": "",
                "value": round(low + (high - low) * random.uniform(0.2, 0.3), 2),
                "unit": field.unit,
            }
        elif field.options:
            word = next(answer for answer, verdict in field.options.items() if verdict == "ok")
            inputs[field.name] = {"typed": word, "value": word}
    limit = limit_as_dict(item.limit) if item.limit else None
    body = {
        "check": item.check.id,
        "part": item.part.id,
        "inputs": inputs,
        "result": None,
        "limit": limit,
        "verdict": "ok",
    }
    return entry("reading", body, at, run)
