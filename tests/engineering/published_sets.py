"""Published data sets that several tests use, each with its source."""

import csv
from pathlib import Path

# NIST/SEMATECH e-Handbook 8.2.3.4: ten repairs of one system watched for 1500 h
NIST_REPAIRS = (5.0, 40.0, 43.0, 175.0, 389.0, 712.0, 747.0, 795.0, 1299.0, 1478.0)
NIST_END = 1500.0

# MIL-HDBK-189 (1981), appendix C: 27 failures in 300 h (189C prints these rows under another count)
MIL_TIMES = (
    2.6,
    16.5,
    16.5,
    17.0,
    21.4,
    29.1,
    33.3,
    56.5,
    63.1,
    70.6,
    73.0,
    77.7,
    93.9,
    95.5,
    98.1,
    101.1,
    132.0,
    142.2,
    147.7,
    149.0,
    167.2,
    190.7,
    193.0,
    198.7,
    251.9,
    282.5,
    286.1,
)
MIL_END = 300.0

# NASA TM-103511, table 1B: Crow's 23 failures in 500 h
CROW_TIMES = (
    0.2,
    4.2,
    4.5,
    5.0,
    5.4,
    6.1,
    7.9,
    14.8,
    19.2,
    48.6,
    85.8,
    108.9,
    127.2,
    129.8,
    150.1,
    159.7,
    227.4,
    244.7,
    262.7,
    315.3,
    329.6,
    404.3,
    486.2,
)
CROW_END = 500.0

# NIST/SEMATECH e-Handbook, product-limit example: 20 units, 6 failed, 4 removed early, 10 good at
# 200 h
UNITS_FAILED = (10.0, 32.0, 56.0, 98.0, 122.0, 181.0)
UNITS_REMOVED = (50.0, 100.0, 125.0, 150.0) + (200.0,) * 10


def norris() -> tuple[list[float], list[float]]:
    """x and y of NIST's Norris data (36 points)."""
    with (Path(__file__).parent.parent / "data" / "norris.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return [float(row["x"]) for row in rows], [float(row["y"]) for row in rows]
