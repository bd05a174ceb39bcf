"""Figures in writing: what was found as a JSON object in SI or as text in a team's units, and the
list of all figures."""

from collections.abc import Mapping, Sequence
from typing import Any

from pitcrew.base.units import dimension_of, from_si, number_text, screen_unit, show
from pitcrew.engineering.figures import Figure, Outcome
from pitcrew.engineering.parameters import Parameter, example

_MOST_SHOWN = 12
_DIGITS = 4
_STRESS = 5e6  # Pa; above it a pressure is the stress in a part


def outcome_json(figure: Figure, outcome: Outcome) -> dict[str, Any]:
    """`{"figure", "value", "unit", "because", "source", …extras}`, all numbers in SI, the sentence
    in metric units."""
    found = {
        "figure": figure.name,
        "value": outcome.value,
        "unit": figure.unit_of(outcome),
        "because": outcome.say("metric"),
        "source": figure.source,
    }
    return found | dict(outcome.extras)


def outcome_text(figure: Figure, outcome: Outcome, system: str = "si") -> str:
    """The value, the reason, each extra, source and range, in the units of `system`: `si`, `metric`
    or `inch`.

    The sentence is written in metric units where the numbers are to be in SI.
    """
    extras = [
        f"  {name.replace('_', ' ')}: {_written(value, figure.unit_of(outcome, name), system)}"
        for name, value in outcome.extras.items()
    ]
    lines = [
        (
            f"{figure.name}: {_written(outcome.value, figure.unit_of(outcome), system)}"
            f" ({figure.value_is})"
        ),
        outcome.say("inch" if system == "inch" else "metric"),
        *extras,
        f"  source: {figure.source}",
        f"  range: {figure.range}",
    ]
    return "\n".join(lines)


def refusal_text(figure: Figure, sentence: str) -> str:
    """A refusal with the range that the figure holds in and where that comes from."""
    span = "" if f"Range: {figure.range}." in sentence else f" Range: {figure.range}."
    return f"{sentence}{span} Source: {figure.source}."


def list_json(figures: Mapping[str, Figure]) -> list[dict[str, Any]]:
    """All figures for `figure --list --json`, by name."""
    return [describe(figures[name]) for name in sorted(figures)]


def describe(figure: Figure) -> dict[str, Any]:
    """One figure as data: its parameters with meaning, unit and bounds, its value, extras, range
    and source."""
    return {
        "name": figure.name,
        "value_is": figure.value_is,
        "unit": figure.unit,
        "parameters": {
            name: _describe_parameter(parameter) for name, parameter in figure.parameters.items()
        },
        "extras": dict(figure.extra_units),
        "range": figure.range,
        "source": figure.source,
    }


def list_text(figures: Mapping[str, Figure]) -> str:
    """All figures as text for `figure --list`: how each is called, what its value is, each
    parameter, range and source."""
    return "\n\n".join(call_text(figures[name]) for name in sorted(figures))


def call_text(figure: Figure) -> str:
    """One figure as text: how it is called, what its value is, each parameter, range and
    source."""
    lines = [
        f"{figure.name} {_call(figure)}".rstrip(),
        f"  gives {figure.value_is} [{figure.unit}]",
        *(f"  {name}: {_meaning(parameter)}" for name, parameter in figure.parameters.items()),
        f"  range: {figure.range}",
        f"  source: {figure.source}",
    ]
    return "\n".join(lines)


def help_text(figure: Figure) -> str:
    """One figure as `figure NAME --help` tells it, the worked example first."""
    return f"{figure.example}\n\n{call_text(figure)}"


def _written(value: Any, unit: str, system: str) -> str:
    if value is None:
        return "none"
    if isinstance(value, list | tuple):
        return _listed(value, unit, system)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return (
        show(value, _screen(value, unit, system), _DIGITS)
        if isinstance(value, int | float)
        else str(value)
    )


def _listed(values: Sequence[Any], unit: str, system: str) -> str:
    written = ", ".join(_written(value, unit, system) for value in values[:_MOST_SHOWN])
    rest = f" … ({len(values)} in all)" if len(values) > _MOST_SHOWN else ""
    return (written or "none") + rest


def _screen(value: float, unit: str, system: str) -> str:
    """The unit to show: the team's, but ohms from 1 ohm, minutes and hours for long times, and the
    unit of stress for high pressures; in `si` the unit as it is."""
    if system == "si":
        return unit
    dimension = dimension_of(unit)
    if dimension == "resistance" and abs(value) >= 1:
        return "ohm"
    if dimension == "pressure" and abs(value) >= _STRESS:
        return screen_unit("stress", system)
    if dimension == "time" and abs(value) >= 120:
        return "min" if abs(value) < 7200 else "h"
    return "l/min" if dimension == "flow" else screen_unit(dimension, system)


def _describe_parameter(parameter: Parameter) -> dict[str, Any]:
    described: dict[str, Any] = {
        "meaning": parameter.meaning,
        "kind": parameter.kind,
        "unit": parameter.unit,
        "required": parameter.required,
        "example": example(parameter).strip('"'),
    }
    if not parameter.required:
        described["default"] = (
            list(parameter.default) if isinstance(parameter.default, tuple) else parameter.default
        )
    if parameter.choices:
        described["choices" if parameter.kind == "choice" else "known"] = list(parameter.choices)
    if parameter.least is not None:
        described["above" if parameter.open_least else "least"] = parameter.least
    if parameter.most is not None:
        described["most"] = parameter.most
    return described


def _call(figure: Figure) -> str:
    """`span="1 m" [duty=normal|shock]`: the arguments as a person types them."""
    typed = {name: f"{name}={_typed(parameter)}" for name, parameter in figure.parameters.items()}
    return " ".join(
        text if figure.parameters[name].required else f"[{text}]" for name, text in typed.items()
    )


def _typed(parameter: Parameter) -> str:
    if parameter.kind == "choice":
        return "|".join(parameter.choices)
    default = _default(parameter)
    return example(parameter) if default is None else f'"{default}"' if " " in default else default


def _meaning(parameter: Parameter) -> str:
    default = _default(parameter)
    return (
        parameter.meaning if default is None else f"{parameter.meaning} (unless given: {default})"
    )


def _default(parameter: Parameter) -> str | None:
    """The default as a person types it; None where there is none to show."""
    default = parameter.default
    if parameter.required or default is None or default == ():
        return None
    if parameter.kind == "quantity":
        number = number_text(
            from_si(default, unit := _screen(default, parameter.unit, "metric")), _DIGITS
        )
        return f"{number} {unit}"
    if isinstance(default, bool):
        return "yes" if default else "no"
    return f"{default:g}" if isinstance(default, float) else str(default)
