"""Group commit: writers that wait share one write and one fsync, and each is told the truth."""

import errno
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from pitcrew.base.errors import DiskFull, PitcrewError
from pitcrew.storage import lines
from pitcrew.storage.group import GroupCommit, Ticket
from pitcrew.storage.opening import open_journal, read_records
from tests.storage.engines import draft, opened, stamp, three_entries


def together(*work: Callable[[], object]) -> None:
    threads = [threading.Thread(target=part) for part in work]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


class SlowDisk:
    """Stands in for `lines.sync`: the first fsync lasts until `go_on`; `fail` makes the fsyncs
    after it fail."""

    def __init__(self, fail: bool = False) -> None:
        self.at_work, self.go_on, self.fail, self.calls = (
            threading.Event(),
            threading.Event(),
            fail,
            0,
        )

    def __call__(self, handle: int) -> None:
        self.calls += 1
        self.at_work.set()
        assert self.go_on.wait(10)
        if self.fail:
            raise OSError(errno.ENOSPC, "No space left on device")


def queue_behind(
    disk: SlowDisk, journal: object, first: Callable[[], object], *rest: Callable[[], object]
) -> None:
    """Run `first`, and while it is in its fsync let all of `rest` queue; then let the disk go
    on."""
    leader = threading.Thread(target=first)
    leader.start()
    assert disk.at_work.wait(10)
    threads = [threading.Thread(target=part) for part in rest]
    for thread in threads:
        thread.start()
    waiting = journal._group._waiting  # type: ignore[attr-defined]
    while len(waiting) < len(rest):
        threading.Event().wait(0.001)
    disk.go_on.set()
    for thread in [leader, *threads]:
        thread.join()


def test_those_who_wait_share_one_fsync(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal = opened("file", tmp_path, fsync=True)
    disk = SlowDisk()
    monkeypatch.setattr(lines, "sync", disk)
    heard: list[list[int]] = []
    journal.subscribe(lambda records: heard.append([record["seq"] for record in records]))
    write = [
        lambda number=number: journal.append([draft(number), draft(f"{number} too")])
        for number in range(16)
    ]
    queue_behind(disk, journal, *write)
    assert disk.calls == 2
    assert heard == [[1, 2], list(range(3, 33))]
    journal.close()
    assert [record["seq"] for record in read_records(tmp_path / "logbook.jsonl").records] == list(
        range(1, 33)
    )


def test_sixteen_writers_need_far_fewer_fsyncs_than_entries(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = opened("file", tmp_path, fsync=True)
    calls = []

    def counted(handle: int) -> None:
        calls.append(handle)
        threading.Event().wait(0.002)

    monkeypatch.setattr(lines, "sync", counted)
    together(
        *(
            lambda who=who: [journal.append([draft(f"{who}-{number}")]) for number in range(10)]
            for who in range(16)
        )
    )
    assert journal.head()[0] == 160
    assert len(calls) < 80
    journal.close()


def test_all_who_wait_in_a_failed_group_are_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also the one who brought an entry that is in the same group: it is not durable. Who brought a
    known one is answered."""
    log = three_entries(tmp_path)
    journal = open_journal(log, stamp)
    before = log.read_bytes()
    disk = SlowDisk(fail=True)
    monkeypatch.setattr(lines, "sync", disk)
    told: dict[str, object] = {}

    def write(name: str, number: int) -> None:
        try:
            told[name] = journal.append([draft(number)])[0].state
        except DiskFull as error:
            told[name] = error.sentence[:16]

    work = [
        lambda name=name, number=number: write(name, number)
        for name, number in [("a", 4), ("b", 5), ("c", 5), ("d", 6), ("e", 2)]
    ]
    queue_behind(disk, journal, *work)
    full = "The disk is full"
    assert told == {"a": full, "b": full, "c": full, "d": full, "e": "known"}
    assert (journal.head()[0], log.read_bytes()) == (3, before)
    monkeypatch.undo()
    assert journal.append([draft(4)])[0].record["seq"] == 4
    journal.close()


def test_closing_waits_for_what_is_under_way_and_refuses_what_waits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = opened("file", tmp_path, fsync=True)
    disk = SlowDisk()
    monkeypatch.setattr(lines, "sync", disk)
    states: list[str] = []
    writer = threading.Thread(target=lambda: states.append(journal.append([draft(1)])[0].state))
    writer.start()
    assert disk.at_work.wait(10)
    closer = threading.Thread(target=journal.close)
    closer.start()
    disk.go_on.set()
    writer.join()
    closer.join()
    assert states == ["stored"]
    with pytest.raises(PitcrewError, match="not stored"):
        journal.append([draft(2)])
    assert len(read_records(tmp_path / "logbook.jsonl").records) == 1


def test_tickets_go_through_in_their_order_and_none_twice() -> None:
    groups: list[list[int]] = []

    def commit(group: list[Ticket]) -> None:
        groups.append([ticket.drafts[0]["number"] for ticket in group])

    queue = GroupCommit(commit)

    def bring(who: int) -> None:
        for number in range(200):
            queue.submit(Ticket([{"number": who * 1000 + number}]))

    together(*(lambda who=who: bring(who) for who in range(8)))
    passed = [number for group in groups for number in group]
    for who in range(8):
        assert [number for number in passed if number // 1000 == who] == [
            who * 1000 + number for number in range(200)
        ]
    assert len(passed) == 1600


def test_a_leader_that_is_interrupted_hands_the_lead_on() -> None:
    """The group of the interrupted leader is not shown as stored, and the next in the queue does
    not wait for ever."""
    first = True
    at_work, go_on = threading.Event(), threading.Event()
    done: list[Ticket] = []

    def commit(group: list[Ticket]) -> None:
        nonlocal first
        if first:
            first = False
            at_work.set()
            assert go_on.wait(10)
            raise KeyboardInterrupt
        done.extend(group)

    queue = GroupCommit(commit)
    interrupted, later = Ticket([{}]), Ticket([{}])
    raised: list[BaseException] = []

    def lead() -> None:
        try:
            queue.submit(interrupted)
        except KeyboardInterrupt as error:
            raised.append(error)

    leader = threading.Thread(target=lead)
    leader.start()
    assert at_work.wait(10)
    follower = threading.Thread(target=queue.submit, args=(later,))
    follower.start()
    go_on.set()
    leader.join()
    follower.join()
    assert len(raised) == 1
    assert interrupted.outcomes is None
    assert done == [later]
