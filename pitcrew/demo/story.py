"""What happens in the demo, as tables: who is there, what a healthy part reads, what drifts, and
what breaks in which turnaround.

Numbers are as typed on a phone; verdicts are never written here, the judge finds them.
"""

from dataclasses import dataclass, field
from typing import Any

from pitcrew.demo.readings import CHAIN, LUG, PLATE, TREAD

EVENT, EVENT_LABEL = "skerry", "Skerry Meet (invented)"
LEAD, CAPTAIN, MENTOR, DRIVER = "Maren", "Birk", "Alma", "Noor"
ROLES = {LEAD: "lead", CAPTAIN: "captain", MENTOR: "mentor"}
"""Everyone else is crew."""
CREW_OF_ZONE = {
    "mast": "Runa",
    "winch": "Runa",
    "frame": "Runa",
    "intake": "Eskil",
    "air": "Eskil",
    "control": "Ivo",
    "battery": "Ivo",
    "fl": "Tove",
    "fr": "Tove",
    "rl": "Tove",
    "rr": "Tove",
}

SPARES = """\
# What we carry. `item` as it is written under "Parts used" of a repair, which counts it down;
# `reorder`: get more at so few.
[[spare]]
item = "toothed washer M8"
count = 4
reorder = 2
[[spare]]
item = "intake plate"
count = 0
reorder = 1
[[spare]]
item = "chain link 25"
count = 10
reorder = 4
"""


@dataclass(frozen=True)
class Told:
    """One entry of the story, `minute` minutes after the robot is back. `name` lets later ones
    refer to it as `@name`.

    Readings are referred to by their check: `@chain-slack@lift.chain.left` is the latest one.
    """

    minute: float
    person: str
    kind: str
    body: dict[str, Any]
    name: str = ""


@dataclass(frozen=True)
class Turn:
    """A turnaround: the battery for the next match, the debrief, what the walk reads otherwise than
    usual, what else is told."""

    battery: str
    debrief: dict[str, Any] = field(default_factory=dict)
    read: dict[str, dict[str, str]] = field(default_factory=dict)
    told: tuple[Told, ...] = ()
    walk_minutes: float = 14


def measured(minute: float, person: str, key: str, **typed: str) -> Told:
    """A single reading outside the walk."""
    return Told(minute, person, "reading", {"key": key, "typed": typed})


def fault(
    minute: float,
    person: str,
    part: str,
    symptom: str,
    grade: str,
    name: str,
    reading: str | None = None,
) -> Told:
    """A fault, from a reading if one is named."""
    return Told(
        minute,
        person,
        "fault",
        {"part": part, "symptom": symptom, "grade": grade, "reading": reading},
        name,
    )


def move(minute: float, person: str, of: str, to: str, why: str, **more: Any) -> Told:
    """A move of a fault."""
    return Told(minute, person, "fault_move", {"fault": of, "to": to, "why": why, **more})


def temporary(
    minute: float, person: str, part: str, what: str, name: str, blocks: bool = False
) -> Told:
    """Something taken off, bridged or borrowed."""
    return Told(minute, person, "temporary", {"part": part, "what": what, "blocks": blocks}, name)


def change(minute: float, person: str, part: str, new: str, identical: bool = True) -> Told:
    """A part put in for another one."""
    return Told(minute, person, "part_change", {"part": part, "identical": identical, "new": new})


def loads(minute: float, battery: str) -> Told:
    """A battery's test at two loads, soon after its match."""
    return measured(minute, "Ivo", f"battery-loads@battery.{battery}", rest="18", case="23")


HELD = {"climbed": True, "held": True, "slipped": False, "one_hook": False, "down": "by the card"}
"""What the drive team says of a climb that went as it should."""
TWO_PULLS = HELD | {"down": "another way"}
GROUND = {"climbed": False}
SECOND = {"Runa": "Eskil", DRIVER: CAPTAIN}
"""Who else saw what someone did for the climb, and confirms it on another phone."""

LOOSE = {LUG: {"lug": "turns or rocks"}}

TURNS: tuple[Turn, ...] = (
    Turn("1", walk_minutes=55),
    Turn("4", HELD | {"autonomous": "two pieces, both scored", "battery": "1"}),
    Turn(
        "2",
        HELD | {"battery": "4"},
        told=(
            loads(19, "4"),
            temporary(
                18, "Eskil", "frame.bumper.rear", "A borrowed pin holds the rear bumper", "pin"
            ),
        ),
    ),
    Turn(
        "4",
        HELD | {"power_odd": True, "more": "lights dipped once in a shove", "battery": "2"},
        read=LOOSE,
        told=(
            fault(
                17.5,
                "Ivo",
                "power.lug.breaker",
                "Breaker lug, battery side, turns by hand",
                "stop",
                "lug-1",
                f"@{LUG}",
            ),
            move(19, "Ivo", "@lug-1", "repaired", "Nut tightened, line drawn over it"),
            measured(20, "Ivo", LUG, lug="does not move"),
            move(20.2, "Ivo", "@lug-1", "proven", "", reading=f"@{LUG}"),
        ),
    ),
    Turn(
        "5",
        HELD | {"battery": "4"},
        told=(
            Told(
                18,
                "Eskil",
                "temporary_undone",
                {"temporary": "@pin", "how": "Our own pin is back in"},
            ),
            change(
                19, MENTOR, "intake.roller.front", "harder rollers, same diameter", identical=False
            ),
            loads(20, "4"),
        ),
    ),
    Turn(
        "4",
        GROUND
        | {
            "odd": True,
            "no_control": True,
            "more": "front right stood at 45 degrees for about 5 s",
            "battery": "5",
        },
        told=(
            fault(
                1,
                DRIVER,
                "drive.fr.module",
                "Steering stood at 45 degrees for about 5 s",
                "degraded",
                "steer-1",
            ),
            move(
                20,
                "Tove",
                "@steer-1",
                "no_fault_found",
                "Turns free, encoder reads true, nothing in the gears",
            ),
        ),
    ),
    Turn(
        "6",
        HELD
        | {
            "hard_hit": True,
            "field_fix": True,
            "more": "hit at the right intake plate, taped on the field",
            "battery": "4",
        },
        told=(
            fault(
                17.5,
                "Eskil",
                "intake.plate.right",
                "Plate bent, white line from the slot, 30 mm",
                "degraded",
                "plate",
                f"@{PLATE}",
            ),
            move(
                19,
                LEAD,
                "@plate",
                "deferred",
                "No spare plate here; one is cut tonight and fitted after the event",
                until="Q82",
                restriction="Intake at half speed, no reaching over the bumper",
            ),
            loads(20, "4"),
        ),
    ),
    Turn(
        "4",
        HELD | {"odd": True, "more": "pulled to the right for a moment", "battery": "6"},
        told=(
            fault(
                1,
                DRIVER,
                "drive.fr.module",
                "Pulled to the right, front right steering late",
                "degraded",
                "steer-2",
            ),
            move(
                20, "Tove", "@steer-2", "no_fault_found", "As before: turns free, no error stored"
            ),
        ),
    ),
    Turn(
        "",
        TWO_PULLS | {"more": "the pawl needed two pulls", "battery": "4"},
        read=LOOSE,
        told=(
            fault(
                17.5,
                "Ivo",
                "power.lug.breaker",
                "Breaker lug, battery side, turns by hand again",
                "stop",
                "lug-2",
                f"@{LUG}",
            ),
            loads(22, "4"),
            move(
                25,
                "Ivo",
                "@lug-2",
                "repaired",
                "Toothed washer fitted, nut tightened, new line",
                parts_used=["toothed washer M8"],
            ),
            measured(26, "Ivo", LUG, lug="does not move"),
            move(26.5, "Ivo", "@lug-2", "proven", "", reading=f"@{LUG}"),
            change(35, "Tove", "drive.rl.wheel", "tread strip 5 mm"),
            measured(36, "Tove", TREAD, depth="5,0"),
            Told(
                40,
                LEAD,
                "note",
                {
                    "text": (
                        "All batteries are on charge, six of six. Robot off, lift pinned, air"
                        " dumped."
                    )
                },
            ),
        ),
    ),
    Turn("5", HELD | {"battery": "2"}),
    Turn(
        "",
        HELD
        | {
            "odd": True,
            "more": "lift slower than this morning, a click from the left side",
            "battery": "5",
        },
        told=(
            Told(
                1,
                LEAD,
                "note",
                {
                    "text": "The lift clicks on the left side; look there first.",
                    "part": "lift.chain.left",
                },
            ),
            Told(
                1.6,
                "Ivo",
                "note",
                {
                    "text": (
                        "By the log battery and wiring stand higher since Q66. The panel's lugs are"
                        " next."
                    )
                },
            ),
            temporary(
                2,
                "Ivo",
                "frame.cover",
                "Belly cover is off to reach the panel lugs",
                "cover",
                blocks=True,
            ),
            temporary(
                2.5, "Ivo", "control.plug.camera", "A cable tie holds the camera plug", "tie"
            ),
            fault(
                18,
                "Runa",
                "lift.chain.left",
                "Slack 12.9 mm, the tensioner is at its end",
                "stop",
                "chain",
                f"@{CHAIN}",
            ),
            fault(
                19,
                "Ivo",
                "control.plug.camera",
                "The picture was gone twice for some seconds",
                "degraded",
                "picture",
            ),
            loads(20, "4"),
            Told(20.5, "Ivo", "battery_move", {"battery": "4", "to": "bench"}),
            change(26, "Runa", "climb.pawl-servo", "spare servo 2 from box B"),
        ),
    ),
)
"""The arrival, then the turnaround after each of our matches that are played. The last one is under
way."""

EVENING = 8
"""The turnaround after the last match of day 1: no one signs for a climb, and the next battery goes
in in the morning."""
MORNING = Turn(
    "2", told=(loads(26, "4"), Told(33, LEAD, "handoff", {"audience": "shift"})), walk_minutes=22
)
"""The morning of day 2, before the first match of that day."""

NOT_WALKED = ("rl", "rr", "air", "battery")
"""The zones that no one has walked yet in the turnaround that is under way."""
