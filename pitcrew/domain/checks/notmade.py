"""Why the limit of a check on a part could not be made."""

from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.domain.checks.formulas import names
from pitcrew.domain.checks.lacking import PART
from pitcrew.domain.checks.limitrules import FigureCall


class NotJudged(Exception):
    """No limit can be computed for this part; the sentence says why. `fields` are those of its
    specification that lie outside what a figure can do."""

    def __init__(self, sentence: str, fields: tuple[str, ...] = ()) -> None:
        super().__init__(sentence)
        self.fields = fields


class Mistaken(Exception):
    """The checklist is wrong here: key, what was found, what is wanted."""


class NotGiven(Exception):
    """The part's specification lacks this name, which the check needs."""


def refused_fields(call: FigureCall, error: BadInput) -> tuple[str, ...]:
    """The fields of the part behind the argument that a figure refused; all that it was given
    where it named none.

    A word that no table has is no number outside a range: the reading of build sheets tells of it.
    """
    if isinstance(error, UnknownName):
        return ()
    named = call.references.get(error.field or "")
    asked = call.references.values() if named is None else (named,)
    found = {name for expression in asked for name in names(expression)}
    return tuple(sorted(name.removeprefix(PART) for name in found if name.startswith(PART)))
