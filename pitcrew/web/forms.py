"""The forms of the pages (Flask-WTF): labels are what a person reads, messages say what to do."""

from collections.abc import Collection, Iterable, Mapping
from typing import Any, get_args

from flask import request
from flask_wtf import FlaskForm
from flask_wtf.file import FileField, FileRequired
from werkzeug.datastructures import CombinedMultiDict, MultiDict
from wtforms import BooleanField, RadioField, SelectField, StringField, TextAreaField
from wtforms.fields.choices import SelectChoice
from wtforms.form import BaseForm
from wtforms.validators import DataRequired, InputRequired, Length, Optional, ValidationError

from pitcrew.base.entries import LONGEST_TEXT
from pitcrew.base.kinds.kind import BatteryPlace
from pitcrew.pit.roster import ROLES

LONGEST_LINE = 200
NOT_LISTED = "This is not on the list. Reload the page and pick again."


class Form(FlaskForm):
    """A form of a page. A part sent as a file reaches only file fields: for any other field it is
    as if nothing had been typed."""

    class Meta(FlaskForm.Meta):
        """How a form reads a request."""

        def wrap_formdata(self, form: BaseForm, formdata: Any) -> Any:
            """What the request brings for each field."""
            found = super().wrap_formdata(form, formdata)
            if found is formdata or not isinstance(found, CombinedMultiDict):
                return found
            fits = {field.name for field in form if isinstance(field, FileField)}
            files = [pair for pair in request.files.items(multi=True) if pair[0] in fits]
            return CombinedMultiDict((MultiDict(files), request.form))


def tidy(text: str | None) -> str | None:
    """A typed text without outer blanks, its lines ended as the logbook ends them."""
    return text and text.replace("\r\n", "\n").replace("\r", "\n").strip()


def line(label: str, wanted: str = "", longest: int = LONGEST_LINE) -> StringField:
    """One line of text; `wanted` is the error when it is empty; an empty `wanted` allows that."""
    return StringField(label, _asked(wanted, longest), filters=[tidy])


def area(label: str, wanted: str = "") -> TextAreaField:
    """Some lines of text."""
    return TextAreaField(label, _asked(wanted, LONGEST_TEXT), filters=[tidy])


def _asked(wanted: str, longest: int) -> list[object]:
    fits = Length(max=longest, message=f"At most {longest} letters are kept. Shorten it.")
    return [DataRequired(wanted), fits] if wanted else [fits]


def one_of(label: str, wanted: str) -> SelectField:
    """A list to pick from; the view fills in the choices, which depend on the pit."""
    return SelectField(
        label,
        [InputRequired(wanted)] if wanted else [Optional()],
        invalid_choice_message=NOT_LISTED,
    )


def pick(
    label: str,
    wanted: str,
    labels: Mapping[str, str] | Iterable[str] = (),
    default: str | None = None,
) -> RadioField:
    """One of a few, as buttons: `labels` are value -> label, or words that stand for themselves. An
    empty `wanted` lets it be."""
    pairs = labels.items() if isinstance(labels, Mapping) else ((word, word) for word in labels)
    choices = [SelectChoice(value, text) for value, text in pairs]
    asked = [InputRequired(wanted)] if wanted else [Optional()]
    return RadioField(
        label, asked, choices=choices, default=default, invalid_choice_message=NOT_LISTED
    )


class JoinForm(Form):
    """Join a pit."""

    code = StringField(
        "Join code", [InputRequired("Type the code that the pit lead shows."), Length(max=20)]
    )
    name = StringField(
        "Your name",
        [InputRequired("Type your name, so that the crew knows who measured."), Length(max=40)],
    )


DONE_FOR_NOW = (
    "Taken off",
    "Unplugged",
    "Bridged",
    "Tied or taped",
    "Stand-in part",
    "Borrowed",
    "Set for a test",
)
"""What is commonly done for the time being, so that two taps log it."""


class TemporaryForm(Form):
    """Something is taken off, bridged or borrowed."""

    part = one_of("On which part", "Pick the part.")
    done = pick("What was done", "Pick what was done.", DONE_FOR_NOW)
    what = line("Which exactly, and why")
    blocks = BooleanField("It must be undone before the robot plays", default=True)

    def body(self) -> dict[str, Any]:
        """The entry's body."""
        what = f"{self.done.data}: {self.what.data}" if self.what.data else self.done.data
        return {"part": self.part.data, "what": what, "blocks": self.blocks.data}


class PartChangeForm(Form):
    """A part was changed for another."""

    old = line("What came out")
    new = line("What went in")
    identical = pick(
        "Is the new one the same?",
        "Say whether the new part is the same kind.",
        {"yes": "Same kind, same size", "no": "Another kind or size"},
    )


class BatteryMoveForm(Form):
    """A battery goes somewhere. The buttons give `to`; the charger asks for its channel."""

    to = pick("Where to", "Pick where it goes.", get_args(BatteryPlace))
    where = line("Channel", longest=20)

    def validate_where(self, field: StringField) -> None:
        """A charger's channel has to be named: a second weak battery from it shows a bad
        channel."""
        if self.to.data == "channel" and not field.data:
            raise ValidationError("Type the channel of the charger.")

    def body(self, robot: str, robots: Collection[str]) -> dict[str, str]:
        """Where it goes: into the named one of `robots`, else into `robot`; or on which channel."""
        where = self.where.data or ""
        return {
            "to": self.to.data,
            "where": (
                {"robot": where if where in robots else robot, "channel": where}.get(
                    self.to.data, ""
                )
            ),
        }


class CodeForm(Form):
    """A fresh join code."""

    role = pick("For whom", "Pick who joins with it.", ROLES, "crew")


class FileForm(Form):
    """A hand-over file of a phone."""

    file = FileField("The phone's file", [FileRequired("Choose the file that the phone made.")])


class HeadForm(Form):
    """A head from a sheet."""

    head = line("Number and seal", "Type the number and seal from the foot of the sheet.", 80)
