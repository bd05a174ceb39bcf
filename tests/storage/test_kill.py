"""kill -9 of a writer at random moments: every acknowledged entry is there afterwards."""

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from pitcrew.base.paths import ROOT
from pitcrew.storage.opening import read_records
from tests.storage.engines import draft, opened

WRITER = """
import sys, threading
from pathlib import Path
from tests.storage.engines import draft, opened
journal = opened("file", Path(sys.argv[1]), fsync=True)
start = journal.head()[0]
print("ready", flush=True)
def write(who):
    number = 0
    while True:
        number += 1
        name = f"{start}-{who}-{number}"
        journal.append([draft(name), draft(name + "b")] if number % 3 else [draft(name)])
        sys.stdout.write(f"id-{name}\\n" + (f"id-{name}b\\n" if number % 3 else "")); sys.stdout.flush()
for who in range(4):
    threading.Thread(target=write, args=(who,)).start()
"""


def acknowledged_then_killed(place: Path, after: float) -> list[str]:
    """Start a writer, kill it `after` seconds from its first word; the ids that it acknowledged."""
    process = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(place)], stdout=subprocess.PIPE, text=True, cwd=ROOT
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    time.sleep(after)
    process.send_signal(signal.SIGKILL)
    lines = process.communicate()[0].split("\n")
    return [line for line in lines[:-1] if line.startswith("id-")]


def run(place: Path, kills: int, seed: int) -> int:
    """Kill a writer again and again on one log; how many entries were acknowledged in all."""
    chance = random.Random(seed)
    acknowledged: list[str] = []
    for _ in range(kills):
        acknowledged += acknowledged_then_killed(place, chance.uniform(0, 0.15))
        held = {record["id"] for record in read_records(place / "logbook.jsonl").records}
        assert set(acknowledged) <= held
    journal = opened("file", place)
    assert [record["seq"] for record in journal.after(0)] == list(range(1, journal.head()[0] + 1))
    assert journal.append([draft("after all")])[0].state == "stored"
    journal.close()
    return len(acknowledged)


def test_a_few_kills_lose_nothing(tmp_path: Path) -> None:
    assert run(tmp_path, kills=6, seed=1) > 0


@pytest.mark.soak
def test_three_hundred_kills_lose_nothing(tmp_path: Path) -> None:
    acknowledged = run(tmp_path, kills=300, seed=2)
    print(f"\n300 kills, {acknowledged} acknowledged entries, none lost")
    assert acknowledged > 300
