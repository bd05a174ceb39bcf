"""The factors that links need: the lifting rules' by material, the team's own, and those of what is
not at rest."""

from dataclasses import dataclass

from pitcrew.base.settings import Settings
from pitcrew.domain.robot.hold_path import HoldPathTable
from pitcrew.engineering.holding import HOLD_FACTORS, YIELD_FACTOR

LIFTING = {
    **{
        name: rule[0]
        for name, rule in HOLD_FACTORS.items()
        if name not in ("chain", "short-link chain")
    },
    "roller chain": HOLD_FACTORS["chain"][0],
    "chain": HOLD_FACTORS["short-link chain"][0],
    "yield": YIELD_FACTOR,
    "rating": YIELD_FACTOR,
    "derated": 1.0,
}
"""Breaking force over load by material (the figure hold-factor names the rules); `yield` is against
the stress at which metal yields, `rating` against a maker's rated torque (common practice),
`derated` against what has its margin taken off already."""
STALL = 1.5
"""Against a motor stalled at the hard stop (ours)."""
LEAST = 2.0
"""No factor of a team's own goes below this."""


@dataclass(frozen=True)
class Factors:
    """What counts for one robot. `own`: the team's higher factor, `lower`: its lower one, where two
    people approved it."""

    own: float | None = None
    lower: float | None = None
    moving: float = 2.0

    def required(self, material: str) -> tuple[float, float | None]:
        """The factor that a link of a material needs at rest, and the lifting rule's where a lower
        one counts instead."""
        rule = LIFTING[material]
        if material == "derated":
            return rule, None
        if self.lower is not None and self.lower < rule:
            return max(self.lower, LEAST), rule
        return max(rule, self.own or 0.0), None

    def moved(self, material: str) -> float:
        """The factor that a link needs in a catch or a swing."""
        return LIFTING["derated"] if material == "derated" else self.moving


def factors_of(table: HoldPathTable, settings: Settings, lowered: bool) -> Factors:
    """The factors of a robot; `lowered` where two people approved its own lower one."""
    own = settings["climb_factor"]
    return Factors(
        None if own is None else float(own),
        table.lower_factor if lowered else None,
        max(float(settings["catch_factor"]), LEAST),
    )
