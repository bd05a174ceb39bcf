"""The keys of a build sheet beside those of its parts and its hold path."""

from pitcrew.domain.robot.tables import Field

ENERGIES = ("battery", "springs", "raised lift", "air", "ratchet under load")
SHEET_FIELDS = (
    Field("robot", "table", "the robot itself"),
    Field(
        "instruments",
        "table",
        "expanded uncertainty (k = 2) of each instrument",
        required=False,
        default={},
    ),
    Field(
        "lowering", "table", "how the robot comes down from the climb", required=False, default={}
    ),
    Field("hold_path", "table", "what holds the robot up after a climb", required=False),
    Field("climb", "table", "the older form of hold_path, for a winch", required=False),
    Field("zone", "tables", "the places on the robot", required=False, default=[]),
    Field("part", "tables", "the parts with their specifications", required=False, default=[]),
)
ROBOT_FIELDS = (
    Field("label", "text", "the robot's name on screen and paper"),
    Field("length", "length", "outline seen from above, front to back", least=0.05, most=5),
    Field("width", "length", "outline seen from above, side to side", least=0.05, most=5),
    Field("mass", "any", "the mass as it climbs, in three parts: chassis, bumpers, battery"),
)
MASS_FIELDS = (
    Field("chassis", "mass", "the robot without bumpers and battery", least=0.1, most=200),
    Field("bumpers", "mass", "the bumpers (0 kg without)", least=0, most=50),
    Field("battery", "mass", "the battery", least=0, most=50),
)
ZONE_FIELDS = (
    Field("id", "id", "short name that parts refer to"),
    Field("label", "text", "the name on the robot map"),
    Field("box", "box", "left, top, width, height in percent of the outline, front edge up"),
    Field(
        "energies", "texts", "stored energies: " + ", ".join(ENERGIES), required=False, default=()
    ),
    Field("release", "texts", "how each is released, one step a text", required=False, default=()),
)
LOWERING_FIELDS = (
    Field(
        "steps", "texts", "how the robot is lowered, one step a text", required=False, default=()
    ),
    Field("people", "texts", "who does what, one person a text", required=False, default=()),
)
MASS_REASON = (
    "three masses in [robot.mass]: chassis, bumpers, battery. A rule weight is without bumpers and"
    " battery and would flatter every hold margin by about 30 %"
)
