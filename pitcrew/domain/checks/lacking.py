"""What the sheet does not give for a check on a part: missing fields, and those that are only
assumed, in words."""

from collections.abc import Collection, Iterator

from pitcrew.domain.checks.checklists import Check
from pitcrew.domain.checks.formulas import Expression, names, parse
from pitcrew.domain.checks.limitrules import PLACEHOLDER, FigureCall, LimitRule
from pitcrew.domain.checks.scope import PART
from pitcrew.domain.robot.buildsheet import Part
from pitcrew.domain.robot.notknown import MARK
from pitcrew.domain.robot.partkinds import KINDS
from pitcrew.engineering import catalogue


def lacking(check: Check, part: Part, known: Collection[str]) -> list[str]:
    """The fields of `part` that the check's rule or `where` needs and that are not among the
    `known` names, in the order of the kind's fields; what the kind does not have comes last."""
    needed = {*check.lacks(part), *(_fields(check.limit_rule) - set(known))}
    order = [field.name for field in KINDS[part.kind].fields] if part.kind in KINDS else []
    plain = {name.removeprefix(PART) for name in needed}
    return [name for name in order if name in plain] + sorted(plain - set(order))


def used_fields(check: Check) -> set[str]:
    """The fields of a part's specification that a check computes with or is chosen by."""
    calls = [*check.limit_rule.given.values(), check.limit_rule.figure]
    references = [item for call in calls if call for item in call.references.values()]
    return set(check.where) | {
        name.removeprefix(PART) for name in _fields(check.limit_rule).union(*map(names, references))
    }


def assumed_words(check: Check, part: Part) -> str:
    """What a check's verdict on this part rests on that is only assumed; empty where nothing is."""
    calls = [*check.limit_rule.given.values(), check.limit_rule.figure]
    references = [item for call in calls if call for item in call.references.values()]
    used = set(check.where) | {
        name.removeprefix(PART) for name in _fields(check.limit_rule).union(*map(names, references))
    }
    words = [
        f"{name.replace('_', ' ')} {part.typed[name].removesuffix(MARK)}"
        for name in part.open
        if name in used and name in part.specs
    ]
    return f"Assumed, not confirmed: {_and(words)}" if words else ""


def lacking_sentence(fields: list[str], file: str) -> str:
    """`Supply low and supply high are not known …`, with where to put them."""
    words = _and([field.replace("_", " ") for field in fields])
    verb = "is" if len(fields) == 1 else "are"
    return (
        f"{words[0].upper()}{words[1:]} {verb} not known, so this can't be judged."
        f" Put {_and(fields)} into {file}."
    )


def _fields(rule: LimitRule) -> set[str]:
    """`part.…` names that a rule cannot do without."""
    found = set().union(*map(names, _expressions(rule)))
    return {name for name in found if name.startswith(PART)}


def _expressions(rule: LimitRule) -> Iterator[Expression]:
    calls = [*rule.given.values(), *([rule.figure] if rule.figure else [])]
    for call in calls:
        yield from _needed_references(call)
    yield from (amount.expression for amount in rule.bounds.values())
    if rule.result is not None:
        yield rule.result
    if rule.uncertainty is not None:
        yield rule.uncertainty.expression
    for condition in (*rule.unjudged_when, *rule.stop_when):
        yield from (condition.left, condition.right.expression)
    for text in (rule.because, *rule.say.values()):
        yield from (parse(formula) for formula in PLACEHOLDER.findall(text))


def _needed_references(call: FigureCall) -> Iterator[Expression]:
    """The references to parameters that the figure must have."""
    figure = catalogue.find(call.figure)
    for name, expression in call.references.items():
        if figure.parameters[name].required:
            yield expression


def _and(words: list[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))
