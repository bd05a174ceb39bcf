"""What the style page and the sample Walk show: an invented turnaround of an invented robot."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

from pitcrew.base.clock import format_instant
from tests.web.look_path import BAD, WELL, look_checks
from tests.web.sample import (
    BATTERY,
    BOLTS,
    CHAIN,
    CHAIN_LIMIT,
    CORD,
    DRAWN,
    LOOKS,
    RATCHET,
    SERVO,
    drawing,
    limit,
)


def clock() -> SimpleNamespace:
    """Back 13 minutes ago, leaving in 12 minutes and 40 seconds."""
    now = datetime.now(UTC)
    return SimpleNamespace(
        run=SimpleNamespace(label="Match 31"),
        now=format_instant(now),
        back_at=format_instant(now - timedelta(minutes=13, seconds=20)),
        leave_at=format_instant(now + timedelta(minutes=12, seconds=40)),
    )


ZONES = [
    {
        "id": "fl",
        "label": "Drive FL",
        "box": [4, 5, 23, 22],
        "state": "ok",
        "due": 0,
        "done": 3,
        "total": 3,
    },
    {
        "id": "fr",
        "label": "Drive FR",
        "box": [73, 5, 23, 22],
        "state": "ok",
        "due": 0,
        "done": 3,
        "total": 3,
    },
    {
        "id": "intake",
        "label": "Intake",
        "box": [31, 3, 38, 18],
        "state": "due",
        "due": 4,
        "done": 0,
        "total": 4,
    },
    {
        "id": "mast",
        "label": "Mast and climb hook",
        "box": [31, 30, 38, 30],
        "state": "stop",
        "due": 3,
        "done": 3,
        "total": 6,
    },
    {
        "id": "rl",
        "label": "Drive RL",
        "box": [4, 72, 23, 22],
        "state": "ok",
        "due": 0,
        "done": 3,
        "total": 3,
    },
    {
        "id": "rr",
        "label": "Drive RR",
        "box": [73, 72, 23, 22],
        "state": "watch",
        "due": 0,
        "done": 3,
        "total": 3,
    },
    {
        "id": "control",
        "label": "Control",
        "box": [31, 65, 38, 13],
        "state": "unjudged",
        "due": 1,
        "done": 2,
        "total": 3,
    },
    {
        "id": "battery",
        "label": "Battery",
        "box": [31, 81, 38, 13],
        "state": "stop",
        "due": 0,
        "done": 2,
        "total": 2,
    },
]
ROBOT = {"label": "Tern", "length": 0.82, "width": 0.72}
MANY = [
    {
        "id": f"z{row}{column}",
        "label": (
            "Left side plate and bumper latch",
            "Intake",
            "Roller drive, upper",
            "Camera",
            "Air tank and dump valve",
        )[column],
        "box": [2 + column * 19.5, 3 + row * 32, 18, 29],
        "state": ("ok", "due", "watch", "stop", "unjudged")[(row * 2 + column) % 5],
        "due": 2,
        "done": 1,
        "total": 3,
    }
    for row in range(3)
    for column in range(5)
]
OHM_LIMIT = limit(
    "mohm", 1, watch_high=15, stop_high=20, guards={"stop_high": 0.7, "watch_high": 0.7}
)
VOLT_LIMIT = limit("V", 2, stop_low=12.7, guards={"stop_low": 0.05})
LOOK: dict[str, Any] = {
    "robot": ROBOT,
    "zones": ZONES,
    "many": MANY,
    "paths": (WELL, BAD),
    "chain": CHAIN,
    "chain_limit": CHAIN_LIMIT,
    "ohm_limit": OHM_LIMIT,
    "volt_limit": VOLT_LIMIT,
    "drawings": (
        [
            (name, drawing(name, drawn, CHAIN_LIMIT if name == "chain-slack" else None))
            for name, (drawn, _) in DRAWN.items()
        ]
        + [
            ("rope-end", drawing("rope-end", CORD)),
            *(("look", drawing("look", looked)) for looked in LOOKS),
        ]
    ),
    "trend_points": [
        {
            "x": number,
            "label": f"Match {match}",
            "value": value / 1000,
            "verdict": verdict,
            "joined": joined,
        }
        for number, (match, value, verdict, joined) in enumerate(
            [
                (3, 12.1, "ok", True),
                (7, 12.6, "ok", True),
                (12, 13.4, "ok", True),
                (15, 16.9, "unjudged", False),
                (19, 14.6, "watch", True),
                (24, 15.9, "watch", True),
                (28, 18.2, "watch", True),
                (31, 20.9, "stop", True),
            ]
        )
    ],
}


def _input(
    name: str,
    label: str,
    unit: str = "",
    kind: str = "number",
    least: float | None = 0,
    most: float | None = None,
    **more: Any,
) -> dict[str, Any]:
    return {
        "name": name,
        "label": label,
        "kind": kind,
        "unit": unit,
        "unit_label": unit.replace("deg", "°"),
        "least": least,
        "most": most,
        "options": [],
        "required": True,
        **more,
    }


def _input_limit(label: str, unit: str, scale: float, offset: float = 0.0) -> dict[str, Any]:
    return {
        "label": label,
        "kind": "number",
        "unit": unit,
        "scale": scale,
        "offset": offset,
        "required": True,
        "units": {unit: [scale, offset]},
    }


def _check(
    name: str, where: str, label: str, ask: str, inputs: list[dict[str, Any]], **more: Any
) -> dict[str, Any]:
    base = {
        "key": f"{name}@{where}",
        "check": name,
        "part": where,
        "part_label": "Lift chain, left",
        "zone": "mast",
        "checklist": "pre-match",
        "label": label,
        "ask": ask,
        "how": "",
        "drawing": "",
        "minutes": 1,
        "hands": 1,
        "power": "off",
        "cautions": [],
        "must": True,
        "climb_critical": False,
        "inputs": inputs,
        "limit": None,
        "unjudged_because": "",
        "due": True,
        "why": "every match",
        "last": None,
    }
    return base | more


def snapshot() -> dict[str, Any]:
    """What a phone gets: six checks of the mast, a battery and a servo."""
    slack = CHAIN_LIMIT | {
        "result": "travel",
        "inputs": {"travel": _input_limit("travel", "mm", 0.001)},
        "sentences": {
            "ok": (
                "{result} is good (9.2 to 11.4 mm): 2 to 3 % of the span of 412 mm for a shock"
                " drive."
            ),
            "near_stop_high": (
                "{result} is too close to {limit} to be sure: the ruler can be off by ±1 mm. Take"
                " up one notch."
            ),
            "near_stop_low": (
                "{result} is too close to {limit} to be sure: the ruler can be off by ±1 mm. Let"
                " out one notch."
            ),
            "stop_high": (
                "{result} is above {limit}. 2 to 3 % of the span of 412 mm for a shock drive. Take"
                " up the slack."
            ),
            "stop_low": (
                "{result} is below {limit}. 2 to 3 % of the span of 412 mm for a shock drive. Let"
                " out a notch."
            ),
        },
    }
    servo = limit("deg", 0, stop_low=-4, stop_high=4, guards={"stop_low": 1, "stop_high": 1}) | {
        "result": "error",
        "inputs": {"error": _input_limit("error", "deg", 0.017453292519943295)},
        "sentences": {
            name: "{result}; 4 ° each way is allowed for this pawl."
            for name in ("ok", "stop_low", "stop_high", "near_stop_low", "near_stop_high")
        },
    }
    battery = OHM_LIMIT | {
        "result": ["/", ["-", "light", "heavy"], ["-", "amps2", "amps1"]],
        "inputs": {
            "light": _input_limit("volts at light load", "V", 1),
            "amps1": _input_limit("amperes, light", "A", 1),
            "heavy": _input_limit("volts at heavy load", "V", 1),
            "amps2": _input_limit("amperes, heavy", "A", 1),
            "case": _input_limit("case", "degC", 1, 273.15),
        },
        "unjudged_when": [
            [
                "case",
                ">",
                303.15,
                (
                    "The case is warmer than 30 °C, so this does not compare. Let it rest and"
                    " measure again."
                ),
            ]
        ],
        "sentences": {
            name: (
                "{result}: at most 20 mΩ for a match (the team's setting; sources differ by 5 mΩ)."
            )
            for name in ("ok", "watch_high", "near_watch_high", "near_stop_high", "stop_high")
        },
    }
    witness = {
        "answers": {"mark": {"line whole": "ok", "line broken": "stop", "cannot see": "unjudged"}},
        "inputs": {"mark": {"label": "mark", "kind": "choice", "required": True}},
        "sentences": {
            f"answer_{word}": "{label}: {answer}. Retighten and mark again."
            for word in ("ok", "watch", "stop", "unjudged")
        },
    }
    checks = [
        _check(
            "ratchet-tooth",
            "climb.ratchet.pawl",
            "Ratchet teeth",
            "Are all teeth whole?",
            [_input("teeth", "teeth", kind="yes_no", least=None)],
            part_label="Climb ratchet pawl",
            limit=limit()
            | {
                "answers": {"teeth": {"yes": "ok", "no": "stop"}},
                "sentences": {
                    "answer_ok": "{label}: {answer}.",
                    "answer_stop": "{label}: {answer}. Do not climb.",
                },
            },
            cautions=["Fingers clear of the pawl."],
            how="Turn the drum by hand, look at every tooth in good light.",
            drawing=drawing("ratchet-tooth", RATCHET, None),
        ),
        _check(
            "chain-slack",
            "lift.chain.left",
            "Chain slack",
            "Slack side: how far does it move?",
            [_input("travel", "travel", "mm", most=80)],
            limit=slack,
            how="One finger at mid-span; measure the whole travel.",
            cautions=["Fingers clear of the sprockets."],
            drawing=drawing("chain-slack", CHAIN, slack),
            last={
                "verdict": "ok",
                "sentence": "10.9 mm is good (9.2 to 11.4 mm).",
                "at": "",
                "person": "Ivo",
            },
        ),
        _check(
            "witness-mark",
            "lift.carriage.bolts",
            "Paint marks",
            "Are the paint marks still in line?",
            [
                _input(
                    "mark",
                    "mark",
                    kind="choice",
                    least=None,
                    options=["line whole", "line broken", "cannot see"],
                )
            ],
            limit=limit() | witness,
            part_label="Second-stage carriage plate bolts, front left and front right",
            drawing=drawing("witness-mark", BOLTS, None),
        ),
        _check(
            "servo-travel",
            "climb.servo",
            "Pawl servo",
            "How far is it off when told to stand at zero?",
            [_input("error", "off by", "deg", least=None)],
            limit=servo,
            part_label="Pawl servo",
            power="enabled",
            cautions=["Eye protection on."],
            how="Command zero, read the scale on the horn.",
            drawing=drawing("servo-travel", SERVO, servo),
        ),
        _check(
            "battery-loads",
            "battery.9",
            "Battery under two loads",
            "What does it read under two loads?",
            [
                _input("light", "volts, light", "V", most=15),
                _input("amps1", "amperes, light", "A", most=60),
                _input("heavy", "volts, heavy", "V", most=15),
                _input("amps2", "amperes, heavy", "A", most=200),
                _input("case", "case", "degC", least=-20, most=80, unit_label="°C"),
            ],
            zone="battery",
            part_label="Battery 9",
            limit=battery,
            drawing=drawing("battery-loads", BATTERY, battery),
        ),
    ]
    zones = [zone | {"energies": [], "release": []} for zone in ZONES]
    mast = next(zone for zone in zones if zone["id"] == "mast")
    mast["energies"], mast["release"] = (
        ["raised lift", "ratchet under load", "springs"],
        [
            "Lower the lift onto its stops.",
            "Lift the pawl, let the drum run free.",
            "Hook the constant-force springs.",
        ],
    )
    return {
        "log": "sample",
        "head": 131,
        "now": clock().now,
        "event": {"name": "fjord", "label": "Fjord", "zone": "UTC"},
        "units": "metric",
        "robot": ROBOT | {"name": "tern", "zones": zones},
        "person": {"name": "Ivo", "role": "crew"},
        "played": "fjord/24/1",
        "next": {
            "run": "fjord/31/1",
            "label": "Match 31",
            "planned": None,
            "expected": None,
            "leave_at": clock().leave_at,
            "back_at": clock().back_at,
        },
        "readiness": {"word": "hold", "reasons": []},
        "checks": [*checks, *look_checks()],
        "faults": [],
        "temporaries": [],
        "batteries": [],
        "schedule": [{"run": "fjord/24/1", "label": "Match 24", "planned": None, "ours": "blue 2"}],
        "people": [],
    }
