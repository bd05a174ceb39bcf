"""One number taken out of a random hold path: no link looks stronger for it, and no row speaks for
a link that has no number."""

import pytest

from pitcrew.domain.holding.links import HoldPath
from tests.domain.holding.random_paths import path_of, random_sheet
from tests.domain.holding.sheets import beside, computed, link, part, row, step, table
from tests.domain.holding.test_left_out import TURNED, row_of, without_one
from tests.domain.holding.test_left_out import computed as loaded

THIN, WIDE = range(0, 200, 8), range(3000, 4000)
MOVING = ("catch", "swing", "stall", "second")
HELD = ("hold", "bending", "size")


def nothing_helps(seed: int) -> None:
    """Deleting any number of a random sheet raises no factor, makes no climb ready that was not,
    and leaves each row to say which links it does not know."""
    sheet = random_sheet(seed)
    whole = path_of(sheet)
    for what, other in without_one(sheet):
        less = loaded(other)  # None: the sheet has a mistake, which blocks by itself
        if less is not None:
            no_factor_rises(whole, less, (seed, what))
            rows_speak(whole, less, (seed, what))
            if not less.not_stated:
                assert not whole.not_stated, (seed, what)
                gone = parts_of(whole, computed=True) - parts_of(less, computed=True)
                assert gone <= parts_of(less, computed=False), (seed, what, "nobody looks")


def parts_of(path: HoldPath, computed: bool) -> set[str]:
    """The places whose links have numbers, or those that are looked at."""
    found = {item.part or item.name for item in path.links if item.kind in HELD and item.computed}
    return found if computed else {item.part or item.name for item in path.uncomputed}


def no_factor_rises(whole: HoldPath, less: HoldPath, where: object) -> None:
    before = {item.name: item.factor for item in whole.links if item.kind in HELD}
    for item in less.links:
        if item.kind in HELD and item.factor is not None and item.name in before:
            old = before[item.name]
            assert old is not None and item.factor <= old * (1 + 1e-9), (where, item.name)


def rows_speak(whole: HoldPath, less: HoldPath, where: object) -> None:
    """A row with a better number than before is not of all links any more, and says so."""
    for kind in MOVING:
        old, new = row_of(whole, kind), row_of(less, kind)
        assert old is None or new is not None, (where, kind, "gone")
        if old and new and new.factor is not None:
            assert old.factor is not None, (where, kind)
            if new.share > old.share * (1 + 1e-9) and not less.not_stated:
                assert "Not known for" in new.because and "Worst" not in new.name, (where, kind)


def test_taking_a_number_out_of_a_random_path_never_helps() -> None:
    for seed in THIN:
        nothing_helps(seed)


@pytest.mark.soak
def test_taking_a_number_out_of_many_random_paths_never_helps() -> None:
    for seed in WIDE:
        nothing_helps(seed)


RING = {"with": "a.drum", "carries": "torque", "strength": "900 N", "material": "metal"}
END = step("a.wheel", holds="ratchet")


def test_a_force_stated_of_what_carries_a_torque_is_not_as_good_as_none() -> None:
    """Statics: the drum's torque is W × (40 + 2) mm, on a circle of 20 mm a force of 2.1 W. Without
    the radius no one can set the 900 N against it, and they must not vanish."""
    path = computed(*TURNED, END, table("beside", name="ring", radius="20 mm", **RING))
    assert path.loads is not None
    assert link(path, "ring").load == pytest.approx(2.1 * path.loads.weight)
    assert link(path, "ring") in path.too_weak
    path = computed(*TURNED, END, table("beside", name="ring", **RING))
    assert not link(path, "ring").computed
    assert "ring: radius of the circle" in path.not_stated


def test_a_rope_behind_a_pulley_of_unknown_size_is_bent_over_the_worst() -> None:
    """The published bend table keeps 50 % over a pin of one rope diameter; a pulley on the way that
    states no diameter may be that small, whatever the sheet says of the smallest one."""
    idle = part("a.idle", "pulley", strength="9 kN")
    drum, first = TURNED.index(step("a.drum", hands_on="drum", layers=1)), step("a.idle")
    known = part("a.idle", "pulley", strength="9 kN", diameter="80 mm")
    steps = (*TURNED[:drum], first, *TURNED[drum:], END)
    whole, less = computed(known, *steps), computed(idle, *steps)
    assert set(less.not_stated) - set(whole.not_stated) == {"a.rope: diameter of a.idle"}
    assert link(less, "a.rope").strength == pytest.approx(9000 * 0.5)
    assert link(whole, "a.rope").strength > 9000 * 0.5


def test_without_the_falls_nobody_knows_the_pull() -> None:
    said = step("a.rope", hands_on="falls")
    path = computed(*[said if text == step("a.rope") else text for text in TURNED], END)
    assert not link(path, "a.wheel, tooth").computed
    assert any("parts of the line" in need for need in path.not_stated)


@pytest.mark.parametrize("said", [{"hands_on": "lines"}, {"hands_on": "ratio", "ratio": 1}])
def test_without_their_number_lines_and_sides_do_not_give_like_a_single_one(
    said: dict[str, object],
) -> None:
    """Three lines through an equalizer stretch a third of one (Hooke), which the catch feels."""
    count = "lines" if said["hands_on"] == "lines" else "sides"
    ways = [step("a.rope", **said, **{count: many}, equaliser=True) for many in (3, None)]
    whole, less = (
        computed(*[way if text == step("a.rope") else text for text in TURNED], END) for way in ways
    )
    assert set(less.not_stated) - set(whole.not_stated) == {f"a.rope: {count}"}


def test_every_row_names_the_links_that_it_cannot_speak_for() -> None:
    """A swing, a stall and a winch that lets go load a hook without a number as well."""
    hook = part("a.hook", "hook", opening="50 mm")
    moving = {
        table("motor", count=0): table("motor", stall_torque="1 N*m", count=1, ratio=10),
        table("second", count=1): table("second", count=2),
        step("a.rope"): step("a.hook") + step("a.rope"),
    }
    path = computed(hook, *[moving.get(text, text) for text in TURNED], END)
    for kind in MOVING:
        assert row(path, kind).computed and "Not known for a.hook" in row(path, kind).because


def test_a_lashing_beside_the_path_still_counts_by_its_force() -> None:
    """What stands beside with the strength that its load asks for lacks nothing."""
    rope = beside("a.cord", "a.rope", "pull")
    cord = {"diameter": "4 mm", "fiber": "polyester", "sheave": "80 mm", "knot": "none"}
    made = part("a.cord", "cord", strength="9 kN", **cord)
    assert link(computed(made, *TURNED, END, rope), "a.cord").computed
