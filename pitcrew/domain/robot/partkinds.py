"""The kinds of parts that a build sheet may have, and the specification that each kind asks for.

One table feeds the reading of build sheets, their JSON Schema and the page that documents the
format.
"""

from pitcrew.domain.robot.climbkinds import CLIMB_KINDS
from pitcrew.domain.robot.jointkinds import JOINT_KINDS
from pitcrew.domain.robot.kindshape import PartKind, may, need
from pitcrew.domain.robot.tables import Field

PART_FIELDS: tuple[Field, ...] = (
    Field("id", "id", "subsystem.group.name, two or more dotted words"),
    Field("label", "text", "the name on screen and paper"),
    Field("zone", "id", "id of the zone in which it sits"),
    Field("kind", "id", "one of the part kinds"),
    Field(
        "climb_critical", "yes_no", "whether the climb hangs on it", required=False, default=False
    ),
)
"""The keys that every part has beside its kind's own."""

_DRIVES = (
    PartKind(
        "roller-chain",
        "a roller chain drive",
        (
            need("size", "text", "chain number, such as 25, 35, 41, 40 or 50"),
            need("span", "length", "free span of the slack side, sprocket to sprocket", least=0.01),
            need("duty", "words", "shock: reversing, vertical or jerky drives", "normal", "shock"),
            need("teeth", "count", "teeth of the larger sprocket", least=6),
            may(
                "fixed_centres",
                "yes_no",
                "whether the centres cannot be moved apart",
                default=False,
            ),
            may(
                "pitches",
                "count",
                "pitches over which wear is measured; left out, as many up to 16 as fit a 150 mm"
                " caliper",
                default=16,
                least=6,
            ),
            may("load", "force", "largest pull in it, with its motors stalled", least=1),
            may("stop_gauge", "yes_no", "whether a stop gauge of sheet for it is in the box"),
            may(
                "link",
                "text",
                "in a hold path: links weaker than the chain, such as connecting link; half link,"
                " or none (riveted)",
            ),
            may(
                "strength",
                "force",
                "breaking force by its maker, for a chain that is not ASME B29.1",
                least=1,
            ),
            may(
                "stiffness",
                "force",
                "pull for each unit of strain, by its maker or a test (100 times the pull that"
                " makes it 1 % longer)",
                least=1,
            ),
        ),
    ),
    PartKind(
        "timing-belt",
        "a toothed belt drive",
        (
            need("pitch", "length", "belt pitch, tooth to tooth", least=0.001),
            need("centre", "length", "distance between the shaft centres", least=0.01),
            need("diameter1", "length", "pitch diameter of one pulley", least=0.001),
            need("diameter2", "length", "pitch diameter of the other pulley", least=0.001),
            need("tension", "force", "pull wanted in one strand", least=0.1),
            need(
                "measured_by",
                "words",
                "how its tension is measured; a tone needs a span of 20 pitches",
                "tone",
                "deflection",
            ),
            may(
                "mass_per_length",
                "mass_per_length",
                "mass of the whole belt width per length (for a tone; weigh a cut belt)",
                least=0.0001,
            ),
            may(
                "strength",
                "force",
                "breaking force by its maker, for the whole width, where a climb hangs on it",
                least=1,
            ),
            may(
                "profile", "text", "in a hold path: profile of the teeth, such as T5, ATL5 or HTD5M"
            ),
            may("width", "length", "in a hold path: its width", least=0.001),
            may("cords", "words", "in a hold path: what pulls in it", "steel", "glass", "aramid"),
            may("mesh", "count", "in a hold path: teeth in mesh on the smallest pulley", least=1),
            may(
                "stiffness",
                "force",
                "pull for each unit of strain, by its maker or a test (100 times the pull that"
                " makes it 1 % longer)",
                least=1,
            ),
        ),
    ),
    PartKind(
        "gearbox",
        "gears in a housing",
        (
            need("play", "angle", "free play at the output when it was built", least=0),
            may("open", "yes_no", "whether its grease can be looked at"),
        ),
    ),
    PartKind(
        "roller",
        "a driven or idle roller",
        (
            need("play", "length", "sideways play when it was built", least=0),
            need("play_most", "length", "sideways play at which it is changed", least=0),
        ),
    ),
    PartKind(
        "wheel",
        "a drive wheel with a tread",
        (
            need("tread_new", "length", "tread depth when new", least=0.0005),
            need("tread_least", "length", "tread depth at which it is changed", least=0),
        ),
    ),
    PartKind("drive-module", "a module that drives and steers one wheel"),
    PartKind(
        "drive-base",
        "all wheel modules together",
        (
            need("modules", "count", "how many modules", least=2, most=12),
            may(
                "difference",
                "length",
                "most that their treads may differ",
                default=0.001,
                least=0.0001,
            ),
        ),
    ),
    PartKind(
        "motor",
        "a motor with its mount, pinion and wires",
        (
            may(
                "case_warm",
                "temperature",
                "case temperature at which it is watched",
                default=333.15,
                least=273.15,
            ),
            may(
                "case_hot",
                "temperature",
                "case temperature at which it stops, below what its magnets bear",
                default=353.15,
                least=273.15,
            ),
        ),
    ),
    PartKind("bearing", "a bearing in its seat"),
    PartKind(
        "gas-spring",
        "a gas spring; never a holding device",
        (
            need("force", "force", "force printed on it", least=1),
            may(
                "at",
                "temperature",
                "temperature for which that force is printed",
                default=293.15,
                least=250,
            ),
        ),
    ),
)
_PRINTED = may(
    "printed_torque",
    "torque",
    "torque that it, its breaker or its battery has printed on it for that nut; goes before tables",
    least=0.1,
    most=100,
)
_ELECTRIC = (
    PartKind(
        "battery",
        "one battery; its id is battery.NAME",
        (
            need("capacity", "charge", "capacity on its label", least=0.1),
            may(
                "load_low", "current", "smaller load of its resistance test", default=5.0, least=0.1
            ),
            may(
                "load_high", "current", "larger load of its resistance test", default=50.0, least=1
            ),
            may("second_low", "current", "smaller load of another tester's pair", least=0.1),
            may("second_high", "current", "larger load of that pair", least=1),
            may(
                "second_watch",
                "resistance",
                "limit for that pair: above it it is watched",
                least=0.001,
            ),
            may("second_stop", "resistance", "limit for that pair: above it no match", least=0.001),
            may("bought", "count", "year in which it was bought", least=2000),
        ),
    ),
    PartKind("battery-holder", "the strap and tray that hold the battery in the robot"),
    PartKind(
        "lug",
        "a bolted or crimped lug",
        (
            may("stud", "text", "thread of the stud or screw that it is bolted to, such as 1/4-28"),
            _PRINTED,
        ),
    ),
    PartKind(
        "breaker",
        "the main breaker",
        (may("stud", "text", "thread of its studs, such as 1/4-28"), _PRINTED),
    ),
    PartKind(
        "crimp-tool",
        "a crimp tool, proven by a sample made with it",
        (need("gauge", "count", "American wire gauge that is crimped with it", least=4, most=24),),
    ),
    PartKind(
        "fuse-panel",
        "the panel of fuses and breakers",
        (need("count", "count", "how many are fitted when all are in", least=1),),
    ),
    PartKind("connector", "a plug that may work loose"),
    PartKind("data-bus", "the two-wire data bus"),
    PartKind(
        "wire-run",
        "a long or heavily loaded wire",
        (
            need("length", "length", "length of the run one way", least=0.01),
            need("gauge", "count", "American wire gauge (0 is 1/0)", least=-3, most=40),
            need("current", "current", "test current", least=0.1),
        ),
    ),
    PartKind(
        "radio",
        "the radio with its cable",
        (
            may("supply_low", "voltage", "lowest supply voltage on its label or page", least=1),
            may("supply_high", "voltage", "highest supply voltage on its label or page", least=1),
        ),
    ),
    PartKind(
        "encoder",
        "an angle encoder",
        (
            need("offset", "angle", "stored reading at the zero mark"),
            may(
                "allowed", "angle", "how far it may be off", default=0.0349065850398866, least=0.001
            ),
        ),
    ),
    PartKind(
        "camera",
        "a camera",
        (
            need("aim", "angle", "stored angle to the fixed target from the marked spot"),
            may(
                "allowed", "angle", "how far it may be off", default=0.0174532925199433, least=0.001
            ),
        ),
    ),
    PartKind("controller", "the robot's controller and its code"),
    PartKind("laptop", "the drivers' laptop"),
    PartKind("controls", "joysticks, gamepads and buttons"),
    PartKind(
        "air-system",
        "compressor, tanks, valves and tubes",
        (
            need("stored_pressure", "pressure", "full pressure of the tanks (gauge)", least=1e4),
            need(
                "needed_pressure",
                "pressure",
                "tank pressure that a match must start with",
                least=1e4,
            ),
            need("wait", "time", "longest wait in the queue after filling", least=30),
            may(
                "leak_time",
                "time",
                "least time between the two readings of a leak test",
                default=300.0,
                least=60,
            ),
            may("working_pressure", "pressure", "pressure behind the regulator", least=1e4),
            may(
                "relief_pressure",
                "pressure",
                "pressure at which the relief valve opens, by the event's rules",
                least=1e4,
            ),
        ),
    ),
    PartKind("cylinder", "an air cylinder"),
    PartKind("valve", "a solenoid valve"),
)
KINDS: dict[str, PartKind] = {
    kind.name: kind for kind in (*_DRIVES, *JOINT_KINDS, *CLIMB_KINDS, *_ELECTRIC)
}
