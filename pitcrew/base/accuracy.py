"""How far an instrument may be off: a share of what it shows and a floor, as makers state it (0.5 %
+ 2 digits)."""

import re
from dataclasses import dataclass

from pitcrew.base.errors import BadQuantity
from pitcrew.base.units import parse_quantity, screen_unit, show
from pitcrew.base.unittable import SI_UNIT


@dataclass(frozen=True)
class Accuracy:
    """An expanded uncertainty (k = 2): `share` of the reading (0.005 is 0.5 %) and `floor` in
    SI."""

    share: float = 0.0
    floor: float = 0.0

    def at(self, reading: float) -> float:
        """How far a reading may be off, in the reading's SI unit."""
        return self.share * abs(reading) + self.floor

    def text(self, dimension: str) -> str:
        """`0.5 % + 0.02 V`, `6 %`, `1 mm`."""
        share = f"{100 * self.share:.3g} %" if self.share else ""
        floor = (
            show(self.floor, screen_unit(dimension, "metric")) if self.floor or not share else ""
        )
        return " + ".join(part for part in (share, floor) if part)


def parse_accuracy(text: object, dimension: str) -> Accuracy:
    """Read `"20 mV"`, `"6 %"`, `"0.5 % + 20 mV"` or `"±(0.5 % + 2 x 10 mV)"`. Raises
    BadQuantity."""
    if not isinstance(text, str):
        raise BadQuantity(
            f"{text!r} has no unit. Write it in quotes, such as {accuracy_example(dimension)}."
        )
    share = floor = 0.0
    for piece in (
        text.strip().removeprefix("±").strip().removeprefix("(").removesuffix(")").split("+")
    ):
        if "digit" in piece or "count" in piece:
            raise BadQuantity(
                f"{piece.strip()!r} does not say how large a digit is. Write it as 2 x 10 mV."
            )
        times, _, single = (
            piece.rpartition("x") if re.match(r"\s*\d+\s*x\s", piece) else ("1", "", piece)
        )
        if piece.strip().endswith("%"):
            share += parse_quantity(piece, "percent").si / 100
        else:
            floor += int(times) * parse_quantity(single, dimension).si
    if share < 0 or floor < 0 or share > 1:
        raise BadQuantity(
            f"{text!r} is below 0 or beyond the reading itself. Write it without a sign."
        )
    return Accuracy(share, floor)


def accuracy_example(dimension: str) -> str:
    """What a person could type: `"0.5 % + 1 V"`."""
    return f'"1 {SI_UNIT[dimension]}", "2 %" or both: "0.5 % + 1 {SI_UNIT[dimension]}"'
