"""The forms of the climb: signing, refusing, and the second name, each with their own PIN."""

from wtforms import HiddenField, IntegerField, PasswordField
from wtforms.validators import InputRequired, Length, NumberRange
from wtforms.widgets import HiddenInput

from pitcrew.web.forms import Form, area

PIN_FIELD = {"inputmode": "numeric", "autocomplete": "off", "maxlength": 12}


def pin(label: str, wanted: str) -> PasswordField:
    """A PIN; `wanted` is the error where it is empty."""
    return PasswordField(label, [InputRequired(wanted), Length(max=64)], render_kw=PIN_FIELD)


class SignForm(Form):
    """The captain's signature over what the screen showed."""

    seen_seq = IntegerField(
        "Seen up to", [InputRequired(), NumberRange(min=0)], widget=HiddenInput()
    )
    pin = pin("Your PIN", "Type your PIN to sign.")


class RefuseForm(Form):
    """The captain refuses the climb."""

    seen_seq = IntegerField(
        "Seen up to", [InputRequired(), NumberRange(min=0)], widget=HiddenInput()
    )
    why = area("Why not", "Say why it may not climb, so that the crew knows what to do.")
    pin = pin("Your PIN", "Type your PIN to refuse.")


class SecondNameForm(Form):
    """The second name for an entry."""

    of = HiddenField(validators=[InputRequired(), Length(max=60)])
    pin = pin("Your PIN", "Type your PIN to put your name to it.")


class PinForm(Form):
    """Set or change your own PIN."""

    old = PasswordField("Your PIN until now", [Length(max=64)], render_kw=PIN_FIELD)
    new = pin("New PIN", "Type 4 to 12 digits.")
    again = pin("New PIN again", "Type it once more.")
