"""The forms of robot logs and capacity tests."""

import re
from typing import Any

from flask_wtf.file import FileField, FileRequired
from wtforms import SelectField
from wtforms.fields.choices import SelectChoice
from wtforms.validators import InputRequired, ValidationError

from pitcrew.base.errors import BadInput
from pitcrew.base.units import parse_quantity
from pitcrew.engineering.capacity import read_points
from pitcrew.robotlog.columns import ROLES
from pitcrew.robotlog.text import Layout
from pitcrew.web.forms import Form, area, line, one_of

ASKED = {
    "time": "The clock",
    "voltage": "The battery's voltage",
    "current": "The whole current",
    "overruns": "Late loops",
    "phase": "Match phase",
}
assert set(ASKED) == set(ROLES)


class LogForm(Form):
    """A log to import, with the battery that was in the robot and the match."""

    file = FileField("The robot's log (CSV)", [FileRequired("Choose the file.")])
    battery = one_of("Battery in the robot", "Pick the battery.")
    match = one_of("Match", "")


CLOCK_UNITS = (
    ("", "as the log says"),
    ("s", "seconds"),
    ("ms", "milliseconds"),
    ("us", "microseconds"),
)


class ColumnsForm(Form):
    """Which column is which, asked once for a file's headings."""

    time = SelectField(ASKED["time"], [InputRequired("Pick the column of the clock.")])
    unit = SelectField("The clock counts", choices=[SelectChoice(*pair) for pair in CLOCK_UNITS])
    voltage = SelectField(
        ASKED["voltage"], [InputRequired("Pick the column of the battery's voltage.")]
    )
    current = SelectField(ASKED["current"])
    overruns = SelectField(ASKED["overruns"])
    phase = SelectField(ASKED["phase"])

    def offer(self, layout: Layout) -> None:
        """Fill in what can be picked: headings, and the numbers of columns that have numbers but no
        heading."""
        nameless = {at for row in layout.shown for at, cell in enumerate(row) if cell}
        names = [
            head.text or (str(at) if at - 1 in nameless else "")
            for at, head in enumerate(layout.heads, 1)
        ]
        choices = [
            SelectChoice("", "none"),
            *(SelectChoice(name, name) for name in dict.fromkeys(names) if name),
        ]
        for role in ROLES:
            self[role].choices = choices

    def columns(self) -> dict[str, str]:
        """Role -> heading of what was picked, empty for none; the clock's ends with its unit if one
        was picked."""
        unit = f":{self.unit.data}" if self.unit.data else ""
        found = {role: self[role].data or "" for role in ROLES}
        return {**found, "time": found["time"] + unit}


class CapacityForm(Form):
    """A capacity test, by points or as a tester's CSV."""

    current = line("Discharge current", "Type the tester's current, such as 7.5 A.")
    end = line("End voltage", "Type the voltage at which it ended, such as 10.5 V.")
    case = line("Case temperature", "Type the temperature of the case, such as 22 °C.")
    points = area("Points: minutes and volts, or the tester's times, one pair a line")
    file = FileField("Or the tester's CSV")

    def quantity(self, name: str, unit: str, dimension: str) -> float:
        """A field's number in SI; a bare number is in `unit`. The error is beside the field."""
        text = (self[name].data or "").strip()
        try:
            return parse_quantity(
                f"{text} {unit}" if re.fullmatch(r"[-+]?[\d.,]+", text) else text, dimension
            ).si
        except BadInput as error:
            self[name].errors = [*self[name].errors, error.sentence]
            raise

    def pairs(self) -> list[tuple[float, float]]:
        """The points as (s, V), by minutes or as a tester writes them. Raises BadInput naming the
        line that cannot be read."""
        return read_points(self.points.data or "", self.quantity("current", "A", "current"))

    def validate_points(self, field: Any) -> None:
        """Points or a file, one of them."""
        if not (field.data or "").strip() and not self.file.data:
            raise ValidationError("Type the points, or choose the tester's file.")
