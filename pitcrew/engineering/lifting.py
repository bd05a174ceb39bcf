"""Lifting by hand: how much a team may lift together."""

from collections.abc import Sequence

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import quantities

TEAM_PART = {1: 1.0, 2: 2 / 3, 3: 1 / 2}
_TEAM_WORDS = {2: "two thirds", 3: "half"}


@figure(
    "team-lift",
    "kg",
    value_is="mass that these people may lift together",
    source=(
        "team lifting as rail and safety authorities print it: two people two thirds of the sum "
        "of what each may lift alone, three people half"
    ),
    range=(
        "one to three adults on firm, level ground with good handles; more people are refused, "
        "and nothing is published for minors"
    ),
    extra_units={"sum": "kg"},
    each=quantities("mass", "what each of them may lift alone", above=0.0, most=100.0),
)
def team_lift(each: Sequence[float]) -> Outcome:
    """Mass in kg that a team lifts; `sum` of what they lift alone in kg; `people`.

    Raises OutOfRange for more than three.

    Example: Three adults who lift 25, 25 and 16 kg alone lift only half of the sum together: (25 +
    25 + 16) / 2 = 33 kg.

        pitcrew figure team-lift each="25 kg; 25 kg; 16 kg"
        team-lift: 33 kg
    """
    people, total = len(each), float(sum(each))
    if people not in TEAM_PART:
        raise OutOfRange(
            f"team-lift: {people} people arrived; wanted at most 3 (the published rule counts no "
            "more). Take a cart or a stand that bears the weight, and steady it.",
            "each",
        )
    lifted = total * TEAM_PART[people]
    because = (
        f"One person alone lifts {mark(lifted, 'mass')}."
        if people == 1
        else (
            f"{people} people lift {_TEAM_WORDS[people]} of the {mark(total, 'mass')} that they "
            f"lift one by one: {mark(lifted, 'mass')}."
        )
    )
    return Outcome(lifted, because, {"sum": total, "people": people})
