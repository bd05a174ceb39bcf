"""Where a battery was put."""

from pitcrew.base.kinds.kind import (
    CREW,
    BatteryPlace,
    Body,
    Kind,
    Names,
    battery_key,
    battery_name,
    battery_part,
)


class BatteryMove(Body):
    battery: str
    to: BatteryPlace
    where: str = ""


def _told(body: BatteryMove, names: Names) -> tuple[str, str] | None:
    if body.to not in ("robot", "retired"):
        return None
    return f"Battery {battery_name(body.battery)}", f"to {body.to} {body.where}"


KIND = Kind(
    name="battery_move",
    body=BatteryMove,
    written_by=CREW,
    table="battery_moves",
    key=battery_key,
    parts=battery_part,
    told=_told,
)
