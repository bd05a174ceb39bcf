"""The forms of the schedule: a list to import, a match added by hand."""

from datetime import date, time
from typing import Any

from flask_wtf.file import FileField
from wtforms import BooleanField, DateField, TextAreaField, TimeField
from wtforms.validators import InputRequired, Optional

from pitcrew.base.errors import BadInput
from pitcrew.pit.textfiles import decode
from pitcrew.web.forms import Form, line, one_of


class ImportForm(Form):
    """A match list, as a file or as text."""

    file = FileField("CSV file")
    text = TextAreaField("Or paste the list here")

    def content(self) -> str:
        """The list as text. Raises BadInput where neither a file nor a text came."""
        upload = self.file.data
        if upload:
            return decode(upload.read(), upload.filename or "the file")
        if not (self.text.data or "").strip():
            raise BadInput("No list arrived. Choose a file or paste the list.", "text")
        return self.text.data


class MatchForm(Form):
    """One match, by hand."""

    name = line("Match", "Type the match as the list calls it, such as 12.", 60)
    day = DateField("Day", [InputRequired("Pick the day.")])
    at = TimeField("Planned time", [InputRequired("Type the time that the list gives.")])
    playing = BooleanField("We play in it", default=True)
    station = line("Our station", longest=40)

    def when(self) -> tuple[str, str]:
        """Time and day as texts of the event's zone."""
        return _typed(self.at.data, self.day.data)

    def validate(self, extra_validators: Any = None) -> bool:
        """A slash would split the run's name, so the error is raised here."""
        right = super().validate(extra_validators)
        if self.name.data and "/" in self.name.data:
            self.name.errors = [
                *self.name.errors,
                "Leave out the slash: it parts event, match and run.",
            ]
            return False
        return right


class StartForm(Form):
    """When a match really started."""

    run = one_of("Which match", "Pick the match.")
    at = TimeField("Started at", [Optional()])


class ReplayForm(Form):
    """A match that is played again."""

    run = one_of("Which match", "Pick the match that is played again.")
    day = DateField("Day", [InputRequired("Pick the day.")])
    at = TimeField("Planned time", [InputRequired("Type the time that was called.")])

    def when(self) -> tuple[str, str]:
        """Time and day as texts of the event's zone."""
        return _typed(self.at.data, self.day.data)


def _typed(at: object, day: object) -> tuple[str, str]:
    return (at if isinstance(at, time) else time()).strftime("%H:%M"), (
        day if isinstance(day, date) else date.min
    ).isoformat()
