"""Versions and places for a report (`pitcrew --info`)."""

import platform
import sys
from importlib.metadata import PackageNotFoundError, version

from pitcrew import __version__
from pitcrew.base.paths import ROOT

LIBRARIES = (
    "flask",
    "flask-wtf",
    "tinydb",
    "weasyprint",
    "msgspec",
    "pint",
    "scipy",
    "hypercorn",
    "segno",
)


def info_lines() -> list[str]:
    """One line for pitcrew, Python and each library."""
    lines = [
        f"pitcrew {__version__} in {ROOT}",
        f"Python {sys.version.split()[0]} on {platform.platform()}",
    ]
    for name in LIBRARIES:
        try:
            lines.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            lines.append(f"{name} is missing")
    return lines
