"""A whole event day played by a seeded script: six phones, twelve matches, over 600 entries, and
everything goes wrong.

Answers are lost, requests never arrive, the laptop is killed, restarted and twice put back from an
older copy, clocks are wrong, phones hand over files instead. In the end every phone and the laptop
hold the same entries and the same state, each once.
"""

import random
from collections import Counter
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from pitcrew.base.entries import from_dict
from pitcrew.domain.logbook.state import State
from pitcrew.exchange.bundle import hand_in, make_bundle, read_bundle
from pitcrew.pit.commands import import_schedule
from pitcrew.pit.verify import verify_folder
from tests.exchange.conftest import CHAIN, START, Hands, Laptop, Phone
from tests.world import make_world

CREW = (
    ("Ada", "captain"),
    ("Ben", "mentor"),
    ("Cleo", "lead"),
    ("Ivo", "crew"),
    ("Mira", "crew"),
    ("Noor", "crew"),
)
MATCHES = 12
ENTRIES_A_TURN = 9


class NoAnswer(Exception):
    """The request or its answer was lost on the way."""


class Day:
    """One day by one seed."""

    def __init__(self, place: Path, seed: int) -> None:
        self.chance = random.Random(seed)
        self.clock = Hands()
        self.laptop = Laptop(make_world(place / "pit"), self.clock)
        self.phones = [
            self.laptop.join(name, role, seed * 100 + number)
            for number, (name, role) in enumerate(CREW)
        ]
        for phone in self.phones:
            phone.fast = self.chance.choice([0.0, 0.0, 3.2, -240.0, 86400.0, -5 * 365 * 86400.0])
        self.made: list[str] = []
        self.faults: list[str] = []
        self.copies: list[Path] = []
        self.happened: Counter[str] = Counter()
        import_schedule(self.laptop.pit, schedule())
        self.everybody()

    def play(self) -> None:
        """Twelve matches; the laptop is put back from an older copy after the fifth and the
        tenth."""
        for match in range(MATCHES):
            self.copies.append(self.laptop.copy(f"copy-{match}"))
            turns = [phone for phone in self.phones for _ in range(ENTRIES_A_TURN)]
            self.chance.shuffle(turns)
            for phone in turns:
                self.clock.later(self.chance.uniform(1, 12))
                self.work(phone, match)
                if self.chance.random() < 0.25:
                    self.meet(self.chance.choice(self.phones))
            if match in (4, 9):
                self.put_back()
        self.everybody()
        self.everybody()

    def work(self, phone: Phone, match: int) -> None:
        """One entry of any of the kinds that a crew makes between matches."""
        kind = self.chance.choices(
            ["reading", "fault", "fault_move", "note", "part_change", "battery_move"],
            [5, 2, 2, 2, 1, 1],
        )[0]
        value = round(self.chance.uniform(2, 30), self.chance.choice([0, 1]))
        body: dict[str, Any] = {
            "reading": {
                "check": "chain-slack",
                "part": CHAIN,
                "inputs": {"travel": {"typed": str(value), "value": value, "unit": "mm"}},
            },
            "fault": {
                "part": CHAIN,
                "symptom": f"slack after match {match}",
                "grade": self.chance.choice(["stop", "degraded", "watch"]),
            },
            "fault_move": {
                "fault": self.chance.choice(self.faults or ["none"]),
                "to": self.chance.choice(["repaired", "no_fault_found", "proven"]),
            },
            "note": {"text": f"{phone.name}, match {match}"},
            "part_change": {"part": CHAIN, "identical": True, "old": "a", "new": "b"},
            "battery_move": {"battery": "1", "to": self.chance.choice(["robot", "rest", "bench"])},
        }[kind]
        name = phone.make(kind, **body)
        self.made.append(name)
        if kind == "fault":
            self.faults.append(name)

    def meet(self, phone: Phone) -> None:
        """A phone meets the laptop, in one of the ways in which that goes well or badly."""
        way = self.chance.choices(
            ["well", "request lost", "answer lost", "killed", "by file", "twice"],
            [6, 1, 2, 1, 1, 1],
        )[0]
        self.happened[way] += 1
        try:
            if way == "by file":
                self.by_file(phone)
            elif way == "twice":
                phone.post(phone.request())
                phone.exchange()
            elif way != "request lost":
                phone.exchange(lambda status, answer: self.answer(way, status, answer))
        except NoAnswer:
            pass

    def answer(self, way: str, status: int, answer: dict[str, Any]) -> tuple[int, dict[str, Any]]:
        if way == "killed":
            self.laptop.restart()
        if way in ("killed", "answer lost") and self.chance.random() < 0.7:
            raise NoAnswer
        return status, answer

    def by_file(self, phone: Phone) -> None:
        device = self.laptop.pit.roster.device_of_token(phone.token).id
        raw = make_bundle(
            device, phone.name, phone.log or "", "2026-03-07T10:00:00Z", list(phone.unsent.values())
        )
        assert hand_in(self.laptop.pit, read_bundle(raw), "lead").refused == []

    def put_back(self) -> None:
        """All phones have met the laptop; then its log is replaced by a copy that is up to three
        matches old."""
        self.everybody()
        self.laptop.restore(self.chance.choice(self.copies[-3:]))
        self.happened["put back"] += 1

    def everybody(self) -> None:
        for phone in self.chance.sample(self.phones, len(self.phones)):
            assert phone.exchange() == 200


def schedule() -> str:
    lines = ["match,date,time,red 1,blue 1"]
    for match in range(MATCHES):
        at = START + timedelta(minutes=30 * (match + 1))
        lines.append(f"{match + 1},{at:%Y-%m-%d},{at + timedelta(hours=1):%H:%M},12,{20 + match}")
    return "\n".join(lines) + "\n"


def said(state: State) -> dict[str, Any]:
    """A state in words that can be compared."""
    return {
        "head": (state.head, state.seal),
        "entries": sorted(state.entries_by_id),
        "conflicts": state.conflicts,
        "readings": {
            key: [(fact.id, fact.verdict, fact.at) for fact in facts]
            for key, facts in state.readings.items()
        },
        "faults": {
            name: (fault.state, fault.grade, len(fault.moves))
            for name, fault in state.faults.items()
        },
        "runs": sorted(state.runs),
        "batteries": {
            name: [fact.id for fact in facts] for name, facts in state.battery_moves.items()
        },
    }


def folded(records: list[dict[str, Any]], day: Day) -> dict[str, Any]:
    state = State(day.laptop.pit.definitions.settings["zone"], day.laptop.pit.roster.role_of)
    state.advance(from_dict(record) for record in records)
    return said(state)


def check(place: Path, seed: int) -> Day:
    day = Day(place, seed)
    day.play()
    laptop = day.laptop
    times = Counter(laptop.ids())
    assert [name for name in day.made if times[name] == 0] == [], "lost"
    assert [name for name, count in times.items() if count > 1] == [], "doubled"
    assert [phone.refused for phone in day.phones] == [{}] * len(CREW)
    assert [phone.replica == laptop.records() for phone in day.phones] == [True] * len(CREW)
    with laptop.pit.reading() as state:
        now = said(state)
    assert [folded(phone.replica, day) == now for phone in day.phones] == [True] * len(CREW)
    laptop.restart()
    with laptop.pit.reading() as state:
        assert said(state) == now, "a restart folds the same state"
    report = verify_folder(laptop.folder)
    assert not report.bad, report.lines
    laptop.stop()
    return day


@pytest.mark.parametrize("seed", [1])
def test_a_day(tmp_path: Path, seed: int) -> None:
    day = check(tmp_path, seed)
    assert len(day.made) >= 600 and day.happened["put back"] == 2
    assert {"answer lost", "killed", "by file"} <= set(day.happened)


@pytest.mark.soak
@pytest.mark.parametrize("seed", [2, *range(100, 140)])
def test_many_days(tmp_path: Path, seed: int) -> None:
    check(tmp_path, seed)
