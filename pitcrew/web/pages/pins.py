"""PINs: setting and changing your own, and the lead's reset of a lost one on the laptop
itself."""

from flask import Blueprint, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput, Refused
from pitcrew.pit.admission import reset_pin, set_pin
from pitcrew.web.access import DECIDERS, LEADS, needs
from pitcrew.web.pages.people import show
from pitcrew.web.pinning import at_the_laptop, note_lock_out, refuse_open_pins
from pitcrew.web.request_context import device, the_pit
from pitcrew.web.sign_forms import PinForm

blueprint = Blueprint("pins", __name__, url_prefix="/people/pin")


@blueprint.post("")
@needs(*DECIDERS)
def own() -> ResponseReturnValue:
    """Set your own PIN, or change it with the old one."""
    refuse_open_pins()
    form = PinForm()
    if form.validate_on_submit() and _stored(form):
        flash("Your PIN is set. It signs with your name: tell it nobody.")
        return redirect(url_for("people.page", _anchor="top"))
    return show(form, 400)


@blueprint.post("/reset")
@needs(*LEADS)
def reset() -> ResponseReturnValue:
    """Take a lost PIN away. Only on the laptop itself, and written down."""
    if not at_the_laptop():
        raise Refused("A PIN is reset on the laptop itself only. Go to the laptop.")
    person = request.form.get("person", "")
    reset_pin(the_pit(), person, device().person)
    flash(f"The PIN of {person} is gone; a new one can be set. This is written down.")
    return redirect(url_for("people.page", _anchor="top"))


def _stored(form: PinForm) -> bool:
    """Whether the PIN could be set; else a field of the form says why."""
    if form.new.data != form.again.data:
        form.again.errors = [*form.again.errors, "The two are not the same. Type it again."]
        return False
    try:
        set_pin(
            the_pit(),
            device(),
            form.new.data,
            form.old.data or "",
            request.remote_addr or "",
        )
    except BadInput as error:
        form.new.errors = [*form.new.errors, error.sentence]
        return False
    except Refused as error:
        form.old.errors = [*form.old.errors, error.sentence]
        note_lock_out(error)
        return False
    return True
