"""An invented robot with made-up parts and limits, to render macros and pages without the server."""

from types import SimpleNamespace
from typing import Any

import jinja2

from pitcrew.paths import TEMPLATES
from pitcrew.units import UNITS, scale_of, screen_name, show


def environment() -> jinja2.Environment:
    """Jinja as the sheets and the server have it: templates, escaping, whitespace, the filter `show`, nothing of Flask."""
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES), autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True,
    )
    env.filters["show"] = show
    return env


def part(**specs: Any) -> SimpleNamespace:
    """A part whose texts are shown as typed (`span="412 mm"`) and whose numbers are SI."""
    typed = {name: value for name, value in specs.items() if isinstance(value, str)}
    return SimpleNamespace(id="lift.chain.left", label="Lift chain, left", zone="mast", kind="roller-chain", specs=specs, typed=typed)


def limit(unit: str = "mm", decimals: int = 1, **bounds: Any) -> dict[str, Any]:
    """A limit as plain data; bounds and guards are given in `unit`."""
    scale, offset = scale_of(unit)
    guards = bounds.pop("guards", {})
    dimension = UNITS[unit][0]
    return {
        "unit": "1", "shown": unit, "shown_name": "" if dimension == "number" else screen_name(unit), "scale": scale, "offset": offset,
        "decimals": decimals,
        **{name: None if bounds.get(name) is None else bounds[name] * scale + offset
           for name in ("stop_low", "watch_low", "watch_high", "stop_high")},
        "guards": {name: width * scale for name, width in guards.items()}, "because": "", "source": "", "say": {}, "sentences": {},
        "unjudged_when": [], "result": None, "answers": {}, "inputs": {}, "unjudged_because": "",
    }


CHAIN = part(size="25", span="412 mm", duty="shock", teeth=32, pitches=16)
CHAIN_LIMIT = limit(stop_low=8.2, stop_high=12.4, guards={"stop_low": 1.0, "stop_high": 1.0})
