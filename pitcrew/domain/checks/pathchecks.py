"""The checks that come from the hold path instead of a file: a look at each link that no one can
compute, and its proof load."""

from functools import cache
from typing import Any

from pitcrew.domain.checks.checklists import Check, parse_checklist
from pitcrew.domain.holding.links import HoldPath

PATH_LIST = "hold-path"
LOOK, PROOF = "path-look", "path-proof"
SOURCE = "common practice"
_LOOK: dict[str, Any] = {
    "id": LOOK,
    "part": "*",
    "label": "Whole, by eye and hand",
    "ask": "Whole, straight, marks whole?",
    "how": (
        "By torch, all around, from the bar to the floor. Pull and push by hand. "
        "Look for a line, a bend, dust, a broken paint mark."
    ),
    "drawing": LOOK,
    "minutes": 0.1,
    "power": "off",
    "cautions": ["Nothing may hang on it.", "Fingers out of hooks, teeth and gears."],
    "due": ["before a climb", "after a hard hit", "after repair", "after part change"],
    "must": True,
    "input": [
        {
            "name": "seen",
            "label": "What you see",
            "kind": "choice",
            "options": {"whole": "ok", "something": "stop", "cannot see": "unjudged"},
        },
    ],
    "limit": {
        "because": "Nothing computes this link, so somebody looks at it.",
        "source": SOURCE,
        "say": {
            "stop": "No climb: say what it is, look closer, change it.",
            "unjudged": "Open it up until you see it, or no climb.",
        },
    },
}
_PROOF: dict[str, Any] = {
    "id": PROOF,
    "part": "*",
    "label": "Proof load at home",
    "ask": "Loaded with {1.5 * robot.mass} for a minute: any dent, crack or moved mark?",
    "how": (
        "On a bar at home: the robot with ballast strapped on, {1.5 * robot.mass} in all, "
        "50 mm over blocks, 1 min. Then look."
    ),
    "drawing": PROOF,
    "minutes": 20,
    "hands": 3,
    "power": "off",
    "cautions": [
        "Nobody under it, and blocks under it all the time.",
        "Let it down before hands go near.",
        "An adult is there.",
    ],
    "due": [],
    "must": False,
    "input": [
        {"name": "load", "label": "Load", "kind": "number", "unit": "kg", "least": 0, "most": 500},
        {"name": "time", "label": "Time", "kind": "number", "unit": "s", "least": 0, "most": 3600},
        {
            "name": "seen",
            "label": "Afterwards",
            "kind": "choice",
            "options": {
                "no dent, crack or moved mark": "ok",
                "a dent, a crack or a moved mark": "stop",
                "cannot see": "unjudged",
            },
        },
    ],
    "limit": {
        "because": (
            "It counts as a look until it is changed or hit; it is no factor and covers no catch."
        ),
        "source": (
            "1.5 times: static test of hand-worked lifting gear "
            "(2006/42/EC annex I 4.1.2.3, from memory)"
        ),
        "unjudged_when": [
            {
                "if": "load < 1.5 * robot.mass",
                "say": (
                    "Less than {1.5 * robot.mass} proves nothing. Strap on more and load it again."
                ),
            },
            {"if": "time < 60 s", "say": "Less than 1 min proves nothing. Load it again."},
        ],
        "say": {"stop": "No climb: change it.", "unjudged": "Look again in better light."},
    },
}


@cache
def path_checks() -> tuple[Check, Check]:
    """The look and the proof load, not yet made for a part."""
    table = {"checklist": {"name": PATH_LIST, "label": "Hold path"}, "check": [_LOOK, _PROOF]}
    checklist, mistakes = parse_checklist(table, PATH_LIST)
    assert not mistakes, mistakes
    look, proof = checklist.checks
    return look, proof


def looked_at(path: HoldPath) -> tuple[str, ...]:
    """The ids of the parts that are looked at because no link of theirs is computed, from the bar
    down.
    """
    keys = (link.inspection_key for link in path.uncomputed)
    return tuple(dict.fromkeys(key.partition("@")[2] for key in keys))
