"""What the debriefs say about a climb: whether there was one, whether it held, and how the robot
came down.

What no one said counts against the climb: a match without an answer counts as one that climbed and
was not seen to hold."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.runs import Run

CLIMBED, HELD, SLIPPED, ONE_HOOK, DOWN = "climbed", "held", "slipped", "one_hook", "down"
"""The answers of the debrief that concern a climb."""
BY_THE_CARD, OTHERWISE, FELL = "by the card", "another way", "it slid or fell"
WAYS_DOWN = (BY_THE_CARD, OTHERWISE, FELL)
"""What `down` may say; a sheet of an older program may say anything."""
CLIMB_FAILED = "climb_failed"
"""The older answer (true or `yes`) that reports a climb that slipped, dropped or did not hold."""
YES, NO = (True, "yes"), (False, "no")
HITS: dict[str, tuple[tuple[Any, ...], str]] = {
    HELD: (NO, "the climb did not hold"),
    SLIPPED: (YES, "it slipped or sank"),
    DOWN: ((FELL,), FELL),
    ONE_HOOK: (YES, "it hung on one hook"),
    "hard_hit": (YES, "it was hit hard"),
    "tipped": (YES, "it tipped over"),
    "end_stop": (YES, "it ran into its end stop"),
    CLIMB_FAILED: (YES, "the climb failed"),
}
"""The answers after which the checks `after a hard hit` are due and no hold test counts, each with
what it tells. Phones have the table, too."""
FAILED = (HELD, SLIPPED, DOWN, CLIMB_FAILED)
"""Those that report a climb that did not hold."""
NO_CLIMB_WORDS = frozenset({"no", "none", "not", "nothing", "never", "nein", "0", "-"})
"""First words of the older text answer `climb` that report no climb."""
Answers = Mapping[str, Any]


def said(answers: Answers, name: str) -> bool | None:
    """Yes or no to a question of the debrief; None where no one said."""
    return {True: True, "yes": True, False: False, "no": False}.get(answers.get(name))


def said_climbed(answers: Answers) -> bool | None:
    """Whether a debrief reports a climb; None where no one said. One that tells how it held,
    slipped or came down reports one, also where it says that there was none.
    """
    told = said(answers, CLIMBED)
    if told is None and said(answers, HELD) is not None:
        return True
    if any(said(answers, name) for name in (HELD, SLIPPED, ONE_HOOK)) or answers.get(DOWN):
        return True
    older = answers.get("climb")
    if told is None and isinstance(older, str) and older.strip():
        return older.split()[0].strip(".,:;").casefold() not in NO_CLIMB_WORDS
    return told


def was_hit(answers: Answers) -> bool:
    """Whether a debrief reports something that asks for the checks after a hard hit."""
    return any(_tells(answers, name) for name in HITS)


def hit_text(answers: Answers) -> str:
    """What a debrief reports that asks for the checks after a hard hit, in words."""
    told = [words for name, (_, words) in HITS.items() if _tells(answers, name)]
    return " and ".join(told)


def failed(answers: Answers) -> bool:
    """Whether a debrief reports a climb that did not hold."""
    return any(_tells(answers, name) for name in FAILED)


def _tells(answers: Answers, name: str) -> bool:
    given = answers.get(name)
    return isinstance(given, bool | str) and given in HITS[name][0]


@dataclass(frozen=True)
class Climb:
    """A match in which the robot climbed, or may have. `told` are the debriefs of it that say so,
    in order of time.
    """

    run: Run
    at: datetime
    told: tuple[Fact, ...] = ()

    @property
    def held(self) -> bool:
        """Whether all who told say that it held until it was taken down, and no one reports a slip
        or a fall, or contradicts themselves.
        """
        return bool(self.told) and all(
            said(fact.body.answers, HELD)
            and said(fact.body.answers, CLIMBED) is not False
            and not failed(fact.body.answers)
            for fact in self.told
        )


def climbs_of(
    played: Iterable[tuple[Run, datetime]], debriefs: Iterable[Fact], planned: bool
) -> list[Climb]:
    """The climbs among the matches played, in order. One of which no one said whether it climbed is
    among them where the robot is one that climbs (`planned`); of two people who disagree, the one
    who saw it climb counts.
    """
    by_run: dict[str, list[Fact]] = {}
    for fact in debriefs:
        if fact.match:
            by_run.setdefault(fact.match, []).append(fact)
    found = []
    for run, at in played:
        told = by_run.get(run.id, [])
        words = [said_climbed(fact.body.answers) for fact in told]
        if True in words or (planned and False not in words):
            saw = tuple(fact for fact, word in zip(told, words, strict=True) if word)
            found.append(Climb(run, at, saw))
    return found
