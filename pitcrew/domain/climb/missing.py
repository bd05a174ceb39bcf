"""What blocks signing for a climb: whatever was not asked, measured, computed, seen by two, proven
or loaded, each by name.
"""

from collections.abc import Iterator
from datetime import datetime

from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.climb.basis import Blocker, climb_checks, critical_parts
from pitcrew.domain.climb.hold import PROOF
from pitcrew.domain.climb.holdtest import UNWITNESSED, hold_test, hold_tests
from pitcrew.domain.climb.pathlacks import path_lacks
from pitcrew.domain.climb.proposals import pending_text, pending_title
from pitcrew.domain.climb.waiting import Pending, pending_for_climb
from pitcrew.domain.holding.asking import LOOK
from pitcrew.domain.logbook.faults import Fault, is_open_now
from pitcrew.domain.logbook.freshness import why_stale
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.proofs import proofs
from pitcrew.domain.logbook.secondnames import deferral_confirmed, witnesses
from pitcrew.domain.robot.hold_path import SINKS


def missing_for_climb(
    moment: Moment, seen_seq: int | None = None, signed_at: datetime | None = None
) -> list[Blocker]:
    """What blocks signing now; or what blocked it at `signed_at`, by the readings known at
    `seen_seq` (None: all).
    """
    until = signed_at or moment.now
    return [
        *_not_loaded(moment),
        *_not_stated(moment),
        *_waiting(moment, seen_seq),
        *path_lacks(moment, seen_seq, until),
        *_hold_test(moment, seen_seq, until),
        *_checks(moment, seen_seq, until),
        *_faults(moment, seen_seq),
        *_temporaries(moment),
    ]


def planned_without(moment: Moment) -> Iterator[str]:
    """What a planned climb lacks to rest on at all: a hold path, a holding device, a hold test."""
    robot = moment.definitions.robot
    if robot is None or robot.hold_path is None:
        yield "a hold path"
    elif not robot.hold_path.device or robot.hold_path.device in SINKS:
        yield "a device that holds without power"
    elif not (found := hold_test(moment)).counts:
        yield f"a hold test that counts: {found.why_not[0].removesuffix('.')}"


def _not_loaded(moment: Moment) -> Iterator[Blocker]:
    robot = moment.definitions.robot
    told = robot is not None and robot.hold_path is None  # by the path itself
    for mistake in moment.definitions.mistakes:
        if mistake.climb and not (told and mistake.place == "hold_path"):
            yield Blocker(
                f"{mistake.sentence} What did not load counts as missing.", kind="mistake"
            )
    if not climb_checks(moment.definitions):
        yield Blocker(
            "No climb-critical part has a check: there is nothing to sign over. Mark the parts.",
            kind="mistake",
        )


def _not_stated(moment: Moment) -> Iterator[Blocker]:
    """What the build sheet calls unknown or assumed on a part that the climb hangs on."""
    robot = moment.definitions.robot
    for part in robot.parts.values() if robot else ():
        for name, how in part.open.items() if part.climb_critical else ():
            text = f"{part.label}, {name.replace('_', ' ')}: {how}. Find it out and put it in."
            yield Blocker(text, kind="mistake")


def _waiting(moment: Moment, seen_seq: int | None) -> Iterator[Blocker]:
    """The changed definitions that wait for two names, a line a load: no one signs over a robot
    that may be another one.
    """
    loads: dict[str, list[Pending]] = {}
    for item in pending_for_climb(moment.state, moment.robot or "", seen_seq):
        loads.setdefault(item.load, []).append(item)
    for load, items in loads.items():
        what = "A program update" if any(item.update for item in items) else "A change"
        more = "; ".join(pending_title(moment, item) for item in items[1:])
        text = f"{what} waits for two names. {pending_text(moment, items[0])}."
        text += f" It also changes: {more}." if more else ""
        yield Blocker(text, kind="climb", ref=load)


def _hold_test(moment: Moment, seen_seq: int | None, until: datetime) -> Iterator[Blocker]:
    """Why no hold test counts for this climb."""
    path = moment.definitions.robot.hold_path if moment.definitions.robot else None
    if path is None or not path.device:
        return  # that is missing itself
    found = hold_test(moment, seen_seq, until)
    for why in found.why_not:
        kind = "check" if found.key else "mistake"
        yield Blocker(f"Hold test: {why.removesuffix('.')}.", found.key, kind, found.key)


def _checks(moment: Moment, seen_seq: int | None, until: datetime) -> Iterator[Blocker]:
    """The checks of the climb that are not done; hold tests and looks at links are reported by
    themselves.
    """
    tests = {item.key for item in hold_tests(moment)}
    for item in climb_checks(moment.definitions):
        told = item.key in tests or item.check.id in (LOOK, PROOF)
        if not told and (text := _lacks(moment, item, seen_seq, until)):
            text = f"{item.check.label}, {item.part.label}: {text}"
            yield Blocker(text, item.key, "check", item.key)


def _lacks(moment: Moment, item: PartCheck, seen_seq: int | None, until: datetime) -> str:
    """What a clearance lacks of one check; empty if it is done."""
    last = moment.last_reading(item.key, seen_seq)
    if last is not None:
        touched = moment.repaired_or_changed(item.part.id)
        if not last.done:
            return f"{last.verdict}. {last.sentence}"
        if item.check.witness and not witnesses(moment.state, last, seen_seq):
            return f"{last.person or 'nobody named'} read it, and {UNWITNESSED}."
        if touched is not None and touched >= last.at:
            return "not done since the part was repaired or changed."
    stale = why_stale(moment, item, last, until)
    return f"{stale}." if stale else ""


def _faults(moment: Moment, seen_seq: int | None) -> Iterator[Blocker]:
    critical = critical_parts(moment)
    for fault in moment.faults:
        if fault.part in critical and (text := _fault_blocks(moment, fault, seen_seq)):
            yield Blocker(text, kind="fault", ref=fault.id)
    for fault in moment.unplaced:
        if _fault_blocks(moment, fault, seen_seq):
            yield Blocker(_no_place(moment, fault), kind="fault", ref=fault.id)


def _no_place(moment: Moment, fault: Fault) -> str:
    """Why a fault that may be on the hold path blocks: no one can tell where it is."""
    if fault.robot is not None and fault.robot not in moment.definitions.robots:
        where = f"robot {fault.robot!r}, which has no build sheet"
    else:
        where = f"part {fault.part!r}, which no build sheet has"
    return f"{fault.symptom} ({fault.grade}) is on {where}. Correct it to the part it is on."


def _fault_blocks(moment: Moment, fault: Fault, seen_seq: int | None) -> str:
    """Why a fault on a climb-critical part blocks signing; empty if it does not. A mere `watch`
    does not block.
    """
    name = f"{moment.label(fault.part)}: {fault.symptom}"
    unseen_proof = fault.proof is not None and seen_seq is not None and fault.proof.seq > seen_seq
    if fault.grade == "watch" or (fault.closed and not unseen_proof):
        return ""
    if is_open_now(fault, moment.state, moment.run):
        return f"{name} is an open fault."
    if fault.state == "repaired" and (found := proofs(moment.state, fault)):
        return (
            f"{name} was repaired, and {found[-1].person or 'somebody'} read it as"
            f" {found[-1].verdict} since. Record that reading as the proof."
        )
    if fault.state in ("repaired", "proven"):
        return f"{name} was repaired, but no passing reading has proven it."
    if not deferral_confirmed(moment.state, fault):
        who = fault.deferral.who if fault.deferral else "nobody"
        return f"{name} is deferred by {who} alone; a second name is wanted."
    return ""


def _temporaries(moment: Moment) -> Iterator[Blocker]:
    critical = critical_parts(moment)
    for item in moment.state.temporaries.values():
        if item.open and item.blocks and item.part in critical and moment.is_mine(item.robot):
            yield Blocker(
                f"{moment.label(item.part)}: {item.what}; to be undone first.",
                kind="temporary",
                ref=item.id,
            )
