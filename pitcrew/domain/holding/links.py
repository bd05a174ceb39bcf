"""What comes out of a hold path: its links, each with what it was computed from, and the readings
that go in."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

NOT_COMPUTED = "not computed: inspect"
MEASURED, STATED, ASSUMED, NOT_STATED = "measured", "stated", "assumed", "not stated"


@dataclass(frozen=True)
class LastReading:
    """The last reading of a quantity, SI, with when and by whom it was taken."""

    value: float
    at: datetime
    by: str = ""
    marks: tuple[str, ...] = ()
    """What everyone should know of it beside its author: corrected, unverified."""


@dataclass(frozen=True)
class Measured:
    """The last readings by (part id, quantity); what belongs to the robot, not to a part, stands
    under the part ``."""

    values: Mapping[tuple[str, str], LastReading] = field(default_factory=dict)

    def of(self, part: str, quantity: str) -> LastReading | None:
        """The last reading of a part's quantity, None where there is none."""
        return self.values.get((part, quantity))


@dataclass(frozen=True)
class PathInput:
    """One number or word that a link was computed from; `value` is the one that counts, in `unit`
    (SI; empty for words).

    Where a reading exists, `stated` is what the build sheet says, `read` what was read (the worse
    of the two is `value`), `marks` what everyone should know of the reading beside its author.
    """

    name: str
    label: str
    value: float | str | None
    unit: str = ""
    origin: str = STATED
    when: datetime | None = None
    by: str = ""
    stated: float | None = None
    read: float | None = None
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Link:
    """One link. `load` and `strength` in `unit` (N, N*m, or m for a bend); `factor` is strength
    over load.

    `kind`: hold (at rest), bending, size (a rule of size: what it has over the least), catch,
    swing, stall or second. `needs` names what is not stated and therefore counts against it.
    `inspection_key` is the check that looks at a link without numbers; empty for a computed one.
    `material` names the rule of the factor; `rule` is that rule's factor where the team's own lower
    one counts instead.
    """

    name: str
    because: str
    part: str = ""
    load: float | None = None
    strength: float | None = None
    unit: str = "N"
    required: float | None = None
    inputs: tuple[PathInput, ...] = ()
    kind: str = "hold"
    needs: tuple[str, ...] = ()
    inspection_key: str = ""
    rule: float | None = None
    material: str = ""

    @property
    def computed(self) -> bool:
        """Whether there are numbers for it."""
        return self.load is not None and self.strength is not None

    @property
    def factor(self) -> float | None:
        """Strength over load; None where either is not known."""
        return self.strength / self.load if self.strength is not None and self.load else None

    @property
    def share(self) -> float:
        """The factor over the one that it needs: below 1 the link is too weak, 0 where nothing is
        computed."""
        return (self.factor or 0.0) / (self.required or 1.0)

    @property
    def holds(self) -> bool:
        """Whether it is computed, strong enough, and nothing that it needs is unstated."""
        return self.computed and not self.needs and self.share >= 1 - 1e-9

    @property
    def lowered(self) -> bool:
        """Whether it holds only by the team's own factor, below the lifting rule."""
        return self.rule is not None and (self.factor or 0.0) < self.rule


@dataclass(frozen=True)
class Loads:
    """What the robot puts on its path, SI: the mass that counts, its weight, the pull in the member
    that stretches, the drum's torque, the device's load in N or N*m, how far the hook sinks for one
    tooth, the fall that counts, and peak over load at rest. None where it is not known."""

    mass: float
    weight: float
    tension: float | None = None
    torque: float | None = None
    device: float | None = None
    drop_per_tooth: float | None = None
    fall: float | None = None
    deflection: float | None = None
    impact: float | None = None
    drop_most: float | None = None


@dataclass(frozen=True)
class HoldPath:
    """All links in order, from the bar to the device, then what is beside, then the rows of
    what is not at rest.

    `loads` is None and `why` says so where nothing can be computed. `device` is the table's word
    for what holds; `sinks` tells that it never makes a cleared climb. `not_stated` names everything
    that counts against the climb, once.
    """

    links: tuple[Link, ...] = ()
    loads: Loads | None = None
    why: str = ""
    device: str = ""
    not_stated: tuple[str, ...] = ()
    sinks: str = ""

    @property
    def weakest(self) -> Link | None:
        """Of the computed links the one with the smallest share of the factor that it needs; a rule
        of size is no link."""
        return min(
            (link for link in self.links if link.computed and link.kind != "size"),
            key=lambda link: link.share,
            default=None,
        )

    @property
    def too_weak(self) -> tuple[Link, ...]:
        """The computed links with less than the factor that they need."""
        return tuple(link for link in self.links if link.computed and link.share < 1 - 1e-9)

    @property
    def uncomputed(self) -> tuple[Link, ...]:
        """The links without numbers: they are inspected, one by one."""
        return tuple(link for link in self.links if not link.computed and link.inspection_key)
