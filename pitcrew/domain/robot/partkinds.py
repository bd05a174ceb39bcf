"""The kinds of parts that a build sheet may have, and the specification that each kind asks for.

One table feeds the reading of build sheets, their JSON Schema and the page that documents the format.
"""

from dataclasses import dataclass

from pitcrew.domain.robot.tables import Field


@dataclass(frozen=True)
class PartKind:
    """What a kind of part is, and the fields of its specification."""

    name: str
    meaning: str
    fields: tuple[Field, ...] = ()


def _need(name: str, kind: str, meaning: str, *choices: str, least: float | None = None, most: float | None = None) -> Field:
    return Field(name, kind, meaning, choices=choices, least=least, most=most)


def _may(name: str, kind: str, meaning: str, *choices: str, default: object = None, least: float | None = None) -> Field:
    return Field(name, kind, meaning, required=False, default=default, choices=choices, least=least)


PART_FIELDS: tuple[Field, ...] = (
    Field("id", "id", "subsystem.group.name, two or more dotted words"),
    Field("label", "text", "the name on screen and paper"),
    Field("zone", "id", "id of the zone in which it sits"),
    Field("kind", "id", "one of the part kinds"),
    Field("climb_critical", "yes_no", "whether the climb hangs on it", required=False, default=False),
)
"""The keys that every part has beside its kind's own."""

_DRIVES = (
    PartKind("roller-chain", "a roller chain drive", (
        _need("size", "text", "chain number, such as 25, 35, 41, 40 or 50"),
        _need("span", "length", "free span of the slack side, sprocket to sprocket", least=0.01),
        _need("duty", "words", "shock: reversing, vertical or jerky drives", "normal", "shock"),
        _need("teeth", "count", "teeth of the larger sprocket", least=6),
        _may("fixed_centres", "yes_no", "whether the centres cannot be moved apart", default=False),
        _may("pitches", "count", "pitches over which wear is measured", default=16, least=6),
    )),
    PartKind("timing-belt", "a toothed belt drive", (
        _need("pitch", "length", "belt pitch, tooth to tooth", least=0.001),
        _need("centre", "length", "distance between the shaft centres", least=0.01),
        _need("diameter1", "length", "pitch diameter of one pulley", least=0.001),
        _need("diameter2", "length", "pitch diameter of the other pulley", least=0.001),
        _need("tension", "force", "pull wanted in one strand", least=0.1),
        _need("measured_by", "words", "how its tension is measured; a tone needs a span of 20 pitches", "tone", "deflection"),
        _may("mass_per_length", "mass_per_length", "mass of the whole belt width per length (for a tone; weigh a cut belt)", least=0.0001),
    )),
    PartKind("gearbox", "gears in a housing", (
        _need("play", "angle", "free play at the output when it was built", least=0),
    )),
    PartKind("roller", "a driven or idle roller", (
        _need("play", "length", "sideways play when it was built", least=0),
        _need("play_most", "length", "sideways play at which it is changed", least=0),
    )),
    PartKind("wheel", "a drive wheel with a tread", (
        _need("tread_new", "length", "tread depth when new", least=0.0005),
        _need("tread_least", "length", "tread depth at which it is changed", least=0),
    )),
    PartKind("drive-module", "a module that drives and steers one wheel"),
)
_JOINTS = (
    PartKind("bolted-joint", "bolts that hold one thing", (
        _need("thread", "text", "thread, such as M6, 10-32 or 1/4-20"),
        _need("grade", "text",
              "ISO 898-1 class or SAE J429 grade, as on the head; A574 for inch socket screws of alloy steel; or other (not computed)"),
        _need("plate", "text",
              "material that the thread is cut in, such as 6061-T6 or polycarbonate; nut for a matching nut; or other (not computed)"),
        _need("condition", "text", "state of the threads: dry, zinc, lubricated, cadmium, anti-seize"),
        _need("locking", "words", "what keeps it from turning", "none", "thread-locker", "nylon insert"),
        _may("engagement", "length", "length of engaged thread in the plate", least=0.0005),
        _may("fraction", "number", "part of the load that would stretch or strip it", default=0.75, least=0.1),
        _may("count", "count", "how many bolts", default=1, least=1),
    )),
    PartKind("set-screw", "a set screw on a shaft", (
        _need("seat", "words", "what it presses on", "round", "flat", "dimple", "hex", "key"),
        _may("count", "count", "how many", default=1, least=1),
    )),
    PartKind("collar", "a collar that keeps a shaft in place", (
        _need("gap_most", "length", "end play of the shaft that is still right", least=0),
    )),
    PartKind("plate", "a side plate, tube or bracket that may crack or bend"),
    PartKind("frame", "the frame with its welds, rivets and gussets"),
    PartKind("cover", "a cover, cap, lid or guard that must be on"),
    PartKind("bumper", "a bumper with its mounts"),
)
_CLIMB = (
    PartKind("wire-rope", "a wire rope that lifts", (
        _need("diameter", "length", "diameter when new", least=0.0005),
        _need("construction", "text", "strands and wires, such as 7x19"),
        _need("material", "text", "carbon or stainless"),
        _need("sheave", "length", "smallest pulley or drum that it bends over, at the tread", least=0.001),
        _need("termination", "text", "how its ends are made: sleeve, swaged, clips, wedge, hand-tucked …, or the part kept, such as 0.9"),
        _need("load", "force", "largest steady pull in it", least=0.1),
        _may("loss_rule", "words", "whose rule for its diameter", "osha", "mine", "sling", default="osha"),
        _may("strength", "force", "breaking force by its maker, for a rope that the table of aircraft cable lacks", least=1),
        _may("knot", "text", "the knot in it, where there is one", default="none"),
    )),
    PartKind("cord", "a synthetic cord or webbing", (
        _need("diameter", "length", "diameter when new", least=0.0005),
        _need("knot", "text", "the knot at its ends, such as bowline; none for a sewn eye"),
        _may("strength", "force", "breaking force by its maker, where a load hangs on it", least=1),
        _may("sheave", "length", "smallest pulley or drum that it bends over", least=0.001),
        _may("termination", "text", "part of its strength that the ends keep, such as 0.9", default="none"),
    )),
    PartKind("ratchet", "a winch drum with its ratchet and pawl", (
        _need("drum", "length", "diameter of the drum", least=0.001),
        _need("rope", "length", "diameter of the rope on it", least=0.0001),
        _need("lines", "count", "separate lines on the drum", least=1),
        _need("ratio", "number", "ratchet turns for one drum turn", least=0.01),
        _need("teeth", "count", "teeth of the ratchet", least=2),
        _need("pawl_radius", "length", "from the ratchet's axis to where the pawl bears", least=0.001),
        _need("tooth_strength", "force", "force that breaks a tooth or the pawl (maker's figure or a pull test)", least=1),
        _need("stretch", "length", "stretch of the rope under the robot's weight at rest", least=0.0001),
        _need("hold_time", "time", "how long it must hold", least=1),
        _may("parts", "count", "parts of rope that hold the load, for one reeved line", default=1, least=1),
    )),
    PartKind("hook", "a climb hook", (
        _need("opening", "length", "opening of the throat when new", least=0.001),
    )),
    PartKind("servo", "a servo, such as one that lifts the pawl", (
        _need("rated_torque", "torque", "stall torque of its data sheet", least=0.001),
        _need("rated_voltage", "voltage", "voltage of that torque", least=1),
        _need("sagged_voltage", "voltage", "lowest voltage at the servo when it must move", least=1),
        _need("horn", "length", "radius at which the horn pulls", least=0.001),
        _need("travel", "angle", "angle between its two ends", least=0.01),
        _may("travel_error", "angle", "how far it may miss an end", default=0.0349065850398866, least=0.001),
    )),
    PartKind("spring", "a constant-force spring", (
        _need("lifts", "mass", "everything that the springs lift together", least=0.01),
        _need("count", "count", "how many springs share it", least=1),
    )),
)
_ELECTRIC = (
    PartKind("battery", "one battery; its id is battery.NAME", (
        _need("capacity", "charge", "capacity on its label", least=0.1),
        _may("load_low", "current", "smaller load of its resistance test", default=5.0, least=0.1),
        _may("load_high", "current", "larger load of its resistance test", default=50.0, least=1),
        _may("bought", "count", "year in which it was bought", least=2000),
    )),
    PartKind("lug", "a bolted or crimped lug"),
    PartKind("breaker", "the main breaker"),
    PartKind("fuse-panel", "the panel of fuses and breakers", (
        _need("count", "count", "how many are fitted when all are in", least=1),
    )),
    PartKind("connector", "a plug that may work loose"),
    PartKind("data-bus", "the two-wire data bus"),
    PartKind("wire-run", "a long or heavily loaded wire", (
        _need("length", "length", "length of the run one way", least=0.01),
        _need("gauge", "count", "American wire gauge (0 is 1/0)", least=-3, most=40),
        _need("current", "current", "test current", least=0.1),
    )),
    PartKind("radio", "the radio with its cable"),
    PartKind("encoder", "an angle encoder", (
        _need("offset", "angle", "stored reading at the zero mark"),
        _may("allowed", "angle", "how far it may be off", default=0.0349065850398866, least=0.001),
    )),
    PartKind("camera", "a camera", (
        _need("aim", "angle", "stored angle to the fixed target from the marked spot"),
        _may("allowed", "angle", "how far it may be off", default=0.0174532925199433, least=0.001),
    )),
    PartKind("controller", "the robot's controller and its code"),
    PartKind("laptop", "the drivers' laptop"),
    PartKind("controls", "joysticks, gamepads and buttons"),
    PartKind("air-system", "compressor, tanks, valves and tubes", (
        _need("stored_pressure", "pressure", "full pressure of the tanks (gauge)", least=1e4),
        _need("needed_pressure", "pressure", "tank pressure that a match must start with", least=1e4),
        _need("wait", "time", "longest wait in the queue after filling", least=30),
        _may("leak_time", "time", "least time between the two readings of a leak test", default=300.0, least=60),
    )),
)
KINDS: dict[str, PartKind] = {kind.name: kind for kind in (*_DRIVES, *_JOINTS, *_CLIMB, *_ELECTRIC)}
