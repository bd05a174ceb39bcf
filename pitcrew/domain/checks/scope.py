"""The names that a check's formulas may use for one part, with their values and dimensions; and why
a limit cannot be made without one."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.base.settings import BY_NAME, Settings
from pitcrew.base.units import dimension_of, number_text, screen_unit, show
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.checks import formulas
from pitcrew.domain.checks.formulas import Dimension, Expression, exponents
from pitcrew.domain.checks.limitrules import PLACEHOLDER, FigureCall
from pitcrew.domain.robot.buildsheet import Part, Robot
from pitcrew.domain.robot.instruments import INSTRUMENTS
from pitcrew.domain.robot.partkinds import KINDS
from pitcrew.engineering.figures import Figure, Outcome


@dataclass(frozen=True)
class Named:
    """A value behind a name: SI with its dimension, or a word or truth value with none."""

    value: float | str | bool
    dimension: str = ""

    @property
    def word(self) -> str:
        """As a figure's parameter takes it that asks for words: a share keeps its sign."""
        return f"{self.value!r} %" if self.dimension == "percent" else str(self.value)

    def text(self, system: str) -> str:
        """As a sentence shows it, in the units of a team."""
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        if isinstance(self.value, str):
            return self.value
        if self.dimension in ("", "number"):
            return number_text(self.value)
        return show(self.value, _unit_for(self.value, self.dimension, system))


PART = "part."
"""How a name of the part's own specification begins."""
NamedValues = Mapping[str, Named]
_LARGE, _SMALL = {"resistance": (1.0, "ohm"), "time": (120.0, "min")}, {"voltage": (0.5, "mV")}


def _unit_for(si: float, dimension: str, system: str) -> str:
    """The team's unit, or a larger or smaller one where the number would be long."""
    if dimension in _LARGE and abs(si) >= _LARGE[dimension][0]:
        return _LARGE[dimension][1]
    if dimension in _SMALL and 0 < abs(si) < _SMALL[dimension][0]:
        return _SMALL[dimension][1]
    return screen_unit(dimension, system)


def robot_scope(robot: Robot, settings: Settings) -> dict[str, Named]:
    """`robot.…`, `setting.…` and `instrument.…`."""
    about = {
        "mass": (robot.mass, "mass"),
        "length": (robot.length, "length"),
        "width": (robot.width, "length"),
    }
    names = {
        f"robot.{name}": Named(value, dimension)
        for name, (value, dimension) in about.items()
        if value is not None and name not in robot.not_sized
    }
    for name, setting in BY_NAME.items():
        if settings[name] is not None:
            names[f"setting.{name}"] = Named(settings[name], _number_kind(setting.kind))
    for name, accuracy in robot.accuracies.items():
        value, dimension = INSTRUMENTS[name].plain(accuracy)
        names[f"instrument.{name}"] = Named(value, dimension)
        names[f"instrument.{name}.share"] = Named(accuracy.share, "number")
        names[f"instrument.{name}.floor"] = Named(accuracy.floor, INSTRUMENTS[name].dimension)
    return names


def path_scope(values: Mapping[str, tuple[float | str, str]]) -> dict[str, Named]:
    """The names of the hold path (`climb.…`, `link.…`), from its values with their dimensions."""
    return {name: Named(value, dimension) for name, (value, dimension) in values.items()}


def part_scope(part: Part) -> dict[str, Named]:
    """`part.…`: every field of its specification that is given."""
    kind = KINDS.get(part.kind)
    fields = {field.name: field.kind for field in kind.fields} if kind else {}
    return {
        f"part.{name}": Named(value, _number_kind(fields[name]))
        for name, value in part.specs.items()
    }


def outcome_scope(figure: Figure, outcome: Outcome, prefix: str = "") -> dict[str, Named]:
    """The value and extras of a computed figure: `value`, `low`, or `given.drop` and
    `given.drop.low` with a prefix."""
    names = {prefix or "value": Named(outcome.value, dimension_of(figure.unit))}
    for name, value in outcome.extras.items():
        if isinstance(value, int | float | str | bool):
            unit = figure.extra_units.get(name, "")
            names[f"{prefix}.{name}" if prefix else name] = Named(
                value, dimension_of(unit) if unit in _KNOWN else ""
            )
    return names


def numbers(scope: NamedValues, expression: Expression) -> dict[str, float]:
    """The numbers of the names in a formula; a name that is a word or unknown is left out."""
    return {
        name: named.value
        for name, named in _named(scope, expression)
        if not isinstance(named.value, str | bool)
    }


def dimensions(scope: NamedValues, expression: Expression) -> dict[str, Dimension]:
    """The dimensions of the same names."""
    return {
        name: exponents(named.dimension)
        for name, named in _named(scope, expression)
        if not isinstance(named.value, str | bool)
    }


def _named(scope: NamedValues, expression: Expression) -> Iterator[tuple[str, Named]]:
    """Only what the formula names: a scope holds over a hundred, and is asked for each formula."""
    return ((name, scope[name]) for name in formulas.names(expression) if name in scope)


def fill(sentence: str, scope: NamedValues, system: str) -> str:
    """A sentence with its {names} and {formulas} written out in the units of a team; `?` where a
    name has no value."""

    def write(match: re.Match[str]) -> str:
        try:
            expression = formulas.parse(match[1])
            if isinstance(expression, str):
                return scope[expression].text(system) if expression in scope else "?"
            found = formulas.dimension(expression, dimensions(scope, expression))
            return Named(
                formulas.evaluate(expression, numbers(scope, expression)),
                formulas.dimension_name(found),
            ).text(system)
        except BadInput:
            return "?"

    return PLACEHOLDER.sub(write, sentence)


class NotMade(Exception):
    """A limit cannot be made for this part."""


class NotJudged(NotMade):
    """No limit can be computed for this part; the sentence says why. `fields` are those of its
    specification that lie outside what a figure can do."""

    def __init__(self, sentence: str, fields: tuple[str, ...] = ()) -> None:
        super().__init__(sentence)
        self.fields = fields


class Mistaken(NotMade):
    """The checklist is wrong here: key, what was found, what is expected."""


class NotGiven(NotMade):
    """The part's specification lacks this name, which the check needs."""


def refused_fields(call: FigureCall, error: BadInput) -> tuple[str, ...]:
    """The fields of the part behind the argument that a figure refused; all that it was given
    where it named none.

    A word that no table has is no number outside a range: the reading of build sheets reports it.
    """
    if isinstance(error, UnknownName):
        return ()
    named = call.references.get(error.field or "")
    asked = call.references.values() if named is None else (named,)
    found = {name for expression in asked for name in formulas.names(expression)}
    return tuple(sorted(name.removeprefix(PART) for name in found if name.startswith(PART)))


_KNOWN = set(SI_UNIT.values())


def _number_kind(kind: str) -> str:
    return kind if kind in SI_UNIT else ("number" if kind == "count" else "")
