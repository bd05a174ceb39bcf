"""Makes the limit of one check on one part: figures, bounds, guard bands and sentences from the
part's specification. Read `LimitMaker.limit` first: the rest is below it in the order of its steps.
"""

import math
from dataclasses import replace
from typing import Any

import msgspec

from pitcrew.base.accuracy import Accuracy
from pitcrew.base.errors import BadInput
from pitcrew.base.units import (
    SYSTEMS,
    dimension_of,
    from_si,
    number_text,
    scale_of,
    screen_name,
    screen_unit,
    show,
    to_si,
)
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.checks import formulas
from pitcrew.domain.checks.checklists import Check, Input
from pitcrew.domain.checks.fields import BOUNDS
from pitcrew.domain.checks.formulas import (
    PLAIN,
    Dimension,
    Expression,
    dimension_name,
    exponents,
)
from pitcrew.domain.checks.limitrules import PLACEHOLDER, Amount, Condition, FigureCall
from pitcrew.domain.checks.limitshape import (
    Limit,
    accept_window,
    input_limit,
    stops_alone,
    too_coarse,
    window_texts,
    write_sentences,
)
from pitcrew.domain.checks.noresult import NoResult
from pitcrew.domain.checks.scope import (
    Mistaken,
    Named,
    NotGiven,
    NotJudged,
    dimensions,
    fill,
    numbers,
    outcome_scope,
    refused_fields,
)
from pitcrew.domain.robot.instruments import INSTRUMENTS
from pitcrew.engineering import catalogue
from pitcrew.engineering.measurement import guard_width
from pitcrew.engineering.parameters import Parameter

MOST_DECIMALS = 6
LEFT_MINUTES = 0.2
"""How long it takes to read that a check cannot be made."""


class LimitMaker:
    """Makes the limit of one check; `scope` holds what its formulas may name, `system` the team's
    units, `assumed` what of the part's specification no one has confirmed, as a sentence."""

    def __init__(
        self, check: Check, scope: dict[str, Named], system: str, assumed: str = ""
    ) -> None:
        self.assumed = assumed
        self.check = replace(
            check, inputs=tuple(_in_team_units(item, system) for item in check.inputs)
        )
        self.rule, self.scope, self.system = check.limit_rule, scope, system
        self.input_dimensions = {
            item.name: exponents(dimension_of(item.unit))
            for item in check.inputs
            if item.kind == "number"
        }

    def limit(self) -> Limit:
        """The whole limit. Raises NotJudged, NotGiven and Mistaken."""
        for name, call in self.rule.given.items():
            self._run(call, f"given.{name}", f"given.{name}")
        reason, source = self._run(self.rule.figure, "", "with") if self.rule.figure else ("", "")
        self._check_words()
        because = self._fill(self.rule.because) or reason
        whole = ". ".join(filter(None, (because.rstrip("."), self.assumed)))
        plain = self._plain(whole if self.assumed else because, self.rule.source or source)
        plain = msgspec.structs.replace(
            plain,
            unjudged_when=self._conditions(self.rule.unjudged_when, "unjudged_when"),
            stop_when=self._conditions(self.rule.stop_when, "stop_when"),
        )
        numbered = plain if self.rule.result is None else self._numbered(plain, self.rule.result)
        numbered = msgspec.structs.replace(numbered, good=list(window_texts(numbered)))
        said = msgspec.structs.replace(numbered, sentences=write_sentences(numbered, self._reach))
        return stops_alone(said) if self.rule.alone else said

    def unjudged(self, because: str) -> Limit:
        """The limit of a check whose number cannot be judged; its answers still can."""
        plain = self._plain("", "")
        return msgspec.structs.replace(
            plain, sentences=write_sentences(plain), unjudged_because=because
        )

    def check_on_part(self, unjudged_because: str = "") -> Check:
        """The check with its sentences written out for this part (after `limit` or `unjudged`).

        Where it cannot be judged and a number is missing from its instructions, no one is asked to
        do it: a hand on a switch must know where to stop.
        """
        texts = (self.check.ask, self.check.how, *self.check.cautions)
        if unjudged_because and not all(map(self._known, texts)):
            return replace(
                self.check,
                ask=f"{self.check.label}: leave it for now",
                how=unjudged_because,
                drawing="",
                minutes=min(self.check.minutes, LEFT_MINUTES),
                cautions=tuple(filter(self._known, self.check.cautions)),
            )
        cautions = tuple(self._fill(caution) for caution in self.check.cautions)
        return replace(
            self.check,
            ask=self._fill(self.check.ask),
            how=self._fill(self.check.how),
            cautions=cautions,
        )

    def _known(self, text: str) -> bool:
        """Whether every name in a text has a value for this part."""
        found = map(formulas.parse, PLACEHOLDER.findall(text))
        return all(formulas.names(expression) <= self.scope.keys() for expression in found)

    def _plain(self, because: str, source: str) -> Limit:
        """Everything but the numbers."""
        return Limit(
            because=because,
            source=source,
            say={word: self._fill(text) for word, text in self.rule.say.items()},
            answers={item.name: dict(item.options) for item in self.check.inputs if item.options},
            inputs={item.name: input_limit(item) for item in self.check.inputs},
        )

    def _numbered(self, plain: Limit, formula: Expression) -> Limit:
        """The bounds, guards and the formula, with the screen unit they are shown in."""
        unit = _shown_unit(self.rule.unit, self.system)
        wanted = exponents(dimension_of(unit))
        result = self._formula(formula, wanted, "result")
        bounds = {
            name: self._amount(amount, wanted, name) for name, amount in self.rule.bounds.items()
        }
        ordered = [bounds[name] for name in BOUNDS if name in bounds]
        if ordered != sorted(ordered):
            raise Mistaken(
                "bounds",
                ", ".join(show(bound, unit) for bound in ordered),
                f"{', '.join(BOUNDS)} in rising order",
            )
        scale, offset = scale_of(unit)
        decimals = _decimals(max((abs((bound - offset) / scale) for bound in ordered), default=0.0))
        return msgspec.structs.replace(
            plain,
            unit=SI_UNIT[dimension_of(unit)],
            shown=unit,
            shown_name="" if unit in ("1", "x") else screen_name(unit),
            scale=scale,
            offset=offset,
            decimals=decimals,
            result=result,
            guards={name: self._guard(name, bound, wanted) for name, bound in bounds.items()},
            **bounds,
        )

    def _guard(self, name: str, bound: float, wanted: Dimension) -> float:
        """Width of the guard band at a bound, one-sided, from the instrument or the stated
        uncertainty.

        It belongs to the stop bounds: a watch bound costs nothing but another look.
        """
        off = self._off_by(bound, wanted)
        guarded = name.startswith("stop") or bool(self.rule.watch_guard)
        return guard_width(off) if off is not None and guarded else 0.0

    def _off_by(self, bound: float, wanted: Dimension) -> float | None:
        """How far a result at a bound may be off (k = 2), SI; None where nothing is measured
        with."""
        found = self._uncertainty(bound)
        if found is None:
            return None
        value, kind = found
        share = kind == "percent" and dimension_of(self.rule.unit) != "percent"
        if not share and exponents(kind) != wanted:
            key = "uncertainty" if self.rule.uncertainty else "instrument"
            raise Mistaken(
                key, _a(exponents(kind)), f"an uncertainty that is {_a(wanted)}, or in %"
            )
        return value / 100 * abs(bound) if share else value

    def _uncertainty(self, bound: float) -> tuple[float, str] | None:
        """The expanded uncertainty (k = 2) of a result at a bound, and its dimension."""
        stated = self.rule.uncertainty
        if stated is None:
            return (
                self._instrument_at(self.rule.instrument, bound) if self.rule.instrument else None
            )
        if stated.dimension:
            return self._evaluate(stated.expression), stated.dimension
        found = self._dimension(stated.expression, "uncertainty")
        return self._evaluate(stated.expression), (
            dimension_of(self.rule.unit) if found == PLAIN else dimension_name(found)
        )

    def _instrument_at(self, name: str, bound: float) -> tuple[float, str]:
        """How far an instrument may be off at a bound: percent where it is only a share, else in
        its own dimension."""
        share, floor = (self._evaluate(f"instrument.{name}.{part}") for part in ("share", "floor"))
        if share and not floor:
            return 100 * share, "percent"
        return Accuracy(share, floor).at(bound), INSTRUMENTS[name].dimension

    def _reach(self, bound: float) -> str:
        """`the ruler can be off by ±1 mm`, there."""
        found = self._uncertainty(bound)
        if found is None:
            return ""
        value, kind = found
        unit = "%" if kind == "percent" else _shown_unit(self.rule.unit, self.system)
        return (
            f"{self._owner} can be off by ±{number_text(value / scale_of(unit)[0], 2)}"
            f" {screen_name(unit)}"
        )

    @property
    def _owner(self) -> str:
        """What may be off: the instrument, or the reading where the check states it."""
        stated = self.rule.uncertainty is not None or not self.rule.instrument
        return "the reading" if stated else INSTRUMENTS[self.rule.instrument].label

    def too_coarse(self, limit: Limit) -> tuple[str, str] | None:
        """What is measured with too coarse a thing for the window, and what would do; None where it
        can tell."""
        ends = [end for end in accept_window(limit) if end is not None]
        wanted = exponents(dimension_of(limit.shown))
        off = max((self._off_by(end, wanted) or 0.0 for end in ends), default=0.0)
        return too_coarse(limit, self._owner, off) if off else None

    def _fill(self, text: str) -> str:
        return fill(text, self.scope, self.system)

    def _run(self, call: FigureCall, prefix: str, key: str) -> tuple[str, str]:
        """Compute a figure, add its names to the scope, and give its reason and source."""
        figure = catalogue.find(call.figure)
        arguments = dict(call.constants)
        for name, expression in call.references.items():
            if figure.parameters[name].required or formulas.names(expression) <= self.scope.keys():
                arguments[name] = self._argument(
                    expression, figure.parameters[name], f"{key}.{name}"
                )
        try:
            outcome = figure.compute(arguments)
        except BadInput as error:
            lacking = call.references.get(error.field or "")
            if lacking is not None and error.field not in arguments:
                self._need(lacking)
            raise NotJudged(error.sentence, refused_fields(call, error)) from None
        self.scope |= outcome_scope(figure, outcome, prefix)
        return outcome.say(self.system), figure.source

    def _argument(
        self, expression: Expression, parameter: Parameter, key: str
    ) -> float | str | bool:
        self._need(expression)
        named = self.scope[expression] if isinstance(expression, str) else None
        if parameter.kind in ("choice", "text", "yes_no"):
            if named is None or isinstance(named.value, bool) != (parameter.kind == "yes_no"):
                raise Mistaken(
                    key,
                    str(named.value) if named else "a formula",
                    f"{parameter.meaning} ({parameter.kind})",
                )
            return named.value if parameter.kind == "yes_no" else named.word
        if parameter.kind not in ("quantity", "number", "count"):
            raise Mistaken(key, parameter.kind, "a constant in the checklist")
        value = self._amount(Amount(expression), exponents(parameter.dimension or "number"), key)
        return int(value) if parameter.kind == "count" and value.is_integer() else value

    def _amount(self, amount: Amount, wanted: Dimension, key: str) -> float:
        """An amount in SI, which must have the dimension that belongs here."""
        stated = exponents(amount.dimension) if amount.dimension else None
        self._expect(stated or self._dimension(amount.expression, key), wanted, key)
        return self._evaluate(amount.expression)

    def _formula(self, expression: Expression, wanted: Dimension, key: str) -> Expression:
        """A formula over the inputs with all else put in as numbers."""
        self._expect(self._dimension(expression, key), wanted, key, ", as its unit says")
        return formulas.substitute(
            expression, numbers(self.scope, expression), self.input_dimensions.keys()
        )

    def _expect(self, found: Dimension, wanted: Dimension, key: str, why: str = "") -> None:
        if found != wanted:
            raise Mistaken(key, _a(found), f"{_a(wanted)}{why}")

    def _conditions(
        self, items: tuple[Condition, ...], word: str
    ) -> list[tuple[Any, str, float, str]]:
        return [self._condition(item, f"{word} {number}") for number, item in enumerate(items, 1)]

    def _condition(self, item: Condition, key: str) -> tuple[Any, str, float, str]:
        dimension = self._dimension(item.left, key)
        right = self._amount(item.right, dimension, key)
        left = self._formula(item.left, dimension, key)
        return left, item.operator, right, self._fill(item.sentence)

    def _dimension(self, expression: Expression, key: str) -> Dimension:
        self._need(expression)
        try:
            return formulas.dimension(
                expression, {**dimensions(self.scope, expression), **self.input_dimensions}
            )
        except BadInput as error:
            raise Mistaken(key, "a formula that does not add up", error.sentence) from None

    def _evaluate(self, expression: Expression) -> float:
        self._need(expression)
        try:
            return formulas.evaluate(expression, numbers(self.scope, expression))
        except NoResult as error:
            raise NotJudged(error.sentence) from None

    def _need(self, expression: Expression) -> None:
        """Raise NotGiven for a name that this part's specification does not give."""
        for name in sorted(formulas.names(expression) - self.input_dimensions.keys()):
            if name not in self.scope:
                raise NotGiven(name)

    def _check_words(self) -> None:
        """Every {name} in because and say must have a value for this part."""
        for text in (self.rule.because, *self.rule.say.values()):
            for formula in PLACEHOLDER.findall(text):
                self._need(formulas.parse(formula))


def _in_team_units(item: Input, system: str) -> Input:
    """A number input in the unit that the team measures in."""
    unit = _shown_unit(item.unit, system) if item.kind == "number" else item.unit
    if unit == item.unit:
        return item
    least, most = (
        None if bound is None else round(from_si(to_si(bound, item.unit), unit), 3)
        for bound in (item.least, item.most)
    )
    return replace(item, unit=unit, least=least, most=most)


def _shown_unit(unit: str, system: str) -> str:
    """The check's own unit, or the team's where its system measures such a thing otherwise."""
    wanted = dimension_of(unit)
    differs = SYSTEMS[system].get(wanted) != SYSTEMS["metric"].get(wanted)
    return screen_unit(wanted, system) if differs else unit


def _decimals(largest: float) -> int:
    """Decimals that give a number of that size three figures."""
    return min(MOST_DECIMALS, max(0, 2 - math.floor(math.log10(largest)))) if largest else 2


def _a(found: Dimension) -> str:
    """A dimension with its article: `a length`, `an area`."""
    name = dimension_name(found).replace("_", " ")
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"
