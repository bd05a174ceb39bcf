"""Random hold paths against virtual work, and what must hold of every one of them."""

import pytest

from tests.domain.holding.random_paths import path_of, random_sheet
from tests.domain.holding.virtual_work import loads_of, si

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
