"""What an exchange costs through the whole server code (no network): 60 entries on logs of 1 000,
10 000 and 100 000, and a first pull.

The baseline of each size is the same 60 entries appended to the journal alone, in the same process
and in turn, with fsync in both. The ratio between sizes says whether an exchange grows with the
log; it must stay near 1.
"""

import tempfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from pitcrew.base.clock import format_instant, system_clock
from pitcrew.base.entries import new_id
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.web.app import create_app
from tests.world import make_world

SIZES = (1_000, 10_000, 100_000)
BATCH = 60
ROUNDS = 25
PULL = 10_000


def entries(count: int) -> list[dict[str, Any]]:
    """Readings as a phone makes them."""
    now = system_clock()
    inputs = {"travel": {"typed": "11.8", "value": 11.8, "unit": "mm"}}
    body = {
        "check": "chain-slack",
        "part": "lift.chain.left",
        "inputs": inputs,
        "result": 0.0118,
        "verdict": "ok",
    }
    notes = {"text": "looked at it, nothing to see"}
    kinds = [("reading", body), ("note", notes), ("note", notes)]
    made = [(new_id(now), *kinds[number % 3]) for number in range(count)]
    return [
        {"id": name, "kind": kind, "at": format_instant(now), "body": what, "shape": 1}
        for name, kind, what in made
    ]


def fill(pit: Pit, size: int) -> None:
    """Notes until the log has that many entries."""
    author = Author("bench", "Bench", "lead")
    while (head := pit.journal.head()[0]) < size:
        pit.take(
            [
                {**entry, "kind": "note", "body": {"text": "x"}}
                for entry in entries(min(5000, size - head))
            ],
            author,
            0.0,
        )


def timed(what: Callable[[], Any]) -> float:
    """Seconds that a call takes."""
    start = perf_counter()
    what()
    return perf_counter() - start


class Side:
    """A pit of one size, and a phone that exchanges with it."""

    def __init__(self, place: Path, size: int) -> None:
        folder = make_world(place / f"pit-{size}")
        filling = open_pit(folder, fsync=False)
        fill(filling, size)
        filling.close()
        self.size, self.pit = size, open_pit(folder)
        self.client = create_app(self.pit).test_client()
        code = self.pit.roster.make_code("crew", timedelta(hours=1))
        joined = self.client.post("/api/join", json={"code": code, "name": "Ivo", "device": "x"})
        self.headers = {"Authorization": f"Bearer {joined.get_json()['token']}"}
        self.exchanges: list[float] = []
        self.appends: list[float] = []

    def exchange(self, after: int, offered: list[dict[str, Any]]) -> dict[str, Any]:
        """One exchange; the answer."""
        body = {
            "log": self.pit.journal.log,
            "after": after,
            "sent_at": format_instant(system_clock()),
            "entries": offered,
        }
        return self.client.post("/api/entries", json=body, headers=self.headers).get_json()

    def round(self) -> None:
        """Time an exchange, and an append of as many entries."""
        offered, drafts, head = entries(BATCH), entries(BATCH), self.pit.journal.head()[0]
        self.exchanges.append(timed(lambda: self.exchange(head, offered)))
        self.appends.append(timed(lambda: self.pit.journal.append(drafts)))

    def pull(self) -> None:
        """The first pull of a phone that knows nothing."""
        after = 0
        while after < PULL:
            after = self.exchange(after, [])["entries"][-1]["seq"]


def main() -> None:
    """Print the table; the sizes take turns, so that a busy machine is busy for all of them."""
    print(
        f"\nexchange of {BATCH} entries through the server code, against {BATCH} entries appended"
        f" to the journal (median of {ROUNDS})"
    )
    with tempfile.TemporaryDirectory() as place:
        sides = [Side(Path(place), size) for size in SIZES]
        for _ in range(ROUNDS):
            for side in sides:
                side.round()
        for side in sides:
            print(line(side, median(sides[0].exchanges)))
            side.pit.close()


def line(side: Side, smallest: float) -> str:
    """What is printed of one size."""
    exchange, append = median(side.exchanges), median(side.appends)
    ratios = f"{exchange / append:5.2f} appends   {exchange / smallest:5.2f} of the smallest"
    first = timed(side.pull) if side.size >= PULL else 0.0
    pull = (
        f"   first pull of {PULL:,} entries {first * 1e3:6.0f} ms, {first / exchange:5.1f}"
        " exchanges"
        if first
        else ""
    )
    return f"  log of {side.size:>7,}: {exchange * 1e3:6.1f} ms   {ratios}{pull}"


if __name__ == "__main__":
    main()
