"""kill -9 of a real server at random moments while three phones hand over: nothing acknowledged is
lost, nothing is doubled."""

import random
import threading
from collections import Counter
from http.client import HTTPException
from pathlib import Path
from typing import Any

import pytest

from pitcrew.pit.verify import verify_folder
from pitcrew.storage.opening import read_records
from tests.server import Server, free_port, note
from tests.world import make_world


class Pusher(threading.Thread):
    """A phone that hands over batches until the server is gone; what was not acknowledged is
    offered again to the next."""

    def __init__(self, server: Server, token: str, unsent: list[dict[str, Any]]) -> None:
        super().__init__(daemon=True)
        self.server, self.token, self.unsent = server, token, unsent
        self.acknowledged: dict[str, int] = {}

    def run(self) -> None:
        while True:
            while len(self.unsent) < 5:
                self.unsent.append(note("x"))
            try:
                answer = self.server.exchange(self.token, self.unsent[:5])
            except (OSError, HTTPException, ValueError):
                return
            self.acknowledged |= {item["id"]: item["seq"] for item in answer["accepted"]}
            self.unsent[:] = [
                entry for entry in self.unsent if entry["id"] not in self.acknowledged
            ]


def kill_again_and_again(folder: Path, kills: int, seed: int) -> int:
    """How many entries were acknowledged in all, over so many kills."""
    chance, port = random.Random(seed), free_port()
    acknowledged: dict[str, int] = {}
    tokens: list[str] = []
    queues: list[list[dict[str, Any]]] = [[], [], []]
    for _ in range(kills):
        with Server(folder, port=port) as server:
            tokens = tokens or [server.join(name) for name in ("Ivo", "Mira", "Noor")]
            pushers = [
                Pusher(server, token, queue) for token, queue in zip(tokens, queues, strict=True)
            ]
            for pusher in pushers:
                pusher.start()
            pushers[0].join(chance.uniform(0.0, 0.4))
            server.kill()
            for pusher in pushers:
                pusher.join()
                acknowledged |= pusher.acknowledged
        held = {
            record["id"]: record["seq"] for record in read_records(folder / "logbook.jsonl").records
        }
        assert acknowledged.items() <= held.items(), (
            "an acknowledged entry is gone, or has another number"
        )
    times = Counter(record["id"] for record in read_records(folder / "logbook.jsonl").records)
    assert max(times.values()) == 1
    assert not verify_folder(folder).bad
    return len(acknowledged)


def test_a_few_kills(tmp_path: Path) -> None:
    assert kill_again_and_again(make_world(tmp_path / "pit"), 4, seed=1) > 0


@pytest.mark.soak
def test_three_hundred_kills(tmp_path: Path) -> None:
    acknowledged = kill_again_and_again(make_world(tmp_path / "pit"), 300, seed=2)
    print(f"300 kills, {acknowledged} entries acknowledged, none lost")
