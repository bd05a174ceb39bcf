"""Random hold paths that could be built: every transfer, every holding device, parts and own links,
what is beside, with numbers of the size that a student robot has.

`random_sheet(seed)` gives a build sheet as the table that `parse_build_sheet` reads, in the units
mm, N, kN, N*m, kg, deg, MPa and s, without a mistake; the same seed gives the same sheet. A test
changes or deletes an entry of the table and computes it again with `path_of`. All numbers are
invented. `loads_of` in `virtual_work.py` works out what each of its steps carries by another way
than the program's."""

import tomllib
from random import Random
from typing import Any

from pitcrew.base.settings import read_settings
from pitcrew.domain.holding.links import HoldPath, Measured
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.robot.buildsheet import parse_build_sheet
from tests.domain.holding.sheets import HEAD

Sheet = dict[str, Any]
DEFAULTS = read_settings({})[0]
CORDS = ("hmpe", "polyester", "nylon")
SIZES = ("25", "35", "40")
TURNED = ("ratchet", "closed", "pads", "band", "one-way", "worm", "pin", "motor-brake", "none")
"""Devices that can hold a torque; a brake by its style."""
TURNS = ("drum", "sprocket", "pulley", "arm")
PULLED = ("ratchet", "over-center", "pin", "none")
"""Devices that can hold a pull."""


def path_of(sheet: Sheet, measured: Measured | None = None) -> HoldPath:
    """The computed path of a sheet that must load without a mistake."""
    robot, mistakes = parse_build_sheet(sheet, "robots/random.toml")
    assert not [item for item in mistakes if not item.notice], mistakes
    return hold_path(robot, DEFAULTS, measured)


def random_sheet(seed: int) -> Sheet:
    """The build sheet of a robot with a random hold path; the same one for the same seed."""
    return _Maker(Random(seed)).sheet()


class _Maker:
    """Draws one path from the bar down, and keeps the parts that it needs."""

    def __init__(self, draw: Random) -> None:
        self.draw = draw
        self.parts: list[Sheet] = []
        self.steps: list[Sheet] = []
        self.made = 0

    def mm(self, low: float, high: float) -> str:
        return f"{self.draw.uniform(low, high):.3f} mm"

    def newton(self, low: float, high: float) -> str:
        return f"{self.draw.uniform(low, high):.1f} N"

    def torque(self, low: float, high: float) -> str:
        return f"{self.draw.uniform(low, high):.2f} N*m"

    def maybe(self, chance: float = 0.5) -> bool:
        return self.draw.random() < chance

    def add(self, kind: str, specs: Sheet, **said: Any) -> None:
        """A step at a new part of a kind."""
        self.made += 1
        name = f"climb.{kind}-{self.made}"
        self.parts.append({"id": name, "label": name, "zone": "climb", "kind": kind, **specs})
        self.steps.append({"part": name, **said})

    def own(self, **said: Any) -> None:
        """A step at a link that is no part."""
        self.made += 1
        self.steps.append({"name": f"link {self.made}", **said})

    def sheet(self) -> Sheet:
        self.bar()
        if self.maybe(0.8):
            self.turn()
        else:
            self.device(self.draw.choice(PULLED))
        mass = f"{self.draw.uniform(30, 70):.2f} kg"
        sheet = tomllib.loads(HEAD.format(mass=mass))
        return {**sheet, "part": self.parts, "hold_path": self.path()}

    def bar(self) -> None:
        """What hangs on the bar, up to the first thing that turns."""
        self.add("hook", {"opening": "50 mm", "strength": self.newton(4000, 12000)})
        if self.maybe(0.3):
            self.own(strength=self.newton(5000, 20000), material="metal")
        if self.maybe(0.3):
            self.add("carriage", {"strength": self.newton(5000, 20000)}, **self.shared())
        if self.maybe(0.2):
            self.add("pulley", {"diameter": self.mm(60, 90), "strength": self.newton(4000, 9000)})

    def shared(self) -> Sheet:
        """A word that lets a pull stay a pull, or none."""
        word = self.draw.choice(("", "", "lines", "ratio"))
        equal = self.maybe()
        if word == "lines":
            return {"hands_on": word, "lines": self.draw.randint(1, 3), "equaliser": equal}
        if word == "ratio":
            ratio = round(self.draw.uniform(0.5, 3), 3)
            sides = self.draw.randint(1, 2)
            return {"hands_on": word, "ratio": ratio, "sides": sides, "equaliser": equal}
        return {}

    def turn(self) -> None:
        """From a pull to a torque, on to another shaft where it likes, down to a device."""
        self.draw.choice((self.winch, self.winch, self.chain, self.belt, self.arm))()
        if self.maybe(0.3):
            self.own(hands_on="gear", ratio=round(self.draw.uniform(0.4, 8), 3))
        if self.maybe(0.4):
            shape = self.draw.choice(("round", "hex"))
            made = {"shape": shape, "size": self.mm(10, 20), "yield_strength": "400 MPa"}
            self.add("shaft", made | ({"span": self.mm(30, 90)} if self.maybe() else {}))
        if self.maybe(0.25):
            self.stage()
        self.device(self.draw.choice(TURNED))

    def falls(self) -> Sheet:
        if self.maybe(0.3):
            return {"hands_on": "falls", "falls": self.draw.randint(1, 4)}
        return self.shared()

    def winch(self) -> None:
        sheave = self.mm(60, 90)
        if self.maybe():
            made = {"construction": "7x19", "material": "carbon", "termination": "sleeve"}
            self.add(
                "wire-rope", {"diameter": "3.175 mm", "sheave": sheave, **made}, **self.falls()
            )
        else:
            fiber = self.draw.choice(CORDS)
            made = {"fiber": fiber, "strength": self.newton(8000, 15000), "knot": "bowline"}
            self.add("cord", {"diameter": self.mm(3, 6), "sheave": sheave, **made}, **self.falls())
        drum = {"diameter": self.mm(40, 90), "torque_strength": self.torque(100, 400)}
        self.add("drum", drum, hands_on="drum", layers=self.draw.randint(1, 4))

    def run(self, size: str, **said: Any) -> None:
        made = {"span": "300 mm", "duty": "shock", "teeth": 16, "link": "connecting link"}
        made |= {"stiffness": self.newton(100e3, 500e3)}
        self.add("roller-chain", {"size": size, **made}, **said)

    def wheel(self, size: str) -> None:
        made = {"size": size, "teeth": self.draw.randint(10, 60)}
        if self.maybe():
            made["torque_strength"] = self.torque(100, 400)
        self.add("sprocket", made, hands_on="sprocket")

    def chain(self) -> None:
        size = self.draw.choice(SIZES)
        self.run(size, **self.shared())
        self.wheel(size)

    def stage(self) -> None:
        """A chain from one shaft to the next."""
        size = self.draw.choice(SIZES)
        self.wheel(size)
        self.run(size)
        self.wheel(size)

    def belt(self) -> None:
        made = {"pitch": "5 mm", "centre": "300 mm", "diameter1": "40 mm", "diameter2": "40 mm"}
        held = {
            "tension": "100 N",
            "measured_by": "deflection",
            "stiffness": "200000 N",
            "strength": self.newton(4000, 9000),
        }
        self.add("timing-belt", made | held, **self.shared())
        if self.maybe():
            self.add("pulley", {"teeth": 24, "pitch": "5 mm"}, hands_on="pulley")
        else:
            self.add("pulley", {}, hands_on="pulley", radius=self.mm(15, 40))

    def arm(self) -> None:
        made = {"length": self.mm(200, 500), "strength": self.newton(2000, 9000)}
        self.add("arm", made, hands_on="arm")

    def device(self, name: str) -> None:
        kind, specs = {
            "ratchet": self.ratchet,
            "closed": self.closed,
            "pads": self.pads,
            "band": self.band,
            "one-way": self.one_way,
            "worm": self.worm,
            "over-center": self.linkage,
            "pin": self.pin,
        }.get(name, lambda: ("", {}))()
        word = "brake" if kind == "brake" else name
        if kind:
            self.add(kind, specs, holds=word)
        else:
            self.own(holds=word)

    def ratchet(self) -> tuple[str, Sheet]:
        made = {"tooth_strength": self.newton(4000, 20000), "width": self.mm(10, 40)}
        if not any(step.get("hands_on") in TURNS for step in self.steps):
            return "ratchet", made | {"pitch": self.mm(4, 12)}
        made |= {"teeth": self.draw.randint(12, 40), "pawl_radius": self.mm(20, 60)}
        return "ratchet", made

    def closed(self) -> tuple[str, Sheet]:
        return "brake", {"style": "closed", "rated_torque": self.torque(20, 200)}

    def lining(self) -> Sheet:
        return {"friction": round(self.draw.uniform(0.05, 0.4), 3)}

    def pads(self) -> tuple[str, Sheet]:
        made = {"style": "pads", "force": self.newton(200, 900), "faces": 2, **self.lining()}
        return "brake", made | {"outer": self.mm(60, 90), "inner": self.mm(20, 50)}

    def band(self) -> tuple[str, Sheet]:
        made = {"style": "band", "angle": "270 deg", **self.lining()}
        return "brake", made | {"tension": self.newton(50, 500), "drum": self.mm(50, 100)}

    def one_way(self) -> tuple[str, Sheet]:
        made = {"rated_torque": self.torque(20, 200), "hardened_shaft": True}
        return "one-way", made | {"lost_motion": f"{self.draw.uniform(0, 5):.2f} deg"}

    def worm(self) -> tuple[str, Sheet]:
        made = {"efficiency": round(self.draw.uniform(0.2, 0.8), 2)}
        return "worm", made | {"torque_strength": self.torque(20, 200)}

    def linkage(self) -> tuple[str, Sheet]:
        made = {"past_center": self.mm(1, 5), "stop": True, "latch": True}
        return "linkage", made | {"strength": self.newton(4000, 9000)}

    def pin(self) -> tuple[str, Sheet]:
        made = {"diameter": self.mm(6, 12), "planes": 2, "plate": self.mm(4, 8)}
        made |= {"yield_strength": "400 MPa", "radius": self.mm(15, 60)}
        return "pin", made | {"spacing": self.mm(2, 20)}

    def beside(self) -> list[Sheet]:
        """Mounts of the first step across its pull, a pin on the circle of the first thing that
        turns, or a lashing along the first step's pull."""
        found: list[Sheet] = []
        first = self.steps[0]["part"]
        if self.maybe(0.4):
            held = {"strength": self.newton(5000, 20000), "material": "metal"}
            found.append({"name": "mounts", "with": first, "carries": "shear", **held})
        if self.maybe(0.3):
            held = {"strength": self.newton(5000, 20000), "material": "textile"}
            found.append({"name": "lashing", "with": first, "carries": "pull", **held})
        turned = [item for item in self.steps if item.get("hands_on") in ("drum", "arm")]
        if turned and self.maybe():
            held = {"strength": self.newton(5000, 20000), "material": "metal"}
            held |= {"carries": "torque", "radius": self.mm(15, 40)}
            found.append({"name": "bolt circle", "with": turned[0]["part"], **held})
        return found

    def path(self) -> Sheet:
        latency, speed = round(self.draw.uniform(0, 0.2), 3), round(self.draw.uniform(0, 0.5), 3)
        path: Sheet = {
            "latency": f"{latency} s",
            "fall_speed": f"{speed} m/s",
            "swing": f"{self.draw.uniform(0, 40):.1f} deg",
            "deflection": self.mm(3, 20),
            "step": self.steps,
            "beside": self.beside(),
        }
        if self.maybe(0.3):  # then the member that stretches is computed alone
            del path["deflection"]
            path["free_length"] = self.mm(200, 900)
        stalls = {"stall_torque": self.torque(0.5, 3), "count": self.draw.randint(1, 3)}
        path["motor"] = (
            stalls | {"ratio": self.draw.randint(5, 60)} if self.maybe() else {"count": 0}
        )
        path["second"] = {"count": self.draw.randint(1, 3), "equaliser": self.maybe()}
        return path
