"""The shape of a kind of part, and short ways to write down the fields of its specification."""

from dataclasses import dataclass

from pitcrew.domain.robot.tables import Field


@dataclass(frozen=True)
class PartKind:
    """What a kind of part is, and the fields of its specification."""

    name: str
    meaning: str
    fields: tuple[Field, ...] = ()


def need(
    name: str,
    kind: str,
    meaning: str,
    *choices: str,
    least: float | None = None,
    most: float | None = None,
) -> Field:
    """A field that every part of the kind must have."""
    return Field(name, kind, meaning, choices=choices, least=least, most=most)


def may(
    name: str,
    kind: str,
    meaning: str,
    *choices: str,
    default: object = None,
    least: float | None = None,
    most: float | None = None,
    later: bool = False,
) -> Field:
    """A field that may be left out. What is left out without a default is not stated, and a climb
    that needs it is blocked.

    `later`: older sheets were not asked for it, so that off the climb its lack is only noticed.
    """
    return Field(
        name,
        kind,
        meaning,
        required=False,
        default=default,
        choices=choices,
        least=least,
        most=most,
        later=later,
    )
