"""Plain arithmetic as students write it in a checklist, kept as JSON lists that the phone evaluates
in the same way.

`"100 * (measured / new - 1)"` becomes `["*", 100.0, ["-", ["/", "measured", "new"], 1.0]]`: a
number, a name, or a list of an operator and its arguments. `+ - * / min max abs` exist, nothing
else; at most 20 levels deep. Formulas run over SI numbers.
"""

import operator
import re
from collections.abc import Callable, Mapping, Set
from typing import Any

from pitcrew.base.errors import BadInput
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.checks.noresult import NoResult

Expression = float | str | list[Any]
Dimension = tuple[int, ...]
DEEPEST = 20
LONGEST = 300
FUNCTIONS = ("min", "max", "abs")
LARGEST = 1e12
_BINARY: dict[str, Callable[[float, float], float]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
}
_TOKEN = re.compile(r"\s*(?:(\d+(?:\.\d+)?)|([a-z_][a-z0-9_]*(?:\.[a-z_][a-z0-9_]*)*)|([-+*/(),]))")

# exponents of m, kg, s, A, K and of charge, which is kept in A*h and so never mixes with current
# times time
_EXPONENTS: dict[str, Dimension] = {
    "length": (1, 0, 0, 0, 0, 0),
    "area": (2, 0, 0, 0, 0, 0),
    "volume": (3, 0, 0, 0, 0, 0),
    "mass": (0, 1, 0, 0, 0, 0),
    "force": (1, 1, -2, 0, 0, 0),
    "torque": (2, 1, -2, 0, 0, 0),
    "pressure": (-1, 1, -2, 0, 0, 0),
    "mass_per_length": (-1, 1, 0, 0, 0, 0),
    "weight_per_length": (0, 1, -2, 0, 0, 0),
    "voltage": (2, 1, -3, -1, 0, 0),
    "current": (0, 0, 0, 1, 0, 0),
    "resistance": (2, 1, -3, -2, 0, 0),
    "charge": (0, 0, 0, 0, 0, 1),
    "time": (0, 0, 1, 0, 0, 0),
    "speed": (1, 0, -1, 0, 0, 0),
    "angular_speed": (0, 0, -1, 0, 0, 0),
    "frequency": (0, 0, -1, 0, 0, 0),
    "flow": (3, 0, -1, 0, 0, 0),
    "temperature": (0, 0, 0, 0, 1, 0),
    "power": (2, 1, -3, 0, 0, 0),
}
PLAIN: Dimension = (0, 0, 0, 0, 0, 0)


def exponents(dimension: str) -> Dimension:
    """The exponents of m, kg, s, A, K and charge of a dimension of `units.py`; angles, percentages
    and counts are plain."""
    return _EXPONENTS.get(dimension, PLAIN)


def dimension_name(found: Dimension) -> str:
    """A dimension's name for a message; `number` for plain ones, exponents where it has no name."""
    if found == PLAIN:
        return "number"
    return next(
        (name for name in SI_UNIT if exponents(name) == found), f"quantity of dimension {found}"
    )


def parse(text: str) -> Expression:
    """A formula's text as JSON lists. Raises BadInput naming what cannot be read."""
    if len(text) > LONGEST:
        raise BadInput(f"A formula has at most {LONGEST} letters; this one has {len(text)}.")
    parser = _Parser(text)
    expression = parser.sum()
    if parser.token:
        raise BadInput(f"The formula {text!r} goes on with {parser.token!r} where it should end.")
    if depth(expression) > DEEPEST:
        raise BadInput(f"The formula {text!r} is more than {DEEPEST} levels deep. Split it.")
    return expression


class _Parser:
    """Recursive descent over the tokens of one formula."""

    def __init__(self, text: str) -> None:
        self.text, self.at, self.token, self.kind, self.level = text, 0, "", "", 0
        self.advance()

    def advance(self) -> str:
        taken, rest = self.token, self.text[self.at :]
        match = _TOKEN.match(rest)
        if match:
            self.kind = ("number", "name", "sign")[(match.lastindex or 1) - 1]
            self.token, self.at = match[match.lastindex or 1], self.at + match.end()
        elif rest.strip():
            sign = rest.strip()[0]
            raise BadInput(
                f"The formula {self.text!r} has {sign!r} in it. It takes names, numbers, + - * / ("
                " ) min max abs."
            )
        else:
            self.token, self.kind = "", "end"
        return taken

    def expect(self, sign: str) -> None:
        if self.token != sign:
            raise BadInput(
                f"The formula {self.text!r} needs {sign!r} where {self.token or 'its end'!r}"
                " stands."
            )
        self.advance()

    def sum(self) -> Expression:
        left = self.product()
        while self.token in ("+", "-"):
            left = [self.advance(), left, self.product()]
        return left

    def product(self) -> Expression:
        left = self.factor()
        while self.token in ("*", "/"):
            left = [self.advance(), left, self.factor()]
        return left

    def factor(self) -> Expression:
        self.level += 1
        if self.level > 2 * DEEPEST:
            raise BadInput(
                f"The formula {self.text!r} is more than {DEEPEST} levels deep. Split it."
            )
        try:
            return self._factor()
        finally:
            self.level -= 1

    def _factor(self) -> Expression:
        if self.token == "-":
            self.advance()
            return ["-", self.factor()]
        if self.token == "(":
            self.advance()
            inner = self.sum()
            self.expect(")")
            return inner
        if self.kind == "number":
            return float(self.advance())
        if self.kind == "name":
            name = self.advance()
            return self.call(name) if self.token == "(" else name
        raise BadInput(
            f"The formula {self.text!r} needs a name or a number where {self.token or 'its end'!r}"
            " stands."
        )

    def call(self, name: str) -> Expression:
        if name not in FUNCTIONS:
            raise BadInput(
                f"The formula {self.text!r} calls {name!r}. Only {', '.join(FUNCTIONS)} can be"
                " called."
            )
        self.advance()
        arguments = [self.sum()]
        while self.token == ",":
            self.advance()
            arguments.append(self.sum())
        self.expect(")")
        if name == "abs" and len(arguments) != 1:
            raise BadInput(
                f"The formula {self.text!r} gives abs {len(arguments)} values. It takes one."
            )
        return [name, *arguments]


def depth(expression: Expression) -> int:
    """How many lists are nested."""
    return 1 + max(depth(item) for item in expression[1:]) if isinstance(expression, list) else 0


def names(expression: Expression) -> set[str]:
    """Every name that a formula uses."""
    if isinstance(expression, list):
        return set().union(*(names(item) for item in expression[1:]))
    return {expression} if isinstance(expression, str) else set()


def substitute(
    expression: Expression, values: Mapping[str, float], keep: Set[str] = frozenset()
) -> Expression:
    """The formula with every name that is not in `keep` replaced by its number. Raises NoResult for
    a name without one."""
    if isinstance(expression, list):
        return [expression[0], *(substitute(item, values, keep) for item in expression[1:])]
    if isinstance(expression, str) and expression not in keep:
        return float(_value(expression, values))
    return expression


def evaluate(expression: Expression, values: Mapping[str, Any]) -> float:
    """The number of a formula for SI values. Raises NoResult: a missing value, a division by zero,
    a result above 1e12."""
    result = _evaluate(expression, values, 0)
    if not abs(result) <= LARGEST:
        raise NoResult("too_large")
    return result


def _evaluate(expression: Expression, values: Mapping[str, Any], level: int) -> float:
    if isinstance(expression, str):
        return float(_value(expression, values))
    if isinstance(expression, int | float) and not isinstance(expression, bool):
        return float(expression)
    if not isinstance(expression, list) or level >= DEEPEST or len(expression) < 2:
        raise NoResult("unreadable")
    return _apply(expression[0], [_evaluate(item, values, level + 1) for item in expression[1:]])


def _apply(sign: str, numbers: list[float]) -> float:
    if sign == "-" and len(numbers) == 1:
        return -numbers[0]
    if sign == "abs" and len(numbers) == 1:
        return abs(numbers[0])
    if sign in ("min", "max"):
        return min(numbers) if sign == "min" else max(numbers)
    if sign not in _BINARY or len(numbers) != 2:
        raise NoResult("unreadable")
    if sign == "/" and numbers[1] == 0:
        raise NoResult("divides_by_zero")
    left, right = numbers
    return _BINARY[sign](left, right)


def _value(name: str, values: Mapping[str, Any]) -> float:
    value = values.get(name)
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise NoResult("no_value", name=name)
    return value


def dimension(expression: Expression, dimensions: Mapping[str, Dimension]) -> Dimension:
    """The dimension of a formula's result. Raises BadInput where unlike things are added or
    compared, and for unknown names."""
    if isinstance(expression, str):
        if expression not in dimensions:
            raise BadInput(f"The name {expression!r} has no number here.")
        return dimensions[expression]
    if not isinstance(expression, list):
        return PLAIN
    sign, *arguments = expression
    found = [dimension(item, dimensions) for item in arguments]
    if sign in ("*", "/"):
        times = 1 if sign == "*" else -1
        return tuple(a + times * b for a, b in zip(*found, strict=True))
    counted = [item for item, argument in zip(found, arguments, strict=True) if argument != 0] or [
        PLAIN
    ]
    if any(item != counted[0] for item in counted):
        kinds = " and a ".join(dict.fromkeys(dimension_name(item) for item in counted))
        raise BadInput(
            f"The formula puts a {kinds} together with {sign!r}. Only like things can be."
        )
    return counted[0]
