"""PINs over HTTP: only over https or on the laptop itself, checked, and every lock-out written
down."""

from flask import request
from flask_wtf import FlaskForm

from pitcrew.base.errors import Refused
from pitcrew.pit import admission
from pitcrew.pit.pins import WrongPin
from pitcrew.web.request_context import device, the_pit

LOOPBACK = ("127.0.0.1", "::1", "::ffff:127.0.0.1")


def at_the_laptop() -> bool:
    """Whether the request comes from a browser of the laptop itself."""
    return request.remote_addr in LOOPBACK


def pin_may_travel() -> bool:
    """Whether a PIN typed on this page cannot be read on the way."""
    return request.is_secure or at_the_laptop()


def refuse_open_pins() -> None:
    """Raise Refused where a PIN would have gone over plain http."""
    if not pin_may_travel():
        raise Refused(
            "A PIN goes over https or on the laptop itself only. Open the pit's https address, or"
            " sign at the laptop.",
            "pin",
        )


def pin_fits(form: FlaskForm) -> bool:
    """Whether the form's PIN is that of the person who asks; else its field says why. A lock-out is
    recorded."""
    try:
        the_pit().pins.check(device().person, form.pin.data, request.remote_addr or "")
    except Refused as error:
        form.pin.errors = [*form.pin.errors, error.sentence]
        note_lock_out(error)
        return False
    return True


def note_lock_out(error: Refused, person: str = "") -> None:
    """Write down that someone was locked out, where this miss did it: `person`, or the person of
    this device where no one is named."""
    if isinstance(error, WrongPin):
        admission.note_lock_out(the_pit(), device(), error, person)
