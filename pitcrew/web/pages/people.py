"""People: who has joined with which device, fresh join codes, and withdrawing a device."""

from datetime import timedelta

from flask import Blueprint, flash, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.clock import format_instant, parse_instant
from pitcrew.base.errors import BadInput
from pitcrew.base.kinds.access import door_text
from pitcrew.domain.logbook.state import State
from pitcrew.pit.addresses import join_addresses
from pitcrew.pit.admission import withdraw as withdraw_device
from pitcrew.pit.commands import make_code
from pitcrew.pit.roster import Device
from pitcrew.web.access import LEADS, MEMBERS, needs
from pitcrew.web.forms import CodeForm
from pitcrew.web.pinning import at_the_laptop, pin_may_travel
from pitcrew.web.request_context import device, the_pit
from pitcrew.web.screen import Screen
from pitcrew.web.sign_forms import PinForm

blueprint = Blueprint("people", __name__, url_prefix="/people")
SCREEN = Screen("people", menu="People", place=9)
KEPT = "join_code"
LAST_STEPS = 12
"""Steps at the door that the page shows; all of them are in the logbook."""


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """All devices, what was refused of them, your own PIN; for the lead also the join code that was
    made last and still holds."""
    return show(PinForm())


def show(pin_form: PinForm, status: int = 200) -> ResponseReturnValue:
    """The page, with the form of your own PIN as it came back."""
    pit = the_pit()
    devices = sorted(
        pit.roster.devices(), key=lambda item: (bool(item.withdrawn_at), item.person.casefold())
    )
    code = _kept_code() if device().role in LEADS else None
    links = (
        [
            (address, _qr(address))
            for address in join_addresses(request.scheme, request.host, code["code"])
        ]
        if code
        else []
    )
    with pit.reading() as state:
        late = late_entries(devices, state)
        doors = [fact for fact in reversed(state.accesses) if fact.entry.origin is None][
            :LAST_STEPS
        ]
    with_pin = sorted({item.person for item in devices if pit.pins.has(item.person)})
    return (
        render_template(
            "people/people.html",
            devices=devices,
            form=CodeForm(),
            code=code,
            links=links,
            lead=device().role in LEADS,
            pin_form=pin_form,
            pin_safe=pin_may_travel(),
            at_laptop=at_the_laptop(),
            has_pin=pit.pins.has(device().person),
            with_pin=with_pin,
            locked_out=pit.pins.locked_out(),
            late=late,
            refused=pit.quarantine.held(),
            doors=[(door_text(fact.body), fact.at) for fact in doors],
        ),
        status,
    )


@blueprint.post("/code")
@needs(*LEADS)
def code() -> ResponseReturnValue:
    """A fresh join code; it is shown to this lead until it runs out."""
    form = CodeForm()
    if not form.validate_on_submit():
        raise BadInput("Pick who joins with the code: crew, captain, mentor or lead.", "role")
    pit = the_pit()
    made = make_code(pit, form.role.data)
    session[KEPT] = {
        **made,
        "until": format_instant(pit.clock() + timedelta(minutes=made["minutes"])),
    }
    return redirect(url_for("people.page"))


@blueprint.post("/<device_id>/withdraw")
@needs(*LEADS)
def withdraw(device_id: str) -> ResponseReturnValue:
    """Stop a device: it reads and writes nothing here from now on."""
    if device_id == device().id:
        raise BadInput("This is the device that you use now. Withdraw it from another one.")
    gone = withdraw_device(the_pit(), device_id, device().person)
    flash(f"The device of {gone.person} is withdrawn. What it still holds stays on it.")
    return redirect(url_for("people.page"))


def late_entries(devices: list[Device], state: State) -> dict[str, int]:
    """How many entries of each withdrawn device came in after its withdrawal, by another phone or a
    file: kept, and marked here."""
    ends = {item.id: item.withdrawn_at for item in devices if item.withdrawn_at}
    if not ends:
        return {}
    late = [
        entry.device
        for entry in state.entries_by_id.values()
        if entry.device in ends and entry.received_at > ends[entry.device]
    ]
    return {name: late.count(name) for name in set(late)}


def _kept_code() -> dict | None:
    kept = session.get(KEPT)
    return kept if kept and parse_instant(kept["until"]) > the_pit().clock() else None


def _qr(text: str) -> str:
    """A QR code as inline SVG without style attributes."""
    import segno

    return segno.make(text, error="m", micro=False).svg_inline(
        border=3, light="#fff", svgclass="qr", omitsize=True, lineclass=None
    )
