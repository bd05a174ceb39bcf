"""checklists/README.md tells the truth: its tables are those of the code, and its examples load
without a mistake."""

import re
import tomllib

from pitcrew.domain.checks.definitions import build_definitions
from pitcrew.domain.robot.hold_path import read_hold_path
from pitcrew.domain.robot.mistakes import Mistakes
from tests.write_format import PAGE, page_with_tables

TEXT = PAGE.read_text(encoding="utf-8")


def test_tables_are_current() -> None:
    """`python -m tests.write_format` brings them up to date."""
    assert page_with_tables(TEXT) == TEXT


def test_the_examples_load_together_without_a_mistake() -> None:
    sheet, climb, checklist = (
        tomllib.loads(block) for block in re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)
    )
    definitions = build_definitions(
        {"climb_planned": False}, {"robots/tern.toml": sheet}, {"checklists/mine.toml": checklist}
    )
    assert [mistake.sentence for mistake in definitions.mistakes] == []
    mistakes = Mistakes("robots/tern.toml")
    kinds = {
        "climb.rope": "wire-rope",
        "climb.drum": "drum",
        "climb.ratchet": "ratchet",
        "climb.mount-bolts": "bolted-joint",
        "climb.hook": "hook",
    }
    path = read_hold_path(climb["hold_path"], kinds, mistakes)
    assert path is not None and path.device == "ratchet" and mistakes.found == []
    (item,) = definitions.part_checks.values()
    assert (
        item.key == "our-chain-slack@lift.chain.left"
        and item.limit is not None
        and item.limit.stop_high is not None
    )
    assert item.check.how == "One finger at mid-span of the 412 mm; measure the whole travel."
