"""The pit's doors: letting devices in and out, PINs and lock-outs, each step written into the
logbook.

An entry is written before a device is let in or a PIN is gone, so the logbook may report a step
that a full disk then stopped, but never miss one that was made.
"""

from typing import Any

from pitcrew.base.errors import BadInput
from pitcrew.pit.intake import Author
from pitcrew.pit.pins import WrongPin
from pitcrew.pit.pit import LAPTOP, Pit
from pitcrew.pit.roster import Device, Joined

THE_LAPTOP = Author(LAPTOP, LAPTOP, LAPTOP)


def let_in(
    pit: Pit,
    code: str,
    name: str,
    label: str,
    address: str,
    browser: str = "",
    before: str = "",
) -> Joined:
    """Let a device in with a join code; `before`: the id under which the same browser had joined.
    Raises what `Roster.join` raises, and DiskFull."""
    more = {"before": before} if before else {}

    def note(device: Device) -> None:
        _note(pit, "joined", device.person, device=device.id, role=device.role, **more)

    return pit.roster.join(code, name, label, address, browser, note)


def withdraw(pit: Pit, device_id: str, by: str) -> Device:
    """Stop a device: first it is stopped, then that is written down. Raises Missing and
    DiskFull."""
    gone = pit.roster.withdraw(device_id)
    _note(pit, "withdrawn", gone.person, device=gone.id, role=gone.role, by=by)
    return gone


def set_pin(pit: Pit, device: Device, new: str, old: str, address: str) -> None:
    """Set your own PIN, or change it with the old one. Raises what `Pins.set` raises."""
    first = not pit.pins.has(device.person)
    pit.pins.set(device.person, new, old, address)
    if first:
        _note(pit, "pin_set", device.person, device=device.id, role=device.role, by=device.person)


def reset_pin(pit: Pit, person: str, by: str) -> None:
    """Take a lost PIN away; what the person signed before ends with it. Raises BadInput and
    DiskFull."""
    if not pit.pins.has(person):
        raise BadInput(f"{person} has no PIN.")
    _note(pit, "pin_reset", person, role=pit.roster.role_of(person), by=by)
    pit.pins.reset(person)


def note_lock_out(pit: Pit, device: Device, wrong: WrongPin, person: str = "") -> None:
    """Write down that wrong PINs locked a person out (that of the device, if no one is named), so
    that everyone sees that PINs were guessed."""
    if wrong.locked_for:
        role = pit.roster.role_of(person) if person else device.role
        more = {"device": device.id, "role": role, "seconds": wrong.locked_for}
        _note(pit, "locked_out", person or device.person, **more)


def _note(pit: Pit, what: str, person: str, **more: Any) -> None:
    pit.record("access", {"what": what, "person": person, **more}, THE_LAPTOP)
