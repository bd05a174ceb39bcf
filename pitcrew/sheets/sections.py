"""What is on a handoff sheet, section by section, as rows of text: pure, from one moment of the
pit."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from pitcrew.base.clock import day_time
from pitcrew.base.errors import BadInput
from pitcrew.base.kinds import KINDS
from pitcrew.base.kinds.kind import VERDICTS
from pitcrew.domain.batteries.fleet import Battery
from pitcrew.domain.batteries.ranking import offered_of
from pitcrew.domain.checks.limits import Limit, PartCheck, limit_from_dict
from pitcrew.domain.checks.readings import RANK, result_text
from pitcrew.domain.climb.basis import critical_parts
from pitcrew.domain.climb.validity import lasts
from pitcrew.domain.climb.witness import answers_text
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.faults import WORDS, Fault, is_deferred_now, is_open_now
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.state import TemporaryState
from pitcrew.domain.now.history import (
    done_since,
    latest_readings,
    near_limits,
    open_temporaries,
    readings_since,
)
from pitcrew.domain.now.view import PitView

LONGEST = 170
GRADES = {"stop": "stop", "degraded": "watch", "watch": "watch"}
CLIMB_STATES = {
    "cleared": ("ok", "Cleared"),
    "void": ("stop", "Void"),
    "refused": ("stop", "Refused"),
    "none": ("unjudged", "Not signed"),
}


@dataclass(frozen=True)
class Row:
    """One line of a section: what it is about, what is said of it, who and when. `tick`: it has a
    box to tick by hand."""

    what: str
    said: str = ""
    by: str = ""
    verdict: str = ""
    tick: bool = False
    limit: Limit | None = None
    result: float | None = None


@dataclass(frozen=True)
class Section:
    """A titled list of rows; `more` rows were left out, and `nothing` is shown where there is
    none."""

    name: str
    title: str
    rows: tuple[Row, ...]
    more: int
    nothing: str


@dataclass(frozen=True)
class Sheet:
    """The view that a sheet is made from, and what its reader knows already: `known` is the `seq`
    of the last sheet that was made for that reader."""

    view: PitView
    known: int = 0


def section(name: str, sheet: Sheet, most: int) -> Section:
    """A section by name with at most `most` rows."""
    title, nothing, build = SECTIONS[name]
    rows = [
        replace(row, what=clipped(row.what, 70), by=clipped(row.by, 50)) for row in build(sheet)
    ]
    return Section(name, title, tuple(rows[:most]), max(0, len(rows) - most), nothing)


def when(moment: Moment, instant: datetime) -> str:
    """A time as the sheet shows it: with the weekday when it is not today's."""
    return day_time(instant, moment.state.zone, moment.now)


def run_label(moment: Moment, run_id: str | None) -> str:
    """A run's label; its id where the schedule does not have it; empty for None."""
    run = moment.state.runs.get(run_id or "")
    return run.label if run else run_id or ""


def clipped(text: str, longest: int = LONGEST) -> str:
    """A text of at most `longest` letters; the whole of it is in pitcrew."""
    plain = " ".join(text.split())
    return plain if len(plain) <= longest else plain[: longest - 1].rstrip() + "…"


def _open_faults(sheet: Sheet) -> Iterator[Row]:
    moment = sheet.view.moment
    found = [fault for fault in moment.faults if is_open_now(fault, moment.state, moment.run)]
    for fault in sorted(found, key=lambda item: (item.grade != "stop", item.at)):
        ended = " The deferral has ended." if fault.state == "deferred" else ""
        yield _fault_row(
            moment,
            fault,
            f"{clipped(fault.symptom)} ({fault.grade}).{ended}",
            GRADES.get(fault.grade, "watch"),
        )


def _deferred_faults(sheet: Sheet) -> Iterator[Row]:
    moment = sheet.view.moment
    for fault in moment.faults:
        deferral = fault.deferral
        if deferral and is_deferred_now(fault, moment.state, moment.run):
            restriction = (
                f" With this restriction: {clipped(deferral.restriction, 110).rstrip('.')}."
                if deferral.restriction
                else ""
            )
            why = f" Because: {clipped(deferral.why, 80).rstrip('.')}." if deferral.why else ""
            said = (
                f"{clipped(fault.symptom, 80)}. Until"
                f" {run_label(moment, deferral.until) or 'it is repaired'}.{restriction}{why}"
            )
            yield Row(
                moment.label(fault.part),
                said,
                f"{deferral.who}, {when(moment, deferral.at)}",
                "watch",
            )


def _unproven_faults(sheet: Sheet) -> Iterator[Row]:
    moment = sheet.view.moment
    for fault in moment.faults:
        if fault.state == "repaired":
            done = fault.repairs[-1].body.why if fault.repairs else ""
            yield _fault_row(
                moment,
                fault,
                clipped(f"{fault.symptom}. Repaired: {done or 'no words given'}"),
                "unjudged",
                tick=True,
            )


def who(made: Fact | Fault | TemporaryState) -> str:
    """Who wrote something, and whether it was corrected or nothing proves it."""
    return ", ".join((made.person, *made.marks))


def _fault_row(moment: Moment, fault: Fault, said: str, verdict: str, tick: bool = False) -> Row:
    by = ", ".join(
        filter(None, (run_label(moment, fault.match), who(fault), when(moment, fault.at)))
    )
    return Row(moment.label(fault.part), said, by, verdict, tick)


def _temporaries(sheet: Sheet) -> Iterator[Row]:
    moment = sheet.view.moment
    for item in open_temporaries(moment):
        blocks = "Undo it before the match." if item.blocks else "It may stay for the match."
        by = f"{who(item)}, {when(moment, item.at)}"
        yield Row(
            moment.label(item.part),
            f"{clipped(item.what)}. {blocks}",
            by,
            "stop" if item.blocks else "watch",
            tick=True,
        )


def _done(sheet: Sheet) -> Iterator[Row]:
    """What was done since the reader's last sheet, latest first, after one line that counts the
    checks."""
    moment = sheet.view.moment
    readings = moment.mine(readings_since(moment.state, sheet.known))
    if readings:
        counts = Counter(fact.verdict for fact in readings if isinstance(fact, ReadingFact))
        yield Row(
            f"{len(readings)} checks",
            ", ".join(f"{counts[word]} {word}" for word in VERDICTS if counts[word]),
        )
    for fact in reversed(moment.mine(done_since(moment.state, sheet.known))):
        if (told := _told(moment, fact)) is not None:
            yield Row(told[0], clipped(told[1]), f"{who(fact)}, {when(moment, fact.at)}")


def _told(moment: Moment, fact: Fact) -> tuple[str, str] | None:
    """What a fact is about and what was done, in words; None for what is elsewhere on the
    sheet."""
    told = KINDS[fact.entry.kind].told
    return told(fact.body, _Names(moment)) if told else None


@dataclass(frozen=True)
class _Names:
    """The names that a body of an entry stands for, at one moment."""

    moment: Moment

    def label(self, part: str) -> str:
        return self.moment.label(part)

    def fault(self, fault: str) -> tuple[str, str] | None:
        found = self.moment.state.faults.get(fault)
        return (self.label(found.part), found.symptom) if found else None

    def temporary(self, temporary: str) -> tuple[str, str] | None:
        found = self.moment.state.temporaries.get(temporary)
        return (self.label(found.part), found.what) if found else None

    def word(self, move: str) -> str:
        return WORDS[move]


def _near(sheet: Sheet) -> Iterator[Row]:
    moment = sheet.view.moment
    for near in near_limits(moment):
        item, reading = near.part_check, near.reading
        by = f"{who(reading)}, {when(moment, reading.at)}"
        what = f"{item.part.label}: {item.check.label}"
        yield Row(
            what,
            reading_text(reading),
            by,
            reading.verdict,
            limit=item.limit,
            result=reading.result,
        )


def reading_text(reading: ReadingFact) -> str:
    """A reading's result as it was judged, with its unit; empty where its limit cannot be read."""
    try:
        return result_text(limit_from_dict(reading.limit), reading.result) if reading.limit else ""
    except BadInput:
        return ""


def _all_answers(item: PartCheck, reading: ReadingFact) -> str:
    """All that a hold or lowering test says: what decided it is more than its one number."""
    if not item.check.witness or reading.verdict != "ok":
        return ""
    return f"{answers_text(item.check, reading)}."


def _due(sheet: Sheet) -> Iterator[Row]:
    late = {item.key for item in sheet.view.turnaround.will_not_fit}
    for item in sheet.view.due:
        check, part = item.part_check.check, item.part_check.part
        power = "" if check.power == "off" else f", power {check.power}"
        fits = ", will not fit before leaving" if item.key in late else ""
        yield Row(
            f"{part.label}: {check.label}",
            f"{item.why}, {check.minutes:g} min{power}{fits}",
            tick=True,
        )


def _batteries(sheet: Sheet) -> Iterator[Row]:
    fleet = sheet.view.fleet
    chosen = offered_of(fleet)
    for battery in sorted(fleet, key=lambda item: (item is not chosen, not item.offered)):
        place = " ".join(filter(None, (battery.place or "nobody logged where", battery.where)))
        numbers = ", ".join(
            reading_text(reading)
            for reading in (battery.resistance, battery.rest_voltage)
            if reading
        )
        said = f"{place}, {battery.charge_words}: {_offer(battery, battery is chosen)}"
        yield Row(battery.part.label, clipped(said), numbers, battery.sign)


def _offer(battery: Battery, first: bool) -> str:
    """What the sheet says of taking a battery, as the page Batteries does."""
    if not battery.offered:
        return f"not for a match. {battery.why}"
    if battery.charged:
        return "take this one" if first else "fit for a match, charged"
    once = "once charged" if battery.fitness == "not charged" else "if its charge holds"
    return f"{'first' if first else 'fit for a match'}, {once}"


def _climb(sheet: Sheet) -> Iterator[Row]:
    moment, found = sheet.view.moment, sheet.view.clearance
    verdict, word = CLIMB_STATES[found.state]
    by = f"{found.fact.person}, {when(moment, found.fact.at)}" if found.fact else ""
    runs = moment.definitions.settings["clearance_runs"]
    yield Row(word, lasts(moment.run, runs) if found.cleared else clipped(found.why), by, verdict)
    if not moment.climb_planned():
        yield Row("No climb this match", "The robot stays on the floor.")
    for missing in found.missing:
        yield Row("Missing", clipped(missing.text), tick=True)


def _climb_readings(sheet: Sheet) -> Iterator[Row]:
    """The latest reading of every check on a climb-critical part, the worst first."""
    moment = sheet.view.moment
    critical = critical_parts(moment)
    latest = latest_readings(moment)
    found = [
        (moment.definitions.part_checks[key], reading)
        for key, reading in latest.items()
        if reading.part in critical
    ]
    for item, reading in sorted(found, key=lambda pair: -RANK[pair[1].verdict]):
        by = f"{who(reading)}, {when(moment, reading.at)}"
        number = (
            reading_text(reading)
            if reading.verdict == "ok" and isinstance(reading.result, int | float)
            else ""
        )
        yield Row(
            f"{item.part.label}: {item.check.label}",
            _all_answers(item, reading) or number or clipped(reading.sentence),
            by,
            reading.verdict,
        )


Builder = Callable[[Sheet], Iterator[Row]]
SECTIONS: Mapping[str, tuple[str, str, Builder]] = {
    "open": ("Open faults", "No fault is open.", _open_faults),
    "deferred": ("Deferred: we play with it", "Nothing is deferred.", _deferred_faults),
    "unproven": ("Repaired, not proven yet", "Every repair is proven.", _unproven_faults),
    "temporary": ("To be undone", "Nothing is bridged, borrowed or taken off.", _temporaries),
    "done": ("Done", "Nothing was written down.", _done),
    "near": ("Readings near their limit", "No reading is near its limit.", _near),
    "due": ("Due next", "Nothing is due.", _due),
    "batteries": ("Batteries", "No battery is on the build sheet.", _batteries),
    "climb": ("Climb clearance", "", _climb),
    "climb-readings": (
        "What the climb hangs on",
        "No reading of a climb-critical part yet.",
        _climb_readings,
    ),
}
