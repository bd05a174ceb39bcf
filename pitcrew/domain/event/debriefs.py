"""The debrief: what the drive team is asked after each match, so that the pit hears it before the
robot is back."""

from dataclasses import dataclass

from pitcrew.domain.logbook.climbs import (
    CLIMB_FAILED,
    CLIMBED,
    DOWN,
    HELD,
    HITS,
    ONE_HOOK,
    SLIPPED,
    WAYS_DOWN,
)


@dataclass(frozen=True)
class Question:
    """One thing to ask. `kind`: `tick` (it happened or not), `yes_no` (or no one said), `pick` (one
    of `options`), `line` or `text`.
    """

    name: str
    ask: str
    kind: str = "tick"
    options: tuple[str, ...] = ()


QUESTIONS: tuple[Question, ...] = (
    Question("not_working", "Something did not work"),
    Question("odd", "Slow, hot, loud, or pulled to one side"),
    Question("no_control", "A moment without control"),
    Question("hard_hit", "Hit hard"),
    Question("tipped", "Tipped over"),
    Question("end_stop", "Ran into its end stop at speed"),
    Question("power_odd", "Lights odd, or the voltage broke down"),
    Question("field_fix", "Taped, bent or moved on the field"),
    Question("more", "What, where and how long", "text"),
    Question("autonomous", "Autonomous: which was picked, and did it do that", "line"),
    Question("battery", "Battery that was in", "line"),
)
CLIMB_ROW: tuple[Question, ...] = (
    Question(CLIMBED, "Did it climb?", "yes_no"),
    Question(HELD, "Did it hold, power off, until it was taken down?", "yes_no"),
    Question(SLIPPED, "Did it slip or sink?", "yes_no"),
    Question(ONE_HOOK, "Did it hang on one hook?", "yes_no"),
    Question(DOWN, "How did it come down?", "pick", WAYS_DOWN),
)
"""What a robot that climbs is asked as well. A question without an answer counts against the climb.
"""
assert set(HITS) - {CLIMB_FAILED} <= {question.name for question in (*QUESTIONS, *CLIMB_ROW)}
