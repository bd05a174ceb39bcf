"""The debrief: what the drive team is asked after each match, so that the pit hears it before the robot is back."""

from dataclasses import dataclass

from pitcrew.domain.logbook.moment import HARD_HITS


@dataclass(frozen=True)
class Question:
    """One thing to ask. `kind`: `tick` (it happened or not), `line` or `text`."""

    name: str
    ask: str
    kind: str = "tick"


QUESTIONS: tuple[Question, ...] = (
    Question("not_working", "Something did not work"),
    Question("odd", "Slow, hot, loud, or pulled to one side"),
    Question("climb_failed", "Climb slipped, dropped or did not hold"),
    Question("no_control", "A moment without control"),
    Question("hard_hit", "Hit hard"),
    Question("tipped", "Tipped over"),
    Question("power_odd", "Lights odd, or the voltage broke down"),
    Question("field_fix", "Taped, bent or moved on the field"),
    Question("more", "What, where and how long", "text"),
    Question("autonomous", "Autonomous: which was picked, and did it do that", "line"),
    Question("climb", "Climb: did it hold, and how did it come down", "line"),
    Question("battery", "Battery that was in", "line"),
)
assert set(HARD_HITS) <= {question.name for question in QUESTIONS}
