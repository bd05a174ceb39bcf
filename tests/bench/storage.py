"""One append and a batch of 60 on logs of 1 000, 10 000 and 50 000 entries, against what a disk and
other stores can do.

The baselines run in the same process and in turn with ours, on the same disk: a bare write and
fsync of the same bytes (no store that waits for the disk can be quicker), SQLite (WAL,
synchronous=FULL, the id unique) and TinyDB as it comes. Read the ratios; the milliseconds move with
the machine and with whatever else uses its disk.
"""

import gc
import json
import os
import sqlite3
import tempfile
import threading
from collections.abc import Callable
from itertools import count
from pathlib import Path
from random import Random
from statistics import median
from time import perf_counter
from typing import Any

import msgspec
from tinydb import TinyDB

from pitcrew.base.paths import ROOT
from pitcrew.base.seal import seal_of
from pitcrew.storage import lines
from pitcrew.storage.opening import open_journal

SIZES = (1_000, 10_000, 50_000)
BATCH = 60
ROUNDS = 120
WRITES = 640
STOCK_ROUNDS = {1_000: 6, 10_000: 4, 50_000: 3}
KEY = b"a key of the bench"
encode = msgspec.json.encode
NUMBERS = count(1)
Draft = dict[str, Any]


def some_entries(amount: int) -> list[Draft]:
    """New entries, no two with one id."""
    return [entry(next(NUMBERS)) for _ in range(amount)]


def entry(number: int) -> Draft:
    """A reading as a phone sends it, about 400 bytes of JSON."""
    travel = {"typed": "11,8", "value": 11.8, "unit": "mm"}
    body = {
        "check": "chain-slack",
        "part": "lift.chain.left",
        "inputs": {"travel": travel},
        "result": 0.0118,
        "verdict": "watch",
    }
    return {
        "id": f"01a21052-1863-753e-b943-{number:012x}",
        "kind": "reading",
        "at": "2026-03-07T10:31:05.120Z",
        "device": "d1",
        "person": "Ada",
        "robot": "tern",
        "match": "fjord/12/1",
        "body": body,
        "received_at": "2026-03-07T10:31:06.007Z",
        "offset": 0.2,
    }


def stamp(draft: Draft, seq: int, previous: str) -> Draft:
    """Number and seal as the pit does."""
    record = {**draft, "seq": seq}
    return {**record, "seal": seal_of(KEY, previous, record)}


class Sealing:
    """What every store is given: the same sealed entries, each tied to the one before."""

    seq, seal = 0, ""

    def sealed(self, drafts: list[Draft]) -> list[Draft]:
        records = []
        for draft in drafts:
            self.seq += 1
            records.append(stamp(draft, self.seq, self.seal))
            self.seal = records[-1]["seal"]
        return records


class Ours:
    """The journal, which seals by itself."""

    def __init__(self, place: Path) -> None:
        self.path = place / "logbook.jsonl"
        self.journal = open_journal(self.path, stamp, create=True)

    def append(self, drafts: list[Draft]) -> None:
        self.journal.append(drafts)

    def close(self) -> None:
        self.journal.close()


class Raw(Sealing):
    """JSON lines by one write and one fsync, nothing else."""

    def __init__(self, place: Path) -> None:
        self.handle = os.open(place / "raw.jsonl", os.O_WRONLY | os.O_CREAT)

    def append(self, drafts: list[Draft]) -> None:
        os.write(self.handle, b"".join(encode(record) + b"\n" for record in self.sealed(drafts)))
        os.fsync(self.handle)

    def close(self) -> None:
        os.close(self.handle)


class SQLite(Sealing):
    """One row an entry, durable at commit."""

    def __init__(self, place: Path) -> None:
        self.base = sqlite3.connect(place / "entries.db", isolation_level=None)
        self.base.execute("pragma journal_mode=wal")
        self.base.execute("pragma synchronous=full")
        self.base.execute(
            "create table entries (seq integer primary key, id text unique, body text)"
        )

    def append(self, drafts: list[Draft]) -> None:
        rows = [(record["id"], encode(record)) for record in self.sealed(drafts)]
        self.base.execute("begin")
        self.base.executemany("insert into entries (id, body) values (?, ?)", rows)
        self.base.execute("commit")

    def close(self) -> None:
        self.base.close()


class Stock(Sealing):
    """TinyDB with its own storage, which writes the whole file and fsyncs it at each insert."""

    def __init__(self, place: Path) -> None:
        self.base = TinyDB(place / "stock.json")

    def append(self, drafts: list[Draft]) -> None:
        self.base.insert_multiple(self.sealed(drafts))

    def close(self) -> None:
        self.base.close()


Store = Ours | Raw | SQLite | Stock


def timed(work: Callable[[], object]) -> float:
    """How long that takes, ms."""
    start = perf_counter()
    work()
    return (perf_counter() - start) * 1000


def measure(stores: list[Store], amount: int, rounds: int, stock_rounds: int) -> dict[type, float]:
    """Median time of appending `amount` entries, ms; the stores take turns, in an order that is
    drawn again each time."""
    times: dict[type, list[float]] = {type(store): [] for store in stores}
    chance = Random(1)
    for turn in range(rounds):
        for store in chance.sample(stores, len(stores)):
            if isinstance(store, Stock) and turn % (rounds // stock_rounds):
                continue
            fresh = some_entries(amount)
            times[type(store)].append(timed(lambda store=store, fresh=fresh: store.append(fresh)))
    return {kind: median(taken) for kind, taken in times.items()}


def compare_appends() -> None:
    """Print a row per size and amount, and how flat the cost is from the smallest log to the
    largest."""
    print(
        f"{'entries':>8} {'append of':<12} {'ours':>6} {'raw':>6} {'SQLite':>7} {'stock':>7} "
        " ours/raw  ours/SQLite  stock/ours"
    )
    over_raw: dict[int, list[float]] = {1: [], BATCH: []}
    for held in SIZES:
        with tempfile.TemporaryDirectory(dir=ROOT / "build") as place:
            stores: list[Store] = [kind(Path(place)) for kind in (Ours, Raw, SQLite, Stock)]
            for store in stores:
                store.append(some_entries(held))
            for amount, ratios in over_raw.items():
                ours, raw, sqlite, stock = measure(
                    stores, amount, ROUNDS, STOCK_ROUNDS[held]
                ).values()
                ratios.append(ours / raw)
                print(
                    f"{held:8} {f'{amount} at once':<12} {ours:6.2f} {raw:6.2f} {sqlite:7.2f}"
                    f" {stock:7.1f}  {ours / raw:8.2f}  {ours / sqlite:11.2f}  {stock / ours:10.0f}"
                )
            for store in stores:
                store.close()
    for amount, ratios in over_raw.items():
        print(
            f"flat: ours/raw of {amount} at once at {SIZES[-1]} over that at {SIZES[0]}:"
            f" {ratios[-1] / ratios[0]:.2f}"
        )
    print("wanted: ours/raw at most 1.4, ours/SQLite at most 1, flat near 1; ms are medians")


def compare_loading() -> None:
    """Print how long opening the largest log takes, beside reading its JSON lines and nothing
    else."""
    with tempfile.TemporaryDirectory(dir=ROOT / "build") as place:
        store = Ours(Path(place))
        store.append(some_entries(SIZES[-1]))
        store.close()
        gc.collect()
        plain = timed(lambda: [json.loads(line) for line in store.path.open("rb")])
        ours = timed(lambda: open_journal(store.path, stamp).close())
        print(
            f"opening {SIZES[-1]} entries: {ours:.0f} ms, {ours / plain:.2f} of json.loads on each"
            " line"
        )


def compare_writers() -> None:
    """Print entries a second of many writers at once, over as many raw writes and fsyncs under a
    lock."""
    for writers in (1, 16, 32):
        with tempfile.TemporaryDirectory(dir=ROOT / "build") as place:
            ours, raw = Ours(Path(place)), Locked(Path(place))
            mine = median(timed(in_threads(ours, writers)) for _ in range(3))
            theirs = median(timed(in_threads(raw, writers)) for _ in range(3))
            fsyncs = count_fsyncs(in_threads(ours, writers)) / WRITES
            rate = WRITES / mine * 1000
            print(
                f"{writers:3} writers: {rate:6.0f} entries/s, {theirs / mine:5.2f} times raw;"
                f" {fsyncs:.2f} fsyncs an entry"
            )
            ours.close()
            raw.close()


class Locked(Raw):
    """Raw, one writer at a time."""

    def __init__(self, place: Path) -> None:
        super().__init__(place)
        self.turn = threading.Lock()

    def append(self, drafts: list[Draft]) -> None:
        with self.turn:
            super().append(drafts)


def in_threads(store: Store, writers: int) -> Callable[[], None]:
    """The work of appending one entry at a time, so many in all, from so many threads at once."""
    shares = [[some_entries(1) for _ in range(WRITES // writers)] for _ in range(writers)]
    threads = [
        threading.Thread(target=lambda share=share: [store.append(part) for part in share])
        for share in shares
    ]

    def work() -> None:
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    return work


def count_fsyncs(work: Callable[[], object]) -> int:
    """How many fsyncs of the log file that work needs."""
    real, calls = lines.sync, []

    def counted(handle: int) -> None:
        calls.append(handle)
        real(handle)

    lines.sync = counted
    try:
        work()
    finally:
        lines.sync = real
    return len(calls)


def main() -> None:
    """Print the tables."""
    (ROOT / "build").mkdir(exist_ok=True)
    print("storage: the logbook against the disk itself, SQLite and stock TinyDB, in one run")
    compare_appends()
    compare_loading()
    compare_writers()
