"""An invented robot, its checks, and a logbook in the making, for the tests of the folds."""

import tomllib
import uuid
from datetime import UTC, datetime

import msgspec

from pitcrew.base.entries import Entry
from pitcrew.domain.checks.definitions import Definitions, build_definitions
from pitcrew.domain.checks.limits import limit_as_dict
from pitcrew.domain.logbook.state import State

SETTINGS = {"team": "17", "event": "fjord", "zone": "UTC", "robot": "tern", "crew": 2}
SHEET = """
[robot]
label = "Tern"
length = "820 mm"
width = "720 mm"
[robot.mass]
chassis = "52 kg"
bumpers = "6.6 kg"
battery = "5.8 kg"
[[zone]]
id = "mast"
label = "Mast"
box = [30, 30, 40, 30]
[[zone]]
id = "base"
label = "Base"
box = [0, 60, 100, 40]
[[part]]
id = "lift.chain.left"
label = "Lift chain, left"
zone = "mast"
kind = "roller-chain"
size = "25"
span = "412 mm"
duty = "shock"
teeth = 16
[[part]]
id = "lift.bracket"
label = "Lift bracket"
zone = "mast"
kind = "plate"
[[part]]
id = "drive.frame"
label = "Drive frame"
zone = "base"
kind = "frame"
[[part]]
id = "climb.pawl"
label = "Pawl"
zone = "mast"
kind = "plate"
climb_critical = true
[[part]]
id = "climb.bar"
label = "Climb bar"
zone = "mast"
kind = "plate"
climb_critical = true
"""
BATTERY = """
[[part]]
id = "battery.{name}"
label = "Battery {name}"
zone = "base"
kind = "battery"
capacity = "18 A*h"
"""
CHECKS = """
[checklist]
name = "pit"
label = "In the pit"
"""
LOOK = """
[[check]]
id = "{id}"
part = "{part}"
label = "{label}"
ask = "How does it look?"
minutes = {minutes}
power = "{power}"
due = {due}
must = {must}
[[check.input]]
name = "look"
kind = "choice"
options = {{ "whole" = "ok", "scratched" = "watch", "cracked" = "stop", "cannot see" = "unjudged" }}
"""
NUMBERS = """
[[check]]
id = "chain-slack"
kind = "roller-chain"
label = "Chain slack"
ask = "How far does the slack side move?"
minutes = 2
power = "off"
due = ["every match", "after part change"]
must = true
[[check.input]]
name = "travel"
kind = "number"
unit = "mm"
least = 0
most = 80
[check.limit]
watch_high = "9 mm"
stop_high = "12 mm"
[[check]]
id = "battery-load"
kind = "battery"
label = "Battery under load"
ask = "What does the load tester show?"
minutes = 2
power = "off"
due = ["on arrival"]
must = true
[[check.input]]
name = "ohms"
kind = "number"
unit = "mohm"
[[check.input]]
name = "warm"
kind = "number"
unit = "degC"
required = false
[check.limit]
result = "ohms"
watch_high = "15 mohm"
stop_high = "20 mohm"
[[check]]
id = "battery-rest"
kind = "battery"
label = "Battery at rest"
ask = "What does the meter show?"
minutes = 1
power = "off"
due = ["every match"]
must = true
[[check.input]]
name = "volts"
kind = "number"
unit = "V"
[check.limit]
stop_low = "12.2 V"
watch_low = "12.7 V"
"""


def look(
    check: str, part: str, *due: str, must: bool = False, minutes: float = 1, power: str = "off"
) -> str:
    """The TOML of one check by eye."""
    words = "[" + ", ".join(f'"{word}"' for word in due) + "]"
    label = check.replace("-", " ").capitalize()
    return LOOK.format(
        id=check,
        part=part,
        label=label,
        due=words,
        must=str(must).lower(),
        minutes=minutes,
        power=power,
    )


LOOKS = (
    look("bracket", "lift.bracket", "every 3 matches"),
    look("frame", "drive.frame", "once a day", "after a hard hit", power="on"),
    look("rail", "lift.bracket", "after a fault", "after repair"),
    look("pawl", "climb.pawl", "before a climb", must=True),
    look("bar", "climb.bar", "every match", must=True),
)


def define(
    *looks: str,
    settings: dict | None = None,
    batteries: tuple[str, ...] = ("1", "2", "10"),
    sheet: str = SHEET,
) -> Definitions:
    """The definitions of the invented robot, with other checks by eye or settings where a test
    wants them."""
    sheet += "".join(BATTERY.format(name=name) for name in batteries)
    checks = CHECKS + "".join(looks or LOOKS) + NUMBERS
    return build_definitions(
        SETTINGS | (settings or {}),
        {"robots/tern.toml": tomllib.loads(sheet)},
        {"checklists/pit.toml": tomllib.loads(checks)},
    )


def moment_of(text: str) -> datetime:
    """`10:05` on the first day of the event, `8 10:05` on another day of that month, in UTC."""
    day, _, clock = text.rpartition(" ")
    hours, minutes = clock.split(":")[:2]
    return datetime(2026, 3, int(day or 7), int(hours), int(minutes), tzinfo=UTC)


def numbered(number: int) -> str:
    """An entry id that sorts like its number."""
    return str(uuid.UUID(int=number))


class Log:
    """A logbook in the making: entries get ids and `seq` in the order in which they are added."""

    def __init__(self, definitions: Definitions | None = None) -> None:
        self.definitions = definitions or define()
        self.entries: list[Entry] = []
        self.made = 0

    def add(self, kind: str, body: dict, at: str = "10:00", **fields) -> Entry:
        """One entry; `fields` are those of Entry."""
        number = len(self.entries) + 1
        self.made = max(self.made + 1, number)  # what was lost is never made again under its id
        given = {
            "id": numbered(self.made),
            "person": "Ada",
            "device": "phone",
            "robot": "tern",
            "seq": number,
        } | fields
        entry = Entry(kind=kind, at=moment_of(at).isoformat(), body=body, **given)
        self.entries.append(entry)
        return entry

    def run(
        self,
        name: str,
        planned: str | None = None,
        actual: str | None = None,
        ours: str = "red 1",
        **fields,
    ) -> str:
        """A match run of our list; its id."""
        run_id = f"fjord/{name}/1" if "/" not in name else f"fjord/{name}"
        body = {"ours": ours} | {
            key: moment_of(value).isoformat()
            for key, value in (("planned", planned), ("actual", actual))
            if value
        }
        self.add("match_run", body | fields, match=run_id, at="06:00")
        return run_id

    def read(
        self,
        check: str,
        part: str,
        value: float | str,
        at: str = "10:00",
        unit: str | None = None,
        **fields,
    ) -> Entry:
        """A reading of a check by its first input, with the limit in force and no verdict from the
        phone."""
        item = self.definitions.part_checks[f"{check}@{part}"]
        wanted = item.check.inputs[0]
        inputs = {
            wanted.name: {"typed": str(value), "value": value, "unit": unit or wanted.unit or None}
        }
        limit = limit_as_dict(item.limit) if item.limit else None
        return self.add(
            "reading",
            {"check": check, "part": part, "inputs": inputs, "limit": limit},
            at,
            **fields,
        )

    def look(
        self, check: str, part: str, answer: str = "whole", at: str = "10:00", **fields
    ) -> Entry:
        """A reading of a check by eye."""
        return self.read(check, part, answer, at, **fields)

    def fault(self, part: str, grade: str = "stop", at: str = "10:00", **fields) -> Entry:
        """A fault report."""
        reading = fields.pop("reading", None)
        return self.add(
            "fault",
            {"part": part, "symptom": "bent", "grade": grade, "reading": reading},
            at,
            **fields,
        )

    def move(self, fault: Entry, to: str, at: str = "10:00", **fields) -> Entry:
        """A move of a fault; `until`, `why` and `reading` go into the body."""
        body = {
            key: fields.pop(key)
            for key in ("until", "why", "reading", "restriction")
            if key in fields
        }
        return self.add("fault_move", {"fault": fault.id, "to": to, **body}, at, **fields)

    def correct(self, entry: Entry, body: dict | None, **fields) -> Entry:
        """A correction of an entry's whole body."""
        return self.add(
            "correction", {"of": entry.id, "body": body, "why": "typed wrong"}, **fields
        )

    def all_batteries_good(self, at: str = "08:00") -> None:
        """A load test and a rest voltage of every battery of the build sheet."""
        for part in self.definitions.robot.parts:
            if part.startswith("battery."):
                self.read("battery-load", part, 12.0, at)
                self.read("battery-rest", part, 12.9, at)

    def cut(self, count: int) -> list[Entry]:
        """Lose the last entries, as a cut file or an older backup does; what was lost."""
        kept = max(len(self.entries) - count, 0)
        lost, self.entries = self.entries[kept:], self.entries[:kept]
        return lost

    def relay(self, entry: Entry, proven: bool = True) -> Entry:
        """An entry of the log as it was before, brought back by a phone."""
        origin = {"log": "before", "seq": entry.seq, "seal": "x", "proven": proven}
        again = msgspec.structs.replace(
            entry, seq=len(self.entries) + 1, origin=entry.origin or origin
        )
        self.entries.append(again)
        return again

    def state(self, role_of=None) -> State:
        """The fold of all entries."""
        state = State(self.definitions.settings["zone"], role_of)
        state.advance(self.entries)
        return state

    def shuffled(self, order: list[int]) -> State:
        """The fold of the same entries arriving in another order: `seq` follows the arrival."""
        state = State(self.definitions.settings["zone"])
        state.advance(
            msgspec.structs.replace(self.entries[place], seq=seq)
            for seq, place in enumerate(order, 1)
        )
        return state
