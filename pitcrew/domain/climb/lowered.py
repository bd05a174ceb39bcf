"""A team's own factor below the lifting rule: what it takes before it counts, and what is said
while it does.

It counts once two people stand by it and its reason; below 3.5 one of them is a mentor. Until then,
and while it is changed, the rule's factors count, also where it is in a new file. It is never
under 2.
"""

from typing import Any

from pitcrew.base.units import number_text
from pitcrew.domain.climb.critical import FACTOR, lower_factor_fact
from pitcrew.domain.climb.waiting import folded
from pitcrew.domain.holding.links import HoldPath
from pitcrew.domain.logbook.moment import Moment

BELOW_RULE = (
    "below the lifting rule ({own} of {rule}): nobody within a robot's length until it is supported"
)


def factor_is_lowered(moment: Moment, up_to_seq: int | None = None) -> bool:
    """Whether the build sheet's own lower factor counts, by the names known at `up_to_seq` (None:
    all).
    """
    robot = moment.definitions.robot
    wanted: dict[str, Any] | None = lower_factor_fact(robot) if robot else None
    return (
        wanted is not None
        and folded(moment, up_to_seq)[0].get(f"{FACTOR}:{moment.robot}") == wanted
    )


def below_rule(path: HoldPath) -> str:
    """What Climb, sheet and lowering card say of a path with links below the lifting rule; empty
    where there are none.
    """
    below = [link for link in path.links if link.lowered and link.required and link.rule]
    if not below:
        return ""
    worst = min(below, key=lambda link: (link.required or 0.0) / (link.rule or 1.0))
    return BELOW_RULE.format(
        own=number_text(worst.required or 0.0), rule=number_text(worst.rule or 0.0)
    )
