"""Whether what was done of a check still says something: one rule a due word, for what is due and
for the climb clearance."""

from bisect import bisect_right
from datetime import datetime

from pitcrew.domain.checks.checklists import HOLD_TEST
from pitcrew.domain.checks.duewords import DueRule
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.checks.pathchecks import LOOK, PROOF
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.moment import Moment

CONTROLLER, CODE = "controller", "code-version"
"""The kind of part on which the code runs, and the check that compares it with what it was."""
STALE = {
    "once a day": "not done today",
    "on arrival": "not done since the robot came to this event",
    "after a climb": "not done since the last climb",
    "after repair": "not done since the part was repaired",
    "after part change": "not done since the part was changed",
    "after a code change": "not done since the code was changed",
}
"""The due words that a climb waits for beside `before a climb` and `every N climbs`, and what a
clearance says of each."""


def proof_load(moment: Moment, item: PartCheck, until: datetime) -> ReadingFact | None:
    """The proof load that counts as looking at a link at the time `until`: passed, and the part not
    changed or hit since.
    """
    if item.check.id != LOOK:
        return None
    last = moment.last_reading(f"{PROOF}@{item.part.id}")
    if last is None or last.verdict != "ok" or last.at > until:
        return None
    touched = moment.repaired_or_changed(item.part.id)
    spoiled = [
        time for time in (*moment.hits, *([touched] if touched else [])) if last.at <= time <= until
    ]
    return None if spoiled else last


def why_stale(moment: Moment, item: PartCheck, last: ReadingFact | None, until: datetime) -> str:
    """Why a check's last reading (None: it was never done) does not carry a climb at the time
    `until`, in words; empty if it does.

    What is done after a change or a hit alone is not due on a robot that was never changed or
    hit.
    """
    if last is None:
        wanted = any(why_due(moment, item, rule, None, until) for rule in item.check.due)
        return "never done" if wanted and not proof_load(moment, item, until) else ""
    if proof_load(moment, item, until) is not None:
        return ""
    for rule in item.check.due:
        if rule.word == "before a climb" and (
            unseen := unseen_for_climb(moment, item, last.at, until)
        ):
            return unseen
        if rule.word in STALE and why_due(moment, item, rule, last, until):
            return STALE[rule.word]
        if rule.word == "after a hard hit" and (hit := moment.hit_after(last.at, until)):
            return f"not done since {hit}"
        if rule.word == "every N climbs" and why_due(moment, item, rule, last, until):
            return f"not done for {climbs_done(moment, last.at, until)} climbs"
    return ""


def why_due(
    moment: Moment,
    item: PartCheck,
    rule: DueRule,
    last: ReadingFact | None,
    until: datetime | None = None,
) -> str:
    """Why a check is due by one of its due words, in a few words; empty if it is not.

    `last`: the reading that counts; `until`: as it was at that time, None for now.
    """
    at, end = last.at if last is not None else None, until or moment.now
    word = rule.word
    if word == "every match" or word == "every N matches":
        due = at is None or len(moment.runs_since(at, end)) >= rule.every
    elif word == "every N climbs":
        due = at is None or climbs_done(moment, at, end) >= rule.every
    elif word == "once a day":
        due = at is None or not moment.same_day(at, end)
    elif word == "on arrival":
        due = at is None or (moment.arrival is not None and at < moment.arrival)
    elif word == "before a climb":
        due = at is None or bool(unseen_for_climb(moment, item, at, end))
    else:
        times = [time for time in _times(moment, item, word, last) if time <= end]
        due = bool(times) and (at is None or max(times) > at)
    return rule.text if due else ""


def unseen_for_climb(
    moment: Moment, item: PartCheck, at: datetime, until: datetime | None = None
) -> str:
    """Why what was seen at a point in time says nothing about the next climb; empty if it does.

    It was not seen since the last climb, hit, repair or this morning; a hold test outlasts a climb
    that is reported to have held.
    """
    end = until or moment.now
    if climbs := [
        climb
        for climb in moment.climbs_since(at, end)
        if not (item.check.is_hold_test and climb.held)
    ]:
        last = climbs[-1]
        untold = "" if last.told else ", and nobody said that it did not climb"
        return f"not done since {last.run.label} was played{untold}"
    touched = moment.repaired_or_changed(item.part.id)
    if touched is not None and at <= touched <= end:
        return "not done since the part was repaired or changed"
    if hit := moment.hit_after(at, end):
        return f"not done since {hit}"
    return "" if moment.same_day(at, end) else "not done today"


def climbs_done(moment: Moment, at: datetime, until: datetime) -> int:
    """How many climbs came after a point in time (and not after `until`), hold tests among them."""
    tests = moment.once(climbs_done, lambda: _hold_tests(moment))
    return (
        len(moment.climbs_since(at, until)) + bisect_right(tests, until) - bisect_right(tests, at)
    )


def _hold_tests(moment: Moment) -> list[datetime]:
    """When each hold test was read, in order."""
    return sorted(
        fact.at
        for key, facts in moment.state.readings.items()
        if key.startswith(HOLD_TEST)
        for fact in moment.mine(facts)
    )


def _times(moment: Moment, item: PartCheck, word: str, last: ReadingFact | None) -> list[datetime]:
    """When the event of an `after …` word happened."""
    if word == "after a fault":
        own = last.id if last is not None else None
        faults = moment.faults_of_subsystem.get(item.part.subsystem, [])
        return [fault.at for fault in faults if fault.reading is None or fault.reading != own]
    if word == "after repair":
        return [moment.repairs[item.part.id]] if item.part.id in moment.repairs else []
    if word == "after part change":
        return [fact.at for fact in moment.mine(moment.state.part_changes.get(item.part.id, []))]
    if word == "after a hard hit":
        return moment.hits
    if word == "after a code change":
        return _code_changes(moment)
    return [climb.at for climb in moment.climbs] if word == "after a climb" else []


def _code_changes(moment: Moment) -> list[datetime]:
    """When a controller was changed or repaired, or a look at its code found another one than
    before.
    """
    found = []
    for key, item in moment.definitions.part_checks.items():
        if item.check.id == CODE:
            seen = moment.state.readings.get(key, [])
            found += [
                fact.at for fact in seen if moment.is_mine(fact.robot) and fact.verdict != "ok"
            ]
        if (
            item.part.kind == CONTROLLER
            and (touched := moment.repaired_or_changed(item.part.id)) is not None
        ):
            found.append(touched)
    return found
