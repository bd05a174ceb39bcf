"""The Batteries page with 30 batteries and 2 000 readings: its time against an empty fleet's page,
and how it grows."""

import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from pitcrew.pit.folder import bundled_lists, bundled_sheets, make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit, open_pit
from tests.web.conftest import join

FEW, MANY = 200, 2000
BATTERIES = 30
SHEET = (
    '\n[[part]]\nid = "battery.b{0}"\nlabel = "Battery B{0}"\nzone = "battery"\nkind ='
    ' "battery"\ncapacity = "18 A*h"\n'
)


def filled(folder: Path, readings: int) -> Pit:
    """A pit with that many load tests, spread over the batteries."""
    make_folder(folder, 'team = "1"\nevent = "fjord"\n', bundled_sheets(), bundled_lists())
    sheet = next((folder / "robots").glob("*.toml"))
    with sheet.open("a", encoding="utf-8") as file:
        file.write("".join(SHEET.format(number) for number in range(BATTERIES - 6)))
    now = datetime(2026, 3, 7, 9, 0, tzinfo=UTC)
    pit = open_pit(folder, lambda: now + timedelta(days=2), fsync=False)
    names = (
        [part.id for part in pit.definitions.robot.parts.values() if part.kind == "battery"]
        if pit.definitions.robot
        else []
    )
    assert len(names) == BATTERIES
    values = {
        "v1": (12.7, "V"),
        "i1": (5.0, "A"),
        "v2": (12.1, "V"),
        "i2": (50.0, "A"),
        "rest": (60.0, "min"),
        "case": (20.0, "degC"),
    }
    inputs = {
        name: {"typed": str(value), "value": value, "unit": unit}
        for name, (value, unit) in values.items()
    }
    for number in range(readings):
        body = {"check": "battery-loads", "part": names[number % BATTERIES], "inputs": inputs}
        pit.record(
            "reading", body, Author("laptop", "Ada", "lead"), at=now + timedelta(minutes=number)
        )
    return pit


def page_time(pit: Pit) -> tuple[float, int]:
    """CPU seconds of the page, the best of five, and its bytes."""
    from pitcrew.web.app import create_app

    client = join(create_app(pit), pit, "lead", "Ada").flask
    times, size = [], 0
    for _ in range(5):
        begin = time.process_time()
        answer = client.get("/batteries")
        times.append(time.process_time() - begin)
        assert answer.status_code == 200
        size = len(answer.data)
    return min(times), size


def main() -> None:
    """Print the times and their ratio."""
    found = {}
    for readings in (FEW, MANY):
        with tempfile.TemporaryDirectory() as folder:
            pit = filled(Path(folder) / "pit", readings)
            found[readings], size = page_time(pit)
            pit.close()
        print(
            f"Batteries page, {BATTERIES} batteries, {readings} readings:"
            f" {found[readings] * 1000:.0f} ms of CPU, {size / 1000:.0f} kB"
        )
    print(f"  {MANY} readings to {FEW}: {found[MANY] / found[FEW]:.2f}")


if __name__ == "__main__":
    main()
