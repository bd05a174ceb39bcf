"""What a capacity or resistance test of a battery gave."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, battery_key, battery_part


class BatteryTest(Body):
    battery: str
    points: list[tuple[float, float]] = []
    result: dict[str, float | str | None] = {}


KIND = Kind(
    name="battery_test",
    body=BatteryTest,
    written_by=CREW,
    table="battery_tests",
    key=battery_key,
    parts=battery_part,
)
