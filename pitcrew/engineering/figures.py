"""How an engineering function becomes a figure: a calculation that the program knows by name.

A figure is declared once, on its function, with the meaning, dimension and range of each parameter.
The command line, the checklists and the documentation all read that declaration. Functions take SI
floats and return an `Outcome`.
"""

import inspect
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from pitcrew.base.errors import BadInput, BadQuantity, OutOfRange, UnknownName
from pitcrew.base.units import render
from pitcrew.engineering.parameters import (
    Argument,
    Parameter,
    check_argument,
    example,
    read_argument,
)


@dataclass(frozen=True)
class Outcome:
    """What a figure found. `because` may hold marked quantities (`units.mark`); extras are SI like
    the value.

    `unit` is given only where it depends on the arguments; otherwise the figure's holds.
    """

    value: float
    because: str
    extras: Mapping[str, Any] = field(default_factory=dict)
    unit: str | None = None

    def say(self, system: str = "metric") -> str:
        """The reason in the units of a team."""
        return render(self.because, system)


@dataclass(frozen=True)
class Figure:
    """A named calculation: `value` is in `unit`; `extra_units` gives the unit of each extra
    (absent: plain).

    The unit `=` is that of the arguments (a `measure`), told by the outcome.
    """

    name: str
    unit: str
    value_is: str
    source: str
    range: str
    parameters: Mapping[str, Parameter]
    function: Callable[..., Outcome]
    extra_units: Mapping[str, str]

    @property
    def example(self) -> str:
        """The worked example at the end of its docstring: words, the command, and its answer."""
        said = inspect.getdoc(self.function) or ""
        start = said.find("Example: ")
        return said[start:] if start >= 0 else ""

    def compute(self, arguments: Mapping[str, Any]) -> Outcome:
        """The outcome for SI arguments. Raises UnknownName, BadInput and OutOfRange with a
        sentence."""
        for name in arguments:
            if name not in self.parameters:
                raise UnknownName(f"{self.name}: the parameter", name, self.parameters, name)
        ready = {}
        for name, parameter in self.parameters.items():
            value = arguments.get(name)
            if value is None:
                if parameter.required:
                    raise BadInput(
                        f"{self.name} needs {name} ({parameter.meaning}). Add"
                        f" {name}={example(parameter)}.",
                        name,
                    )
                value = parameter.default
            if value is not None:
                check_argument(self.name, self.range, name, parameter, value)
            ready[name] = value
        try:
            outcome = self.function(**ready)
        except (OverflowError, ZeroDivisionError):  # numbers so large or small that floats end
            raise self._endless() from None
        if not math.isfinite(outcome.value):
            raise self._endless()
        return outcome

    def _endless(self) -> OutOfRange:
        return OutOfRange(f"{self.name} has no finite value for these numbers. Check each of them.")

    def unit_of(self, outcome: Outcome, extra: str | None = None) -> str:
        """The SI unit of an outcome's value, or of one of its extras."""
        unit = outcome.unit or self.unit
        found = unit if extra is None else self.extra_units.get(extra, "1")
        return unit if found == "=" else found

    def compute_typed(self, arguments: Mapping[str, str]) -> Outcome:
        """The outcome for arguments as typed (`span="412 mm"`, `times="5,40,43"`)."""
        return self.compute({name: self.read(name, text) for name, text in arguments.items()})

    def read(self, name: str, text: Any) -> Argument:
        """One typed argument as SI (or a word, a list, a truth value). Raises UnknownName and
        BadInput."""
        if name not in self.parameters:
            raise UnknownName(f"{self.name}: the parameter", name, self.parameters, name)
        try:
            return read_argument(self.parameters[name], text)
        except BadQuantity as error:
            raise BadQuantity(f"{self.name}, {name}: {error.sentence}", name) from None
        except BadInput as error:
            raise BadInput(f"{self.name}, {name}: {error.sentence}", name) from None


_FIGURES: dict[str, Figure] = {}


def figure(
    name: str,
    unit: str,
    *,
    value_is: str,
    source: str,
    range: str,
    extra_units: Mapping[str, str] | None = None,
    **parameters: Parameter,
) -> Callable[[Callable[..., Outcome]], Callable[..., Outcome]]:
    """Declare the decorated function (SI floats in, `Outcome` out) as the figure of that name."""

    def declare(function: Callable[..., Outcome]) -> Callable[..., Outcome]:
        if name in _FIGURES:
            raise ValueError(f"the figure {name} is declared twice")
        _FIGURES[name] = Figure(
            name, unit, value_is, source, range, parameters, function, extra_units or {}
        )
        return function

    return declare


def registered() -> dict[str, Figure]:
    """Every figure declared so far, by name. `catalogue.py` imports all the modules first."""
    return _FIGURES
