"""By what rule a check is judged: the `[check.limit]` of a checklist, read and checked without any
robot."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Literal, TypedDict, cast

from pitcrew.base.errors import BadInput, UnknownName, nearest
from pitcrew.base.settings import BY_NAME as SETTINGS
from pitcrew.base.typed import split_amount
from pitcrew.base.units import dimension_of, parse_quantity, unit_name
from pitcrew.base.unittable import UNITS
from pitcrew.domain.checks.fields import BOUNDS, LIMIT_FIELDS
from pitcrew.domain.checks.formulas import Expression, names, parse
from pitcrew.domain.holding.names import CLIMB_NAMES, LINK_NAMES
from pitcrew.domain.robot.instruments import INSTRUMENTS
from pitcrew.domain.robot.mistakes import NOTHING, Mistakes
from pitcrew.domain.robot.partkinds import KINDS
from pitcrew.domain.robot.tables import read_table
from pitcrew.engineering import catalogue
from pitcrew.engineering.figures import Figure
from pitcrew.engineering.parameters import Argument

PREFIXES = ("part", "robot", "setting", "given", "instrument", "climb", "link")
ROBOT_NAMES = ("mass", "length", "width")
SAY_WORDS = ("ok", "watch", "stop", "unjudged", *BOUNDS)
PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
_REFERENCE = re.compile(r"\b(?:" + "|".join(PREFIXES) + r")\.[a-z_]")
_CONSTANT = re.compile(r"[-+]?\d+(?:[.,]\d+)?\s*([^\d\s.,+()-].*)")
_COMPARISON = re.compile(r"(.+?)\s*(>=|<=|==|>|<)\s*(.+)")


ConditionWord = Literal["unjudged_when", "stop_when"]
LimitTable = TypedDict(
    "LimitTable",
    {
        "result": str,
        "figure": str,
        "with": dict[str, object],
        "given": dict[str, object],
        "stop_low": object,
        "watch_low": object,
        "watch_high": object,
        "stop_high": object,
        "sanity": str,
        "unit": str,
        "instrument": str,
        "uncertainty": object,
        "watch_guard": str,
        "alone": bool,
        "unjudged_when": list[dict[str, object]],
        "stop_when": list[dict[str, object]],
        "because": str,
        "source": str,
        "say": dict[str, object],
    },
    total=False,
)
"""A `[check.limit]` whose keys have the kinds that `LIMIT_FIELDS` wants; what is `object` is read
further on."""


@dataclass(frozen=True)
class Amount:
    """A formula, or a constant (SI) of a dimension."""

    expression: Expression
    dimension: str = ""


@dataclass(frozen=True)
class FigureCall:
    """A figure of the catalogue and its arguments: a name, a formula over names (both as
    Expression), or a typed constant."""

    figure: str
    references: dict[str, Expression] = field(default_factory=dict)
    constants: dict[str, Argument] = field(default_factory=dict)


@dataclass(frozen=True)
class Condition:
    """A comparison over the inputs that makes a reading unjudged, or stop."""

    left: Expression
    operator: str
    right: Amount
    sentence: str


@dataclass(frozen=True)
class LimitRule:
    """How the limit of a check is made for a part."""

    result: Expression | None = None
    figure: FigureCall | None = None
    given: dict[str, FigureCall] = field(default_factory=dict)
    bounds: dict[str, Amount] = field(default_factory=dict)
    unit: str = ""
    instrument: str = ""
    uncertainty: Amount | None = None
    unjudged_when: tuple[Condition, ...] = ()
    stop_when: tuple[Condition, ...] = ()
    because: str = ""
    source: str = ""
    say: dict[str, str] = field(default_factory=dict)
    sanity: str = ""
    watch_guard: str = ""
    alone: bool = False


@dataclass
class _Place:
    """Where in the file we are, which names a formula may use there, and where mistakes go."""

    text: str
    mistakes: Mistakes
    names: set[str]

    def note(self, key: str, found: object, wanted: str, close: str | None = "") -> None:
        self.mistakes.add(f"{self.text}{key}", found, wanted, close)


def read_limit_rule(
    table: Mapping[str, object],
    inputs: Mapping[str, str],
    kind: str,
    place: str,
    mistakes: Mistakes,
    texts: Iterable[str] = (),
) -> LimitRule:
    """The rule of a check with those inputs (name -> unit, empty for words) on parts of `kind`;
    mistakes are noted.

    `texts` are the check's other sentences, whose {formulas} may use the same names.
    """
    values = cast(LimitTable, read_table(table, LIMIT_FIELDS, place, mistakes))
    here = _Place(place, mistakes, set(base_names(kind)))
    given = _read_given(values, here)
    figure = (
        _read_call({"figure": values["figure"], "with": values.get("with", {})}, "", here)
        if "figure" in values
        else None
    )
    found = _Place(place, mistakes, here.names | ({"value", *_extras(figure)} if figure else set()))
    if figure is None and "figure" in values:
        # its names are not known, so nothing more can be said about the formulas over them
        return LimitRule()
    readings = _Place(place, mistakes, found.names | set(inputs))
    bounds = _read_amounts(values, BOUNDS, found)
    for text in (values.get("because", ""), *texts):
        _check_placeholders(text, found)
    result = _read_result(values, inputs, readings)
    if result is None and any(name in values for name in BOUNDS):
        here.note(
            ".result",
            NOTHING,
            "a formula over the inputs, since there is not one number input alone",
        )
    return LimitRule(
        result,
        figure,
        given,
        bounds,
        _read_unit(values, inputs, result, here),
        _read_instrument(values, here),
        _read_amounts(values, ("uncertainty",), found).get("uncertainty"),
        _read_conditions(values, "unjudged_when", readings, found),
        _read_conditions(values, "stop_when", readings, found),
        values.get("because", ""),
        values.get("source", ""),
        _read_say(values.get("say", {}), found),
        values.get("sanity", ""),
        values.get("watch_guard", ""),
        values.get("alone", False),
    )


@cache
def base_names(kind: str) -> frozenset[str]:
    """The dotted names that formulas of a check on parts of `kind` may use (of any kind where it is
    empty)."""
    kinds = [KINDS[kind]] if kind in KINDS else list(KINDS.values())
    names = {
        *(f"part.{item.name}" for part_kind in kinds for item in part_kind.fields),
        *(f"robot.{name}" for name in ROBOT_NAMES),
        *(f"setting.{name}" for name in SETTINGS),
        *(f"instrument.{name}{part}" for name in INSTRUMENTS for part in ("", ".share", ".floor")),
        *(f"climb.{name}" for name in CLIMB_NAMES),
        *(f"link.{name}" for name in LINK_NAMES),
    }
    return frozenset(names)


def _read_given(values: LimitTable, here: _Place) -> dict[str, FigureCall]:
    """The figures computed first; formulas may use their names from here on."""
    given = {}
    for name, table in values.get("given", {}).items():
        call = _read_call(table, f".given.{name}", here)
        here.names |= {f"given.{name}", *(f"given.{name}.{extra}" for extra in _extras(call))}
        if call:
            given[name] = call
    return given


def _read_amounts(
    values: Mapping[str, object], names: Iterable[str], found: _Place
) -> dict[str, Amount]:
    """Those of the named amounts that are there and could be read."""
    amounts = {
        name: _read_amount(values[name], f".{name}", found) for name in names if name in values
    }
    return {name: amount for name, amount in amounts.items() if amount is not None}


def _extras(call: FigureCall | None) -> tuple[str, ...]:
    return tuple(catalogue.find(call.figure).extra_units) if call else ()


def _read_call(table: object, key: str, here: _Place) -> FigureCall | None:
    if (
        not isinstance(table, dict)
        or set(table) - {"figure", "with"}
        or not isinstance(table.get("figure"), str)
        or not isinstance(table.get("with", {}), dict)
    ):
        here.note(key, table, '{ figure = "…", with = { … } }')
        return None
    try:
        figure = catalogue.find(table["figure"])
    except UnknownName as error:
        here.note(
            f"{key}.figure",
            table["figure"],
            "a figure of the catalogue (pitcrew figure --list)",
            error.nearest,
        )
        return None
    references: dict[str, Expression] = {}
    constants: dict[str, Argument] = {}
    for name, raw in table.get("with", {}).items():
        where = f"{key}.with.{name}"
        if name not in figure.parameters:
            here.note(where, raw, f"a parameter of {figure.name}", nearest(name, figure.parameters))
        elif isinstance(raw, str) and _REFERENCE.search(raw):
            formula = _read_formula(raw, where, here)
            references |= {} if formula is None else {name: formula}
        else:
            constants |= _read_constant(figure, name, raw, where, here)
    for name, parameter in figure.parameters.items():
        if parameter.required and name not in table.get("with", {}):
            here.note(
                f"{key}.with", NOTHING, f"{name} ({parameter.meaning}), which {figure.name} needs"
            )
    return FigureCall(figure.name, references, constants)


def _read_constant(
    figure: Figure, name: str, raw: object, where: str, here: _Place
) -> dict[str, Argument]:
    try:
        return {name: figure.read(name, raw)}
    except BadInput as error:
        here.note(where, raw, error.sentence)
        return {}


def _read_formula(raw: str, key: str, here: _Place) -> Expression | None:
    try:
        expression = parse(raw)
    except BadInput as error:
        here.note(key, raw, error.sentence)
        return None
    for name in sorted(names(expression) - here.names):
        here.note(key, name, "a name that is known in this formula", nearest(name, here.names))
    return expression


def _read_amount(raw: object, key: str, here: _Place) -> Amount | None:
    """A constant with its unit, a plain number, or a formula."""
    if isinstance(raw, int | float) and not isinstance(raw, bool):
        return Amount(float(raw))
    if not isinstance(raw, str):
        here.note(key, raw, 'a formula, or a constant with its unit such as "12.7 V"')
        return None
    spelled = _amount_dimension(raw)
    if spelled:
        return Amount(parse_quantity(raw, spelled).si, spelled)
    constant = _CONSTANT.fullmatch(raw.strip())
    if constant is None or constant[1][0] in "*/":
        expression = _read_formula(raw, key, here)
        return None if expression is None else Amount(expression)
    try:
        dimension = dimension_of(constant[1])
        return Amount(parse_quantity(raw, dimension).si, dimension)
    except BadInput as error:
        here.note(key, raw, error.sentence)
        return None


@lru_cache(maxsize=4096)
def _amount_dimension(raw: str) -> str:
    """The dimension of a number with a unit behind it (`16¼ in`, `1' 6"`), empty for all else."""
    try:
        unit = split_amount(raw)[1]
        return dimension_of(unit) if unit else ""
    except BadInput:
        return ""


def _read_result(values: LimitTable, inputs: Mapping[str, str], here: _Place) -> Expression | None:
    if "result" in values:
        return _read_formula(values["result"], ".result", here)
    numbers = [name for name, unit in inputs.items() if unit]
    return numbers[0] if len(numbers) == 1 else None


def _read_unit(
    values: LimitTable, inputs: Mapping[str, str], result: Expression | None, here: _Place
) -> str:
    raw = values.get("unit") or (inputs.get(result, "") if isinstance(result, str) else "")
    if not raw and "result" in values:
        here.note(".unit", NOTHING, "the unit in which the result is shown")
    try:
        return unit_name(raw) if raw else ""
    except BadInput as error:
        here.note(".unit", raw, error.sentence, nearest(raw, UNITS))
        return ""


def _read_instrument(values: LimitTable, here: _Place) -> str:
    name = values.get("instrument", "")
    if name and name not in INSTRUMENTS:
        here.note(
            ".instrument", name, "one of " + ", ".join(INSTRUMENTS), nearest(name, INSTRUMENTS)
        )
    return name


def _read_conditions(
    values: LimitTable, word: ConditionWord, here: _Place, constants: _Place
) -> tuple[Condition, ...]:
    conditions = []
    for number, table in enumerate(values.get(word, []), 1):
        key = f".{word} {number}"
        match = _COMPARISON.fullmatch(str(table.get("if", "")))
        if set(table) != {"if", "say"} or not match or not isinstance(table["say"], str):
            here.note(key, table, '{ if = "case > 30 degC", say = "…" } with one of > >= < <= ==')
            continue
        left, right = _read_formula(match[1], key, here), _read_amount(match[3], key, constants)
        if left is not None and right is not None:
            conditions.append(Condition(left, match[2], right, table["say"]))
    return tuple(conditions)


def _check_placeholders(text: str, here: _Place) -> None:
    for formula in PLACEHOLDER.findall(text):
        _read_formula(formula, "", here)


def _read_say(say: Mapping[str, object], here: _Place) -> dict[str, str]:
    for word, sentence in say.items():
        if word not in SAY_WORDS:
            here.note(
                f".say.{word}", sentence, "one of " + ", ".join(SAY_WORDS), nearest(word, SAY_WORDS)
            )
        elif not isinstance(sentence, str):
            here.note(f".say.{word}", sentence, "a sentence in quotes")
        else:
            _check_placeholders(sentence, here)
    return {
        word: sentence
        for word, sentence in say.items()
        if word in SAY_WORDS and isinstance(sentence, str)
    }
