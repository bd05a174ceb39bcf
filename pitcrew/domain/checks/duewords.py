"""When a check is due, in words: `every match`, `every 3 matches`, `every 10 climbs`, `before a
climb`."""

import re
from dataclasses import dataclass

from pitcrew.base.errors import nearest
from pitcrew.domain.robot.mistakes import Mistakes

DUE_WORDS: dict[str, str] = {
    "every match": "in each turnaround",
    "every N matches": (
        "when N of our matches were played since it was last done, such as every 3 matches"
    ),
    "once a day": "until it was done on this day of the event",
    "on arrival": "until it was done once at this event",
    "before a climb": (
        "when a climb is planned and it was not seen since the last climb, hit, repair or this"
        " morning"
    ),
    "after a climb": (
        "when the robot climbed since it was last done, or nobody said that it did not"
    ),
    "every N climbs": (
        "when the robot climbed N times since it was last done, such as every 10 climbs; hold tests"
        " count as climbs"
    ),
    "after a fault": "when a fault was reported in its subsystem",
    "after repair": "when a fault of its part was repaired",
    "after part change": "when its part was changed",
    "after a code change": (
        "when the code on the robot was changed: its controller, or a look at the "
        "code that was not as before"
    ),
    "after a hard hit": (
        "when the debrief tells of a hard hit, a tip, or a climb that slipped, fell or hung on one"
        " hook"
    ),
}
CLIMB_WORDS = ("before a climb", "after a climb", "every N climbs")
"""A check with one of these words is made for the climb: while none is planned it is not due."""
_EVERY = re.compile(r"every (\d{1,2}) (matches|climbs)")


@dataclass(frozen=True)
class DueRule:
    """One due word; `every` counts the matches of `every N matches` and the climbs of `every N
    climbs`."""

    word: str
    every: int = 1

    @property
    def text(self) -> str:
        """The word as a checklist writes it."""
        return self.word.replace(" N ", f" {self.every} ")


def read_due(text: str, place: str, mistakes: Mistakes) -> DueRule | None:
    """A due word of a checklist, or None with a mistake."""
    counted = _EVERY.fullmatch(text)
    if counted and int(counted[1]) >= 1:
        return DueRule(f"every N {counted[2]}", int(counted[1]))
    if text in DUE_WORDS and " N " not in text:
        return DueRule(text)
    mistakes.add(place, text, "one of " + ", ".join(DUE_WORDS), nearest(text, DUE_WORDS))
    return None
