"""Sample pictures of hold paths for the style page: one where all is well, one with everything that
can be wrong."""

from types import SimpleNamespace
from typing import Any


def _looked(
    words: str, verdict: str = "ok", by: str = "Ada", when: str = "10:31"
) -> SimpleNamespace:
    return SimpleNamespace(words=words, verdict=verdict, by=by, when=when)


def _row(
    name: str, sign: str, factor: float | None = None, needs: float = 4, **more: Any
) -> SimpleNamespace:
    share = factor / needs if factor else 0.0
    base = {
        "name": name,
        "sign": sign,
        "href": "/parts/climb.rope",
        "factor": f"{factor:.1f}" if factor else "",
        "needs": f"{needs:g}",
        "share": share,
        "holds": share >= 1,
        "weakest": False,
        "instead": "",
        "measured": (),
        "stated": (),
        "assumed": (),
        "not_stated": (),
        "rule": "",
        "size": False,
        "looked": None,
    }
    return SimpleNamespace(**base | more)


ROWS = (
    _row("Hook", "hook", 6.1, stated=("strength",), looked=_looked("whole")),
    _row("Hook screws", "bolted-joint", 9.4, stated=("thread", "grade")),
    _row(
        "Rope, sleeve at the hook",
        "wire-rope",
        5.6,
        5,
        measured=("diameter",),
        stated=("construction",),
        weakest=True,
        looked=_looked("whole"),
    ),
    _row("Guide pulley", "pulley", looked=_looked("whole")),
    _row("Rope end on the drum", "wire-rope", 8.2, 5, measured=("diameter",), stated=("knot",)),
    _row("Drum", "drum", looked=_looked("whole")),
    _row("Drum shaft, twist", "shaft", 11.7, 2, stated=("size", "material")),
    _row("Drum key", "key", 3.3, 2, stated=("width", "length")),
    _row("Gearbox", "gearbox", looked=_looked("whole")),
    _row(
        "Ratchet tooth",
        "ratchet",
        5.2,
        measured=("drop per tooth",),
        stated=("tooth strength",),
        looked=_looked("whole", by="Ivo"),
    ),
    _row("Pawl pin", "pin", 12.4, stated=("diameter",)),
    _row(
        "Winch mount bolts",
        "bolted-joint",
        7.7,
        stated=("thread", "grade"),
        looked=_looked("Line whole", by="Ivo"),
    ),
)
MORE = (
    _row(
        "Catch after one tooth",
        "catch",
        2.6,
        2,
        measured=("drop per tooth", "give"),
        stated=("fall speed",),
    ),
    _row("Swing when it leaves the floor", "swing", 4.5, 2, stated=("angle",)),
    _row("Winch run into the stop", "stall", 1.9, 1.5, stated=("stall torque",)),
)
WELL = SimpleNamespace(
    rows=ROWS,
    more=MORE,
    robot="The robot, 67.3 kg, hangs here",
    beyond="",
    robot_said="Weight measured by Ada, 9:12",
    spoken="Hold path of 12 links; the weakest is the rope, factor 5.6, needs 5",
)
BAD = SimpleNamespace(
    rows=(
        _row(
            "Hook on the telescoping tube, left side, with a name that is much too long for a"
            " phone",
            "hook",
            2.2,
            weakest=True,
            not_stated=("strength of the other side",),
            stated=("strength",),
            looked=_looked("Something: a mark has moved", "stop"),
        ),
        _row(
            "Cord, double fisherman's", "cord", 3.9, 7, measured=("diameter",), assumed=("fiber",)
        ),
        _row("Carriage", "carriage", looked=_looked("Cannot see", "unjudged")),
        _row("Arm", "arm", not_stated=("radius",), instead="cannot be computed"),
        _row("Sprocket on the arm", "sprocket"),
        _row("Chain to the winch", "roller-chain", 6.2, 6, stated=("size",)),
        _row("Belt of the second stage", "timing-belt", 7.0, 7, stated=("strength",)),
        _row("Worm", "worm", not_stated=("lead angle",)),
        _row("Linkage past its center", "linkage", looked=_looked("On its stop")),
        _row("One-way bearing", "one-way", 31.0, stated=("torque",)),
        _row("Brake", "brake", 1.2, 2, stated=("torque",)),
        _row("Motor in brake mode", "motor-brake", instead="sinks: keep clear"),
    ),
    more=(
        _row(
            "Catch after one tooth",
            "catch",
            instead="cannot be computed",
            not_stated=("free length", "give", "fall speed", "delay"),
        ),
        _row("Bending of the arm shaft", "bending"),
        _row("Second hook", "second", 0.6, 2, stated=("no equalizer",)),
    ),
    robot="The robot, 85 kg, hangs here",
    beyond="",
    robot_said="Weight measured by Ivo, 11:02; the build sheet says 67.3 kg",
    spoken="Hold path of 12 links; the weakest is the hook, factor 2.2, needs 4",
)

LOOKED_AT = (
    "Guide pulley",
    "Drum",
    "Gearbox",
    "Second-stage carriage plate, front left and front right",
    "Winch plate",
)
"""Links without a number, in the order of the path."""


def look_checks() -> list[dict[str, Any]]:
    """The rows of the inspection card, as the snapshot has them."""
    answers = {"whole": "ok", "something": "stop", "cannot see": "unjudged"}
    sentences = {
        f"answer_{verdict}": "{label}: {answer}." for verdict in ("ok", "stop", "unjudged")
    }
    limit = {
        "answers": {"seen": answers},
        "inputs": {"seen": {"label": "seen", "kind": "choice", "required": True}},
        "sentences": sentences,
    }
    seen = {
        "name": "seen",
        "label": "what you see",
        "kind": "choice",
        "unit": "",
        "unit_label": "",
        "least": None,
        "most": None,
        "options": list(answers),
        "required": True,
    }
    base = {
        "check": "path-look",
        "zone": "winch",
        "checklist": "hold path",
        "label": "Look at it",
        "how": "",
        "drawing": "",
        "minutes": 0.1,
        "ask": "Whole, straight, marks whole?",
        "hands": 1,
        "power": "off",
        "cautions": [],
        "must": True,
        "climb_critical": True,
        "inputs": [seen],
        "limit": limit,
        "unjudged_because": "",
        "due": True,
        "why": "before a climb",
        "last": None,
    }
    parts = [(f"climb.link{number}", label) for number, label in enumerate(LOOKED_AT, 1)]
    return [
        base | {"key": f"path-look@{part}", "part": part, "part_label": label}
        for part, label in parts
    ]
