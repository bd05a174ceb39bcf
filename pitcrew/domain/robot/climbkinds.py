"""The kinds of parts that a robot hangs on and is held by.

Most of their fields may be left out: a part that is no link of the hold path does not need them,
and where it is one, what was left out counts against the climb by name.
"""

from pitcrew.domain.robot.kindshape import PartKind, may, need

RELEASES = ("hand", "servo", "solenoid", "cylinder", "motor")
YIELD = "stress at which its material yields, by its certificate or the weakest usual one"
_LIFTING = (
    PartKind(
        "wire-rope",
        "a wire rope that lifts",
        (
            need("diameter", "length", "diameter when new", least=0.0005),
            need("construction", "text", "strands and wires, such as 7x19"),
            need("material", "text", "carbon or stainless"),
            need(
                "sheave",
                "length",
                "smallest pulley or drum that it bends over, at the tread",
                least=0.001,
            ),
            need(
                "termination",
                "text",
                "how its ends are made: sleeve, swaged, clips, wedge, hand-tucked …, or the part "
                "kept, such as 0.9",
            ),
            may("load", "force", "largest steady pull in it", least=0.1),
            may(
                "loss_rule",
                "words",
                "whose rule for its diameter",
                "osha",
                "mine",
                "sling",
                default="osha",
            ),
            may(
                "strength",
                "force",
                "breaking force by its maker, for a rope that the table of aircraft cable lacks",
                least=1,
            ),
            may("knot", "text", "the knot in it, where there is one", default="none"),
        ),
    ),
    PartKind(
        "cord",
        "a synthetic cord or webbing",
        (
            need("diameter", "length", "diameter when new", least=0.0005),
            need("knot", "text", "the knot at its ends, such as bowline; none for a sewn eye"),
            may(
                "fiber",
                "text",
                "what it is made of: hmpe, aramid, polyester, nylon or polypropylene",
            ),
            may(
                "strength",
                "force",
                "breaking force by its maker, where a load hangs on it",
                least=1,
            ),
            may("sheave", "length", "smallest pulley or drum that it bends over", least=0.001),
            may(
                "termination",
                "text",
                "part of its strength that the ends keep, such as 0.9",
                default="none",
            ),
        ),
    ),
    PartKind(
        "drum",
        "a drum that rope or cord winds on",
        (
            need(
                "diameter", "length", "diameter of the bare drum, where the rope lies", least=0.001
            ),
            may(
                "torque_strength",
                "torque",
                "torque that breaks it or its fixing to the shaft, by its maker or a test",
                least=0.01,
            ),
        ),
    ),
    PartKind(
        "sprocket",
        "a sprocket of a roller chain",
        (
            need("size", "text", "chain number, such as 25, 35, 41, 40 or 50"),
            need("teeth", "count", "its teeth", least=6),
            may(
                "torque_strength",
                "torque",
                "torque that breaks it or its hub, by its maker or a test",
                least=0.01,
            ),
        ),
    ),
    PartKind(
        "pulley",
        "a pulley of a belt, rope or cord",
        (
            may(
                "diameter", "length", "pitch diameter, or the tread of a rope's pulley", least=0.001
            ),
            may("teeth", "count", "teeth of a belt's pulley", least=6),
            may("pitch", "length", "pitch of its belt, tooth to tooth", least=0.001),
            may(
                "wrap",
                "angle",
                "how far a rope that is only turned lies around it; half a turn where left out",
                least=0,
            ),
            may(
                "strength",
                "force",
                "force that breaks it or its axle, by its maker or a pull test",
                least=1,
            ),
            may(
                "torque_strength",
                "torque",
                "torque that breaks it or its hub, by its maker or a test",
                least=0.01,
            ),
        ),
    ),
    PartKind(
        "shaft",
        "a shaft or axle that turns with the load",
        (
            may("shape", "words", "its section", "round", "hex"),
            may("size", "length", "diameter, or width across the flats", least=0.001),
            may("yield_strength", "pressure", YIELD, least=1e6),
            may("span", "length", "from bearing to bearing, the pull between them", least=0.001),
            may("key_width", "length", "width of its key", least=0.0005),
            may("key_height", "length", "height of its key", least=0.0005),
            may("key_length", "length", "length of its key", least=0.001),
            may("key_yield", "pressure", "stress at which the key yields", least=1e6),
        ),
    ),
    PartKind(
        "arm",
        "a pivoting arm",
        (
            may(
                "length",
                "length",
                "from the shaft to the hook, square to the pull, in the worst position",
                least=0.001,
            ),
            may(
                "strength", "force", "force at the hook that bends or breaks it, by a test", least=1
            ),
        ),
    ),
    PartKind(
        "carriage",
        "a carriage or moving frame of a lift",
        (may("strength", "force", "force that bends or breaks it, by a test", least=1),),
    ),
    PartKind(
        "tube",
        "a telescoping tube",
        (may("strength", "force", "force that bends or breaks it, by a test", least=1),),
    ),
    PartKind(
        "hook",
        "a climb hook",
        (
            need("opening", "length", "opening of the throat when new", least=0.001),
            may(
                "strength",
                "force",
                "force that bends or breaks it, by its maker or a pull test",
                least=1,
            ),
        ),
    ),
)
_HOLDING = (
    PartKind(
        "ratchet",
        "a ratchet with its pawl",
        (
            may("teeth", "count", "teeth of the wheel", least=2),
            may(
                "pawl_radius",
                "length",
                "from the wheel's axis to where the pawl bears",
                least=0.001,
            ),
            may(
                "pitch",
                "length",
                "tooth to tooth, for a straight rack instead of a wheel",
                least=0.0005,
            ),
            may("width", "length", "face width of the wheel", least=0.0005),
            may("tooth_height", "length", "height of a tooth, root to tip, when new", least=0.0005),
            may(
                "tooth_strength",
                "force",
                "force that breaks a tooth or the pawl (maker's figure or a pull test)",
                least=1,
            ),
            may("release", "words", "what lifts the pawl", *RELEASES),
            may("hold_time", "time", "how long it must hold", least=1),
            may(
                "drum",
                "length",
                "diameter of a drum that is one with it (else a part of its own)",
                least=0.001,
            ),
            may("rope", "length", "diameter of the rope on that drum", least=0.0001),
            may("lines", "count", "older sheets: separate lines on that drum", least=1),
            may("ratio", "number", "older sheets: ratchet turns for one drum turn", least=0.01),
            may(
                "stretch",
                "length",
                "older sheets: how far the rope stretched under the robot; not used any more",
                least=0.0001,
            ),
            may(
                "parts",
                "count",
                "older sheets: parts of rope that hold the load, for one reeved line",
                default=1,
                least=1,
            ),
        ),
    ),
    PartKind(
        "brake",
        "a brake that holds without power",
        (
            may(
                "style",
                "words",
                "a closed unit, open pads on a disc, or a band on a drum",
                "closed",
                "pads",
                "band",
            ),
            may(
                "rated_torque",
                "torque",
                "static torque by its maker, for a closed unit",
                least=0.001,
            ),
            may(
                "lining",
                "text",
                "its two surfaces, for open pads and bands, such as woven lining or hard steel on "
                "hard steel",
            ),
            may(
                "friction",
                "number",
                "friction with grease on it, where the lining is not in the table; a dry figure "
                "flatters",
                least=0.01,
                most=0.6,
            ),
            may("force", "force", "force that presses each pad", least=0.1),
            may("outer", "length", "outer diameter of the pads' track", least=0.001),
            may("inner", "length", "inner diameter of the pads' track", least=0),
            may("faces", "count", "faces that rub", least=1, most=20),
            may("pad_new", "length", "thickness of a pad when new", least=0.0005),
            may("pad_least", "length", "thickness at which a pad is changed", least=0.0001),
            may("angle", "angle", "how far the band lies around its drum", least=0.1),
            may("tension", "force", "pull of the spring on the band's end", least=0.1),
            may("drum", "length", "diameter of the band's drum", least=0.001),
            may("hold_time", "time", "how long it must hold", least=1),
        ),
    ),
    PartKind(
        "one-way",
        "a one-way bearing or sprag clutch",
        (
            may("rated_torque", "torque", "torque by its maker", least=0.001),
            may(
                "hardened_shaft",
                "yes_no",
                "whether it runs on a hardened round shaft; on any other its rating is void",
            ),
            may("lost_motion", "angle", "how far its shaft turns back before it locks", least=0),
            may("hold_time", "time", "how long it must hold", least=1),
        ),
    ),
    PartKind(
        "worm",
        "a worm gear or lead screw",
        (
            may(
                "efficiency",
                "number",
                "efficiency when the motor drives it, by its maker",
                least=0.01,
                most=1,
            ),
            may(
                "lead_angle",
                "angle",
                "lead angle of the worm or screw, where its efficiency is not known",
                least=0.01,
                most=0.78,
            ),
            may(
                "friction",
                "number",
                "friction of its greasy teeth, for the lead angle",
                least=0.01,
                most=0.3,
            ),
            may(
                "torque_strength",
                "torque",
                "torque at its wheel that breaks it, by its maker",
                least=0.01,
            ),
            may("hold_time", "time", "how long it must hold", least=1),
        ),
    ),
    PartKind(
        "pin",
        "a pin that is pushed through, or a stop that it rests on",
        (
            may("diameter", "length", "its diameter", least=0.001),
            may("planes", "count", "sections that must shear: 1, or 2 in a fork", least=1, most=2),
            may(
                "plate",
                "length",
                "thickness of the thinnest plate that bears on it, both sides of a fork together",
                least=0.0005,
            ),
            may("yield_strength", "pressure", YIELD, least=1e6),
            may(
                "radius",
                "length",
                "from the axis to the pin, where it stops something that turns",
                least=0.001,
            ),
            may("spacing", "length", "how far the hook sinks from one hole to the next", least=0),
            may("hold_time", "time", "how long it must hold", least=1),
        ),
    ),
    PartKind(
        "linkage",
        "a linkage that goes past its center",
        (
            may("past_center", "length", "how far past its center it rests", least=0),
            may("stop", "yes_no", "whether it rests on a solid stop"),
            may("latch", "yes_no", "whether a latch keeps it there"),
            may("strength", "force", "force that bends or breaks it, by a test", least=1),
            may("hold_time", "time", "how long it must hold", least=1),
        ),
    ),
)
_BESIDE = (
    PartKind(
        "servo",
        "a servo, such as one that lifts the pawl",
        (
            need("rated_torque", "torque", "stall torque of its data sheet", least=0.001),
            need("rated_voltage", "voltage", "voltage of that torque", least=1),
            need(
                "sagged_voltage",
                "voltage",
                "lowest voltage at the servo when it must move",
                least=1,
            ),
            need("horn", "length", "radius at which the horn pulls", least=0.001),
            need("travel", "angle", "angle between its two ends", least=0.01),
            may(
                "travel_error",
                "angle",
                "how far it may miss an end",
                default=0.0349065850398866,
                least=0.001,
            ),
        ),
    ),
    PartKind(
        "spring",
        "a constant-force spring; never a holding device",
        (
            need("lifts", "mass", "everything that the springs lift together", least=0.01),
            need("count", "count", "how many springs share it", least=1),
            may("cycles", "count", "cycles that it lasts, by its maker", least=100),
        ),
    ),
)
CLIMB_KINDS: tuple[PartKind, ...] = (*_LIFTING, *_HOLDING, *_BESIDE)
