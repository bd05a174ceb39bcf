"""Random hold paths, with what each step must carry by virtual work: a second way to it that shares
nothing with the program.

`travel` is how far a member moves, or how far it turns in rad, when the robot sinks by 1 m; without
friction the load times its movement is the robot's weight times 1 m (any book of statics).
"""

import math
from dataclasses import dataclass, field
from random import Random
from typing import Any

from tests.domain.holding.sheets import HEAD, STILL, G

STRONG, STIFF = "90 kN", "9000 N*m"
PITCH = {"25": 6.35e-3, "35": 9.525e-3, "40": 12.7e-3}
"""ASME B29.1, m."""


@dataclass
class Made:
    """A path as tables of a build sheet, and by name the load in N or N*m that each step must
    show."""

    mass: float
    parts: list[dict[str, Any]] = field(default_factory=list)
    steps: list[dict[str, Any]] = field(default_factory=list)
    loads: dict[str, float] = field(default_factory=dict)

    def sheet(self) -> str:
        """The build sheet in TOML."""
        tables = [_toml("[[part]]", part) for part in self.parts]
        head = {"latency": "0.1 s", "fall_speed": "0.2 m/s", "swing": "10 deg"}
        tables.append(_toml("[hold_path]", head | {"deflection": "9 mm"}))
        tables += [STILL, *(_toml("[[hold_path.step]]", step) for step in self.steps)]
        return HEAD.format(mass=f"{self.mass} kg") + "\n".join(tables)


def _toml(head: str, values: dict[str, Any]) -> str:
    lines = [
        f"{key} = {str(value).lower() if isinstance(value, bool | int | float) else repr(value)}"
        for key, value in values.items()
    ]
    return "\n".join([head, *lines, ""]).replace("'", '"')


class Maker:
    """Adds step after step, each of a way that fits what arrives, until a device ends it."""

    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)
        self.made = Made(self.rng.uniform(20, 70))
        self.weight = self.made.mass * G
        self.travel, self.turning, self.rope = 1.0, False, 0.0

    def make(self) -> Made:
        """A path of three to eight steps."""
        for _ in range(self.rng.randint(2, 7)):
            ways = self._turning_ways() if self.turning else self._pulling_ways()
            self.rng.choice(ways)()
        if not self.turning:
            self.rng.choice((self._drum, self._sprocket, self._pulley, self._arm))()
        self._end()
        return self.made

    def _pulling_ways(self) -> list[Any]:
        ways = [self._own, self._cord, self._lines, self._falls, self._ratio]
        return [*ways, self._drum, self._sprocket, self._pulley, self._arm]

    def _turning_ways(self) -> list[Any]:
        return [self._own, self._gear, self._gear, self._sprocket, self._pulley, self._arm]

    @property
    def load(self) -> float:
        return self.weight / self.travel

    def _step(self, load: float, **values: Any) -> str:
        name = f"s{len(self.made.steps)}"
        self.made.steps.append({"name": name, "material": "metal"} | values)
        self.made.loads[name] = load
        return name

    def _strong(self) -> dict[str, str]:
        return {"torque_strength": STIFF} if self.turning else {"strength": STRONG}

    def _own(self) -> None:
        self._step(self.load, **self._strong())

    def _part(self, kind: str, **specs: Any) -> str:
        name = f"p.{kind}{len(self.made.parts)}"
        self.made.parts.append({"id": name, "label": name, "zone": "climb", "kind": kind} | specs)
        return name

    def _cord(self) -> None:
        self.rope = self.rng.choice((3.0, 4.0, 6.0)) / 1000
        cord = {"diameter": f"{self.rope * 1000:g} mm", "fiber": "polyester", "knot": "none"}
        part = self._part("cord", **cord, strength=STRONG, sheave="90 mm")
        self.made.steps.append({"part": part})
        self.made.loads[part] = self.load

    def _lines(self) -> None:
        count, equal = self.rng.randint(1, 4), self.rng.random() < 0.5
        each = self.load / count if equal else self.load
        self._step(each, strength=STRONG, hands_on="lines", lines=count, equaliser=equal)

    def _falls(self) -> None:
        falls = self.rng.randint(1, 4)
        self.travel *= falls
        self._step(self.load, strength=STRONG, hands_on="falls", falls=falls)

    def _ratio(self) -> None:
        """The driven member of a lift: the hook moves `ratio` times as far, whatever came
        before."""
        ratio, sides = round(self.rng.uniform(0.5, 3), 3), self.rng.randint(1, 2)
        equal = self.rng.random() < 0.5
        self.travel = 1 / ratio
        each = self.load / sides if equal else self.load
        named = {"ratio": ratio, "sides": sides, "equaliser": equal}
        self._step(each, strength=STRONG, hands_on="ratio", **named)

    def _lever(self, kind: str, radius: float, **specs: Any) -> None:
        """Force to torque or back, on a part or with the radius on the step, or the worse of
        both."""
        step: dict[str, Any] = {"hands_on": kind}
        if self.rng.random() < 0.3:
            other = round(radius * self.rng.uniform(0.3, 1.7), 4)
            step["radius"] = f"{other * 1000:g} mm"
            radius = min(radius, other) if self.turning else max(radius, other)
        self.travel = self.travel * radius if self.turning else self.travel / radius
        self.turning = not self.turning
        part = self._part(kind, **specs)
        self.made.steps.append({"part": part, **step, **self._strong()})
        self.made.loads[part] = self.load

    def _sprocket(self) -> None:
        size, teeth = self.rng.choice(tuple(PITCH)), self.rng.randint(9, 40)
        radius = PITCH[size] / (2 * math.sin(math.pi / teeth))
        self._lever("sprocket", radius, size=size, teeth=teeth)

    def _pulley(self) -> None:
        diameter = self.rng.randint(20, 200)
        self._lever("pulley", diameter / 2000, diameter=f"{diameter} mm")

    def _arm(self) -> None:
        length = self.rng.randint(50, 900)
        self._lever("arm", length / 1000, length=f"{length} mm")

    def _drum(self) -> None:
        """A bare drum with so many layers of the rope that arrives."""
        if not self.rope:
            self._cord()
        bare, layers = self.rng.randint(30, 120), self.rng.randint(1, 4)
        radius = bare / 2000 + self.rope * (layers - 0.5)
        self.travel /= radius
        self.turning = True
        part = self._part("drum", diameter=f"{bare} mm")
        turned = {"hands_on": "drum", "layers": layers}
        self.made.steps.append({"part": part, **turned, **self._strong()})
        self.made.loads[part] = self.load

    def _gear(self) -> None:
        """The next shaft turns `ratio` times as fast."""
        ratio = round(self.rng.uniform(0.2, 12), 3)
        arriving = self.load
        self.travel *= ratio
        self._step(arriving, torque_strength=STIFF, hands_on="gear", ratio=ratio)

    def _end(self) -> None:
        """A ratchet on a torque: the pawl bears it at its radius."""
        if self.turning:
            radius = self.rng.randint(15, 80)
            wheel = {"teeth": 24, "tooth_strength": STRONG, "width": "30 mm"}
            part = self._part("ratchet", pawl_radius=f"{radius} mm", **wheel)
            self.made.steps.append({"part": part, "holds": "ratchet"})
            self.made.loads[f"{part}, tooth"] = self.load / (radius / 1000)


def random_path(seed: int) -> Made:
    """The path of a seed, always the same."""
    return Maker(seed).make()
