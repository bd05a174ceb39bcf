"""When a check is due, in words: `every match`, `every 3 matches`, `before a climb`."""

import re
from dataclasses import dataclass

from pitcrew.base.errors import nearest
from pitcrew.domain.robot.mistakes import Mistakes

DUE_WORDS: dict[str, str] = {
    "every match": "in each turnaround",
    "every N matches": "when N of our matches were played since it was last done, such as every 3 matches",
    "once a day": "until it was done on this day of the event",
    "on arrival": "until it was done once at this event",
    "before a climb": "before each climb is cleared",
    "after a fault": "when a fault was reported in its subsystem",
    "after repair": "when a fault of its part was repaired",
    "after part change": "when its part was changed",
    "after a hard hit": "when the debrief tells of a hard hit or a tip",
}
_EVERY = re.compile(r"every (\d{1,2}) matches")


@dataclass(frozen=True)
class DueRule:
    """One due word; `every` counts matches for `every N matches`."""

    word: str
    every: int = 1


def read_due(text: str, place: str, mistakes: Mistakes) -> DueRule | None:
    """A due word of a checklist, or None with a mistake."""
    counted = _EVERY.fullmatch(text)
    if counted and int(counted[1]) >= 1:
        return DueRule("every N matches", int(counted[1]))
    if text in DUE_WORDS and text != "every N matches":
        return DueRule(text)
    mistakes.add(place, text, "one of " + ", ".join(DUE_WORDS), nearest(text, DUE_WORDS))
    return None
