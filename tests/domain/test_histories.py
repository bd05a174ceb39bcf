"""Random histories of a climb with losses, corrections, relays and resets: whatever happens to the
log, "cleared" is never said unless every reason for it is in the log now. The reasons are
sought in the raw entries, not by the program's own rules for them."""

import random
from collections.abc import Callable

import msgspec
import pytest

from pitcrew.base.entries import Entry
from tests.domain.climber import TEST, hold
from tests.domain.folded import Log
from tests.domain.test_clearance import DEFINITIONS, asked, sign

PATH = ("climb.bar", "climb.pawl")


class History:
    """A log in the making, minute by minute from 10:00 on."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.log = Log(DEFINITIONS)
        self.log.run("4", "13:00")
        self.minute = 0

    @property
    def at(self) -> str:
        self.minute += 1
        return f"{10 + self.minute // 60}:{self.minute % 60:02}"

    def step(self) -> None:
        """One thing that happens; what speaks for the climb more often than what speaks against."""
        good: list[Callable[[], None]] = [self.look, self.test, self.sign]
        bad = [self.work, self.correct, self.lose, self.relayed, self.reset, self.told, self.fault]
        self.random.choices(good + bad, [4, 4, 5, *[1] * 6, 0.3])[0]()

    def look(self) -> None:
        self.log.look("bar", "climb.bar", at=self.at)
        self.log.look("pawl", "climb.pawl", at=self.at)

    def test(self) -> None:
        hold(self.log, self.at, witness=self.random.choice(["Bo", "Bo", "Bo", ""]))

    def sign(self) -> None:
        sign(self.log, self.at)

    def work(self) -> None:
        part = self.random.choice(PATH)
        self.log.add("part_change", {"part": part, "identical": True}, self.at)

    def fault(self) -> None:
        self.log.fault(self.random.choice(PATH), "stop", self.at)

    def correct(self) -> None:
        readings = [entry for entry in self.log.entries if entry.kind == "reading"]
        if readings:
            of = self.random.choice(readings)
            self.log.correct(of, self.random.choice([None, of.body]))

    def lose(self) -> None:
        """Entries are cut off the end, as by an older copy; the laptop notes what it found."""
        kept = max(len(self.log.entries) - self.random.randint(1, 4), 1)
        del self.log.entries[kept:]
        what = self.random.choice(["cut", "shorter", "unsure"])
        self.log.add("loss", {"what": what}, self.at, person="laptop", device="laptop")

    def relayed(self) -> None:
        """A good reading and a signature of another log come by a phone; nothing proves them."""
        origin = {"log": "other", "seq": 7, "seal": "x", "proven": self.random.random() < 0.5}
        for entry in (self.log.look("bar", "climb.bar", at=self.at), sign(self.log, self.at)):
            place = self.log.entries.index(entry)
            self.log.entries[place] = msgspec.structs.replace(entry, origin=origin)

    def reset(self) -> None:
        self.log.add("access", {"what": "pin_reset", "person": "Cap", "by": "Ada"}, self.at)

    def told(self) -> None:
        self.log.add("debrief", {"answers": {"hard_hit": True}}, self.at)


def in_force(log: Log) -> list[Entry]:
    """The entries that no correction has taken out."""
    last = {entry.body["of"]: entry for entry in log.entries if entry.kind == "correction"}
    out = {of for of, entry in last.items() if entry.body["body"] is None}
    return [entry for entry in log.entries if entry.id not in out]


def on_path(entry: Entry) -> bool:
    return entry.body.get("part") in PATH


def ends(entry: Entry, log: Log) -> bool:
    """Whether an entry after a signature is a reason against it."""
    if entry.kind == "correction":
        of = next((item for item in log.entries if item.id == entry.body["of"]), None)
        return of is None or on_path(of)
    reset = entry.kind == "access" and entry.body["what"] == "pin_reset"
    return (
        entry.kind in ("loss", "debrief")
        or reset
        or (entry.kind in ("part_change", "fault") and on_path(entry))
    )


def reasons_lacking(log: Log) -> list[str]:
    """What a cleared climb has no reason for, by the raw entries."""
    own = [entry for entry in log.entries if entry.kind == "clearance" and entry.origin is None]
    if not own:
        return ["no signature of this log"]
    signed, found = own[-1], in_force(log)
    lacks = [
        f"{entry.kind} after it"
        for entry in log.entries
        if entry.seq > signed.seq and ends(entry, log)
    ]
    before = [entry for entry in found if entry.seq < signed.seq]
    worked = {
        part: max(
            (e.at for e in log.entries if e.kind == "part_change" and e.body["part"] == part),
            default="",
        )
        for part in PATH
    }
    for check, part in (("bar", "climb.bar"), ("pawl", "climb.pawl")):
        seen = [e.at for e in before if e.kind == "reading" and e.body["check"] == check]
        if not seen or max(seen) <= worked[part]:
            lacks.append(f"no look at {part}")
    hits = [e.at for e in log.entries if e.kind == "debrief"]
    corrected = {e.body["of"]: e.seq for e in log.entries if e.kind == "correction"}
    confirmed = {
        e.body["of"]
        for e in found
        if e.kind == "approval" and e.seq > corrected.get(e.body["of"], 0)
    }
    tests = [
        e
        for e in log.entries
        if e.kind == "reading"
        and f"{e.body['check']}@{e.body['part']}" == TEST
        and e.id in confirmed
        and e.at > max([*worked.values(), *hits])
    ]
    if not tests:
        lacks.append("no confirmed hold test")
    if any(entry.kind == "fault" and entry.body["grade"] == "stop" for entry in found):
        lacks.append("an open stop")
    return lacks


def cleared_among(seeds: range) -> int:
    """How many of these histories are cleared at some time; each of those has its reasons."""
    cleared = 0
    for seed in seeds:
        history = History(seed)
        said = []
        for _ in range(history.random.randint(5, 30)):
            history.step()
            if asked(history.log).state == "cleared":
                assert reasons_lacking(history.log) == [], (
                    f"seed {seed}, {len(history.log.entries)} entries"
                )
                said.append(True)
        cleared += bool(said)
    return cleared


def test_cleared_has_every_reason_in_the_log():
    assert cleared_among(range(30)) > 5


@pytest.mark.soak
def test_cleared_has_every_reason_in_the_log_over_many_histories():
    assert cleared_among(range(30, 1500)) > 300
