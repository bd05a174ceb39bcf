"""Whether two battery names that look alike mean one battery."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, Names, battery_name


class BatteryIdentity(Body):
    """`same` where they do; what was logged under the other name is then corrected as well."""

    first: str
    second: str
    same: bool


def _parts(body: BatteryIdentity) -> tuple[str, ...]:
    return tuple(f"battery.{battery_name(name)}" for name in (body.first, body.second))


def _told(body: BatteryIdentity, names: Names) -> tuple[str, str]:
    are = "are one battery" if body.same else "are two batteries"
    return "Batteries", f"{body.first} and {body.second} {are}."


KIND = Kind(
    name="battery_identity",
    words="battery name decision",
    body=BatteryIdentity,
    written_by=CREW,
    decision=True,
    table="battery_identities",
    parts=_parts,
    told=_told,
)
