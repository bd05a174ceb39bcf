"""People and devices of a pit folder for `pitcrew people`: who joined with what, when last heard.
No secret is shown."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pitcrew.base.clock import system_clock
from pitcrew.pit.folder import LOGBOOK, pit_keys
from pitcrew.pit.pins import Pins
from pitcrew.pit.roster import Roster
from pitcrew.storage.opening import read_records


@dataclass(frozen=True)
class Present:
    """One device: whose it is, and when the laptop heard it last (the later of its last entry and
    its last exchange)."""

    person: str
    role: str
    device: str
    label: str
    joined_at: str
    heard_at: str
    entries: int
    withdrawn_at: str
    pin: bool

    def as_dict(self) -> dict[str, Any]:
        """All of it as plain data."""
        return dict(vars(self))

    def line(self) -> str:
        """One line of text."""
        gone = f", withdrawn {self.withdrawn_at}" if self.withdrawn_at else ""
        pin = ", has a PIN" if self.pin else ""
        return (
            f"{self.person}, {self.role}: {self.label}, {self.entries} entries, last heard"
            f" {self.heard_at or 'never'}{pin}{gone}"
        )


def roll_call(folder: Path) -> list[Present]:
    """Every device by person, beside a running server if there is one. Raises Missing and
    Damaged."""
    pit_keys(folder)
    last: dict[str, tuple[int, str]] = {}
    for record in read_records(folder / LOGBOOK).records:
        count, heard = last.get(record.get("device", ""), (0, ""))
        last[record.get("device", "")] = (count + 1, max(heard, record.get("received_at", "")))
    pins = Pins(folder, system_clock)
    found = []
    for device in Roster(folder, system_clock).devices():
        count, heard = last.get(device.id, (0, ""))
        found.append(
            Present(
                device.person,
                device.role,
                device.id,
                device.label,
                device.joined_at,
                max(heard, device.heard_at),
                count,
                device.withdrawn_at,
                pins.has(device.person),
            )
        )
    return sorted(found, key=lambda item: (item.person.casefold(), item.joined_at))
