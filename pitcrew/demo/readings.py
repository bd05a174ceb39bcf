"""What is read in the demo: a healthy part's numbers, and what drifts over the turnarounds."""

HEALTHY: dict[str, dict[str, str]] = {
    "battery-rest": {"volts": "12.95 ± 0.04", "rest": "40 ± 9", "case": "21 ± 1"},
    "battery-loads": {
        "open": "12.88",
        "v1": "12.74 ± 0.02",
        "i1": "5 ± 0",
        "v2": "12.16 ± 0.02",
        "i2": "50 ± 0",
        "held": "ten seconds",
        "rest": "45 ± 9",
        "case": "20 ± 1",
    },
    "battery-loads-second": {
        "open": "12.88",
        "v1": "12.58",
        "i1": "20",
        "v2": "11.70",
        "i2": "100",
        "held": "ten seconds",
        "rest": "50",
        "case": "20",
    },
    "rope-diameter@climb.rope": {"thin": "3.18 ± 0.02"},
    "drum-turns": {"turns": "3 ± 0", "layers": "2 ± 0"},
    "ratchet-drop": {"drop": "8.6 ± 0.3"},
    "hold-margin": {"weight": "67.0 ± 0.2"},
    "path-give": {"free": "180 ± 1", "give": "7.0 ± 0.2"},
    "hold-test": {"load": "72 ± 0", "time": "12 ± 1", "teeth": "1 ± 0", "slip": "2.1 ± 0.4"},
    "servo-torque": {"pull": "36 ± 2"},
    "hook-opening": {"throat": "48.1 ± 0.1"},
    "bolt-audit@lift.bolts.gearbox": {"torque": "9.6 ± 0.4"},
    "bolt-audit@climb.drum-bolts": {"torque": "10.8 ± 0.4"},
    "chain-wear": {"length": "102.3 ± 0.1"},
    "belt-tone": {"tone": "110 ± 1"},
    "belt-deflection@lift.belt": {"push": "9 ± 0.3"},
    "belt-deflection@lift.belt.stage": {"push": "7.2 ± 0.2"},
    "gear-play@intake.gearbox": {"rock": "2.1 ± 0.1"},
    "gear-play@lift.gearbox": {"rock": "1.6 ± 0.1"},
    "gear-play@climb.gearbox": {"rock": "1.0 ± 0.1"},
    "roller-play": {"play": "0.7 ± 0.1"},
    "tread-depth": {"depth": "4.3 ± 0.1"},
    "encoder-offset@drive.fl.encoder": {"reads": "41.6 ± 0.3"},
    "encoder-offset@drive.fr.encoder": {"reads": "287.1 ± 0.3"},
    "encoder-offset@drive.rl.encoder": {"reads": "133.9 ± 0.3"},
    "encoder-offset@drive.rr.encoder": {"reads": "8.4 ± 0.3"},
    "encoder-offset@lift.encoder": {"reads": "212.7 ± 0.4"},
    "camera-target@camera.front": {"angle": "-3.5 ± 0.2"},
    "camera-target@camera.rear": {"angle": "12.0 ± 0.2"},
    "bus-ohms": {"ohms": "60.2 ± 0.2"},
    "wire-drop": {"drop": "84 ± 2"},
    "spring-force": {"pull": "38 ± 1"},
    "air-leak": {"first": "8.10 ± 0.02", "second": "8.05 ± 0.02", "time": "10 ± 0"},
    "chain-slack": {"travel": "10.1 ± 0.2"},
    "collar-play": {"slide": "0.3 ± 0.1"},
    "servo-travel": {"travel": "42.2 ± 0.3"},
    "fuse-count": {"in": "18 ± 0"},
    "air-ready": {"tank": "8.2 ± 0.1"},
    "laptop-ready": {"charge": "88 ± 6"},
    "stud-torque": {"torque": "4.8 ± 0"},
    "radio-supply": {"volts": "12.1 ± 0"},
    "air-relief": {"opens": "8.6 ± 0"},
    "air-switch": {"off": "8.1 ± 0"},
    "air-regulator": {"works": "4.1 ± 0"},
    "chain-load": {"pull": "180 ± 0"},
    "spring-cycles": {"cycles": "900 ± 0"},
    "pawl-depth": {"depth": "4.8 ± 0"},
}
"""The numbers of a healthy part, by check or `check@part`; other answers are the first that the
checklist calls ok."""

LOGS = {5: 0.0191, 7: 0.0194, 9: 0.0189, 10: 0.0247}
"""Of which of our matches the robot's log was read in, and the ohm of battery and wiring in it:
something is loose since the last."""

LUG, PLATE = "lug-twist@power.lug.breaker", "plate-crack@intake.plate.right"
CHAIN, TREAD = "chain-slack@lift.chain.left", "tread-depth@drive.rl.wheel"
DRIFTS: dict[str, dict[str, tuple[str, ...]]] = {
    CHAIN: {
        "travel": (
            "9.3",
            "9.5",
            "9,9",
            "10.2",
            "10.4",
            "10.8",
            "11.0",
            "11.1",
            "11.3",
            "11,4",
            "12.9",
        )
    },
    "chain-slack@lift.chain.right": {
        "travel": (
            "9.6",
            "9.6",
            "9.8",
            "10.0",
            "10.1",
            "10.2",
            "10.5",
            "10.7",
            "11.0",
            "11.2",
            "11.6",
        )
    },
    "servo-travel@climb.pawl-servo": {
        "travel": (
            "42",
            "42",
            "41.8",
            "41.8",
            "41.6",
            "41.5",
            "41.2",
            "41.1",
            "40.6",
            "40,2",
            "39.8",
        )
    },
    "tread-depth@drive.fl.wheel": {"depth": ("4.4",) * 8 + ("3.4",)},
    "gear-play@climb.gearbox": {"rock": ("1.3",) * 8 + ("2.6",)},
    "battery-loads@battery.4": {
        "v1": ("12.74",),
        "v2": (
            "12.16",
            "12.16",
            "12.13",
            "12.13",
            "12.09",
            "12.09",
            "12.04",
            "12.02",
            "11.97",
            "11.95",
            "11.82",
        ),
    },
    PLATE: {"plate": ("as it was made",) * 6 + ("bent or a white line",)},
    "air-ready@air.system": {
        "tank": ("8.2", "8.2", "8.2", "8.0", "8.1", "7.9", "7.7", "7.6", "7.2", "7.1", "6.8")
    },
}
"""What drifts, by turnaround: the arrival first, then after each of our matches. The last value
holds on."""
