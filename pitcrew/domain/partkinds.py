"""The kinds of parts that a build sheet may have, and the specification that each kind asks for.

One table feeds the reading of build sheets, their JSON Schema and the page that documents the format.
"""

from dataclasses import dataclass

from pitcrew.domain.tables import Field


@dataclass(frozen=True)
class PartKind:
    """What a kind of part is, and the fields of its specification."""

    name: str
    meaning: str
    fields: tuple[Field, ...]


def _need(name: str, kind: str, meaning: str, *choices: str, above: float | None = None, most: float | None = None) -> Field:
    return Field(name, kind, meaning, choices=choices, least=above, most=most)


def _may(name: str, kind: str, meaning: str, *choices: str, default: object = None, least: float | None = None) -> Field:
    return Field(name, kind, meaning, required=False, default=default, choices=choices, least=least)


PART_FIELDS: tuple[Field, ...] = (
    Field("id", "id", "subsystem.group.name, two or more dotted words"),
    Field("label", "text", "the name on screen and paper"),
    Field("zone", "id", "id of the zone in which it sits"),
    Field("kind", "id", "one of the part kinds"),
    Field("climb_critical", "yes_no", "whether the climb hangs on it", required=False, default=False),
)
"""The keys that every part has beside its kind's own."""

_KINDS = (
    PartKind("roller-chain", "a roller chain drive", (
        _need("size", "text", "chain number: 25, 35, 41, 40 or 50"),
        _need("span", "length", "free span of the slack side, sprocket to sprocket", above=0.01),
        _need("duty", "words", "shock: reversing, vertical or jerky drives", "normal", "shock"),
        _need("teeth", "count", "teeth of the larger sprocket", above=6),
        _may("fixed_centres", "yes_no", "whether the centres cannot be moved apart", default=False),
        _may("pitches", "count", "pitches over which wear is measured", default=16, least=6),
    )),
)
KINDS: dict[str, PartKind] = {kind.name: kind for kind in _KINDS}
