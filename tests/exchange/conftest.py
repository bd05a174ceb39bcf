"""A laptop that can be lost, restored and replaced, and phones that keep everything: in one
process, through the web's own door."""

import json
import random
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from pitcrew.base.clock import format_instant
from pitcrew.base.entries import new_id
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.pit.relay import relayed
from pitcrew.web.app import create_app
from tests.quick import no_waiting_for_the_drive
from tests.world import make_world


@pytest.fixture(scope="package", autouse=True)
def quick() -> Iterator[None]:
    with no_waiting_for_the_drive():
        yield


START = datetime(2026, 3, 7, 9, 0, tzinfo=UTC)
CHAIN = "lift.chain.left"


class Hands:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        return self.now

    def later(self, seconds: float) -> None:
        self.now += timedelta(seconds=seconds)


class Laptop:
    """A pit folder and the server over it; it may be stopped, lost, put back from a copy, and
    started again."""

    def __init__(self, folder: Path, clock: Hands) -> None:
        self.folder, self.clock = folder, clock
        self.pit: Pit
        self.start()

    def start(self) -> None:
        self.pit = open_pit(self.folder, self.clock, fsync=False)
        self.app = create_app(self.pit)

    def stop(self) -> None:
        self.pit.close()

    def restart(self) -> None:
        self.stop()
        self.start()

    def copy(self, name: str = "copy") -> Path:
        """A backup of the folder as it is now."""
        return Path(shutil.copytree(self.folder, self.folder.with_name(name)))

    def restore(self, copy: Path) -> None:
        """The laptop's log is replaced by that of a backup."""
        self.stop()
        shutil.copyfile(copy / "logbook.jsonl", self.folder / "logbook.jsonl")
        self.start()

    def records(self) -> list[dict[str, Any]]:
        return self.pit.journal.after(0)

    def ids(self) -> list[str]:
        return [record["id"] for record in self.records()]

    def client(self) -> FlaskClient:
        return self.app.test_client()

    def join(self, name: str, role: str = "crew", seed: int = 0) -> "Phone":
        code = self.pit.roster.make_code(role, timedelta(minutes=15))
        answer = self.client().post(
            "/api/join", json={"code": code, "name": name, "device": "phone"}
        )
        return Phone(self, answer.get_json()["token"], name, seed)


class Phone:
    """A phone that works alone: an outbox that drops nothing, a copy of the log, and the exchange
    as the app does it."""

    def __init__(self, laptop: Laptop, token: str, name: str, seed: int = 0) -> None:
        self.laptop, self.token, self.name = laptop, token, name
        self.random = random.Random(seed)
        self.fast = 0.0
        """Seconds by which its clock is ahead."""
        self.unsent: dict[str, dict[str, Any]] = {}
        self.accepted: dict[str, dict[str, Any]] = {}
        self.refused: dict[str, str] = {}
        self.log: str | None = None
        self.replica: list[dict[str, Any]] = []

    @property
    def now(self) -> datetime:
        return self.laptop.clock() + timedelta(seconds=self.fast)

    def make(self, kind: str, **body: Any) -> str:
        """Save an entry on the phone; its id."""
        entry = {
            "id": new_id(self.now, self.random.getrandbits),
            "kind": kind,
            "at": format_instant(self.now),
            "body": body,
            "shape": 1,
        }
        self.unsent[entry["id"]] = entry
        return entry["id"]

    def note(self, text: str = "looked at") -> str:
        return self.make("note", text=text)

    def request(self, **more: Any) -> dict[str, Any]:
        tail = self.replica[-1] if self.replica else {}
        return {
            "log": self.log,
            "after": tail.get("seq", 0),
            "seal": tail.get("seal"),
            "sent_at": format_instant(self.now),
            "entries": list(self.unsent.values())[:200],
            **more,
        }

    def post(self, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
        answer = self.laptop.client().post(
            "/api/entries", json=body, headers={"Authorization": f"Bearer {self.token}"}
        )
        return answer.status_code, answer.get_json()

    def exchange(
        self,
        through: Callable[[int, dict[str, Any]], tuple[int, dict[str, Any]]] = lambda *answer: (
            answer
        ),
    ) -> int:
        """Exchange until both sides have everything; the last status. `through` is the way that an
        answer takes, and may raise."""
        while True:
            status, answer = through(*self.post(self.request()))
            if status == 409:
                status, answer = through(*self.post(self.request(entries=[], **self.proof())))
            if status != 200:
                return status
            self.take(answer)
            if not self.unsent and not answer["more"]:
                return status

    def proof(self) -> dict[str, Any]:
        """The last entry that this phone has read, and the seal before it."""
        return {
            "proof": self.replica[-1],
            "previous": self.replica[-2]["seal"] if len(self.replica) > 1 else "",
        }

    def take(self, answer: dict[str, Any]) -> None:
        for item in answer["accepted"]:
            if item["id"] in self.unsent:
                self.accepted[item["id"]] = self.unsent.pop(item["id"])
        for item in answer["refused"]:
            self.unsent.pop(item["id"], None)
            self.refused[item["id"]] = item["error"]
        old, kept = self.log, self.replica
        records = json.loads(json.dumps(answer["entries"]))
        if answer["log"] == self.log:
            self.replica = self.replica + records
            return
        self.log, self.replica = answer["log"], records
        if old is not None:
            self.unsent.update(self.accepted)
            self.accepted.clear()
            self.relay(kept, old)

    def relay(self, records: list[dict[str, Any]], log: str) -> None:
        """Offer all that this phone has read, with where it stood before: each seal proves the
        entry after it."""
        items = [relayed(record, log) for record in records]
        for start in range(0, len(items), 100):
            status, answer = self.post(
                {"log": None, "after": 0, "entries": items[start : start + 100]}
            )
            assert status == 200, answer
            self.refused.update({item["id"]: item["error"] for item in answer["refused"]})


@pytest.fixture
def clock() -> Hands:
    return Hands()


@pytest.fixture
def laptop(tmp_path: Path, clock: Hands) -> Iterator[Laptop]:
    made = Laptop(make_world(tmp_path / "pit"), clock)
    yield made
    made.stop()
