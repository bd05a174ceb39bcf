"""Random hold paths against virtual work, and what must hold of every one of them."""

import copy
from datetime import UTC, datetime
from random import Random

import pytest

from pitcrew.domain.holding.links import HoldPath, LastReading, Measured
from tests.domain.holding.random_paths import Sheet, path_of, random_sheet
from tests.domain.holding.virtual_work import loads_of, si

AT = datetime(2026, 3, 7, tzinfo=UTC)
THIN, WIDE = range(120), range(1000, 4000)
DEVICE_RADII = {"ratchet": "pawl_radius", "pin": "radius"}


def same_as_virtual_work(seed: int) -> None:
    """Every link of every step carries what virtual work says, with an idle pulley's axle carrying
    its rope twice (half a turn), and a tooth or pin the torque over its radius."""
    sheet = random_sheet(seed)
    path, parts = path_of(sheet), {part["id"]: part for part in sheet["part"]}
    loads, seen = loads_of(sheet), 0
    steps = {step.get("part") or step["name"]: step for step in sheet["hold_path"]["step"]}
    for link in path.links:
        name, _, what = link.name.partition(", ")
        if link.kind != "hold" or name not in loads or link.load is None:
            continue
        pull, torque = loads[name]
        part, step = parts.get(name, {}), steps[name]
        kind = part.get("kind", "")
        if kind in DEVICE_RADII and torque is not None and what != "width":
            pull = torque / si(part[DEVICE_RADII[kind]])
        if kind == "pulley" and "hands_on" not in step:
            pull = None if pull is None else 2 * pull
        wanted = pull if link.unit == "N" else torque
        assert wanted == pytest.approx(link.load), (seed, link.name, step)
        seen += 1
    assert seen, seed


def test_every_load_is_the_one_of_virtual_work() -> None:
    for seed in THIN:
        same_as_virtual_work(seed)


@pytest.mark.soak
def test_every_load_is_the_one_of_virtual_work_over_many_paths() -> None:
    for seed in WIDE:
        same_as_virtual_work(seed)


def number(text: str | float, times: float = 1.0, plus: float = 0.0) -> str | float:
    """A quantity of a random sheet, changed, in its own unit."""
    if not isinstance(text, str):
        return text * times + plus
    value, unit = text.split()
    return f"{float(value) * times + plus:.9f} {unit}"


def kinds(sheet: Sheet, *names: str) -> list[Sheet]:
    return [part for part in sheet["part"] if part["kind"] in names]


def heavier(sheet: Sheet, draw: Random) -> None:
    mass = sheet["robot"]["mass"]
    mass["chassis"] = number(mass["chassis"], draw.uniform(1, 2.5))


def more_layers(sheet: Sheet, draw: Random) -> None:
    for step in sheet["hold_path"]["step"]:
        if "layers" in step:
            step["layers"] += draw.randint(1, 4)


def longer_fall(sheet: Sheet, draw: Random) -> None:
    path = sheet["hold_path"]
    path["latency"] = number(path["latency"], draw.uniform(1, 3), 0.01)
    path["fall_speed"] = number(path["fall_speed"], draw.uniform(1, 3), 0.01)
    for part in sheet["part"]:
        for key in ("spacing", "lost_motion"):
            if key in part:
                part[key] = number(part[key], draw.uniform(1, 3))


def stiffer(sheet: Sheet, draw: Random) -> None:
    path = sheet["hold_path"]
    for key in ("deflection", "free_length"):
        if key in path:
            path[key] = number(path[key], draw.uniform(0.5, 1))


def worse_friction(sheet: Sheet, draw: Random) -> None:
    for part in kinds(sheet, "brake", "worm"):
        if "friction" in part:
            part["friction"] = max(part["friction"] * draw.uniform(0.3, 1), 0.01)
        if "efficiency" in part:
            part["efficiency"] = min(part["efficiency"] * draw.uniform(1, 2), 1.0)


def wider_swing(sheet: Sheet, draw: Random) -> None:
    path = sheet["hold_path"]
    path["swing"] = number(path["swing"], 1, draw.uniform(0, 30))


def stronger_motor(sheet: Sheet, draw: Random) -> None:
    motor = sheet["hold_path"]["motor"]
    if "stall_torque" in motor:
        motor["stall_torque"] = number(motor["stall_torque"], draw.uniform(1, 3))
        motor["count"] += draw.randint(0, 2)


def longer_lever(sheet: Sheet, draw: Random) -> None:
    """Of arms alone: a drum that is wider bends its rope less, and the levers of a chain stage
    count the other way on its second shaft. A chain behind a longer arm gives more, which softens
    the catch, so only where the give is measured."""
    if "deflection" not in sheet["hold_path"]:
        return
    for part in kinds(sheet, "arm"):
        part["length"] = number(part["length"], draw.uniform(1, 2))
        motor = sheet["hold_path"]["motor"]
        if "stall_torque" in motor:  # a motor pulls less on it: give it that back
            motor["stall_torque"] = number(motor["stall_torque"], 2)


def no_equalizer(sheet: Sheet, draw: Random) -> None:
    for step in sheet["hold_path"]["step"]:
        if "equaliser" in step:
            step["equaliser"] = False


def weaker(sheet: Sheet, draw: Random) -> None:
    stretches = "deflection" not in sheet["hold_path"]
    for part in sheet["part"]:
        if stretches and part["kind"] == "cord":
            continue  # a weaker cord gives more, which softens the catch
        for key in ("strength", "torque_strength", "tooth_strength", "rated_torque"):
            if key in part:
                part[key] = number(part[key], draw.uniform(0.5, 1))


WORSE = (
    heavier,
    more_layers,
    longer_fall,
    stiffer,
    worse_friction,
    wider_swing,
    stronger_motor,
    longer_lever,
    no_equalizer,
    weaker,
)
AGAIN = {
    "strength": ("N", 300, 30000),
    "torque_strength": ("N*m", 5, 900),
    "radius": ("mm", 5, 300),
}


def stated_twice(sheet: Sheet, draw: Random) -> None:
    """A number that a part has, or computes, is stated once more on a step, whatever it says."""
    parts = {part["id"]: part for part in sheet["part"]}
    for step in sheet["hold_path"]["step"]:
        part = parts.get(step.get("part", ""))
        if part is None:
            continue
        for key, (unit, low, high) in AGAIN.items():
            turns = step.get("hands_on") in ("drum", "sprocket", "pulley", "arm")
            has_radius = turns or (step.get("holds") == "pin")
            if key not in step and (key != "radius" or has_radius) and draw.random() < 0.6:
                step[key] = f"{draw.uniform(low, high):.3f} {unit}"


def thinner_rope(sheet: Sheet, draw: Random) -> Measured:
    """A rope that was measured thinner than new."""
    return Measured(
        {
            (part["id"], "diameter"): LastReading(si(part["diameter"]) * draw.uniform(0.5, 1), AT)
            for part in kinds(sheet, "wire-rope", "cord")
        }
    )


def least(path: HoldPath) -> dict[tuple[str, str], float | None]:
    """The smallest factor of each link by name and unit, its strengths taken together; None where
    it has none."""
    found: dict[tuple[str, str], float | None] = {}
    for link in path.links:
        if link.kind in ("hold", "bending", "size"):
            name = link.name.removesuffix(", torque")
            known = [item for item in (found.get((name, link.unit)), link.factor) if item]
            found[name, link.unit] = min(known, default=None)
    return found


def never_higher(seed: int, before: HoldPath, after: HoldPath, what: str) -> None:
    """No link has a larger factor than before, none vanished, and no row does: a catch or a swing
    by its share, whatever link it is told of."""
    was, now = least(before), least(after)
    assert {name for name, _ in was} <= {name for name, _ in now}, (seed, what)
    for key, factor in was.items():
        if factor is not None:
            assert key in now, (seed, what, key)
            assert (now[key] or 0.0) <= factor * (1 + 1e-9), (seed, what, key)
    for kind in ("catch", "swing", "stall", "second"):
        old, new = ([link for link in path.links if link.kind == kind] for path in (before, after))
        assert len(old) == len(new), (seed, what, kind)
        if old and new[0].computed and old[0].computed:
            assert new[0].share <= old[0].share * (1 + 1e-9), (seed, what, kind)
    assert len(before.not_stated) <= len(after.not_stated), (seed, what)


def worse_never_helps(seed: int) -> None:
    sheet, draw = random_sheet(seed), Random(seed)
    before = path_of(sheet)
    for change in (*WORSE, stated_twice):
        worse = copy.deepcopy(sheet)
        change(worse, draw)
        if worse != sheet:
            never_higher(seed, before, path_of(worse), change.__name__)
    thin = path_of(sheet, thinner_rope(sheet, draw))
    never_higher(seed, before, thin, "thinner rope")


def test_worse_facts_never_raise_a_factor_of_a_random_path() -> None:
    for seed in range(40):
        worse_never_helps(seed)


@pytest.mark.soak
def test_worse_facts_never_raise_a_factor_of_many_random_paths() -> None:
    for seed in WIDE:
        worse_never_helps(seed)
