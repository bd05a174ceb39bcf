"""A second person confirms what someone read: in one tap on another device, or with a PIN on the
same one."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput, Refused
from pitcrew.domain.climb.witness import Unwitnessed, unwitnessed
from pitcrew.pit.intake import Author
from pitcrew.web.access import DECIDERS, MEMBERS, needs
from pitcrew.web.pinning import note_lock_out, pin_may_travel, refuse_open_pins
from pitcrew.web.request_context import author, device, looking, the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("witness", __name__, url_prefix="/witness")
SCREEN = Screen("witness")


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """What waits for a second person."""
    return render_template(
        "witness/witness.html",
        waiting=_waiting(),
        signers=_signers(),
        pin_safe=pin_may_travel(),
        wrong={},
    )


@blueprint.post("")
@needs(*MEMBERS)
def confirm() -> ResponseReturnValue:
    """Confirm one thing: as the person of this device, or as one who types a name and a PIN."""
    waiting = {item.of: item for item in _waiting()}
    item = waiting.get(request.form.get("of", ""))
    if item is None:
        raise BadInput("This waits for nobody any more. Reload the page.", "of")
    signer = request.form.get("signer", "")
    try:
        witness = _by_pin(item, signer) if signer else _by_device(item)
    except Refused as error:
        if error.field != "pin":
            raise
        shown = {"of": item.of, "signer": signer, "why": error.sentence}
        return (
            render_template(
                "witness/witness.html",
                waiting=tuple(waiting.values()),
                signers=_signers(),
                pin_safe=pin_may_travel(),
                wrong=shown,
            ),
            403,
        )
    the_pit().record(
        "approval",
        {"of": item.of, "decision": "confirmed", **({"by_pin": True} if signer else {})},
        witness,
    )
    flash(f"{witness.person} confirms it.")
    if request.form.get("back") == "climb":
        return redirect(url_for("climb.page"))
    return redirect(url_for("witness.page") if len(waiting) > 1 else url_for("now.page"))


def _waiting() -> list[Unwitnessed]:
    the_pit().reload()
    with looking() as view:
        return unwitnessed(view.moment)


def _signers() -> dict[str, str]:
    """Who may confirm with a PIN: person -> role, of those who have one and a device that was not
    withdrawn.
    """
    pit = the_pit()
    joined = [
        item for item in pit.roster.devices() if not item.withdrawn_at and item.role in DECIDERS
    ]
    return {item.person: item.role for item in joined if pit.pins.has(item.person)}


def _by_device(item: Unwitnessed) -> Author:
    """The person of this device. Raises Refused for the one who wrote it, and on the device on
    which it was written.
    """
    if device().person == item.by:
        raise Refused(f"You wrote this, {item.by}. Somebody else who saw it confirms it.")
    if device().id in item.devices:
        raise Refused(
            "It was written on this device. Confirm it on another one, or here with a PIN."
        )
    return author()


def _by_pin(item: Unwitnessed, signer: str) -> Author:
    """Someone at this device who types their own PIN. Raises Refused."""
    refuse_open_pins()
    role = _signers().get(signer)
    if role is None or signer == item.by:
        raise Refused("Pick somebody else who saw it and has a PIN.", "pin")
    try:
        the_pit().pins.check(signer, request.form.get("pin", ""), request.remote_addr or "")
    except Refused as error:
        note_lock_out(error, signer)
        raise
    return Author(device().id, signer, role)
