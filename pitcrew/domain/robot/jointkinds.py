"""Kinds of parts that hold others together: bolts, set screws, collars, plates and what covers
them.
"""

from pitcrew.domain.robot.kindshape import PartKind, may, need
from pitcrew.engineering.heads import HEADS

JOINT_KINDS: tuple[PartKind, ...] = (
    PartKind(
        "bolted-joint",
        "bolts that hold one thing",
        (
            need("thread", "text", "thread, such as M6, 10-32 or 1/4-20"),
            need(
                "grade",
                "text",
                "as on the head: ISO 898-1 class, SAE J429 grade, A2-70 or A4-80; A574 for inch "
                "socket screws of alloy steel, F835 for inch "
                "button and flat ones, 18-8 for unmarked stainless; or other (not computed)",
            ),
            need(
                "plate",
                "text",
                "material that the thread is cut in, such as 6061-T6 or polycarbonate; nut for a "
                "matching nut; or other (not computed)",
            ),
            need(
                "condition",
                "text",
                "state of the threads: black (as it comes, oiled), dry, degreased, zinc, "
                "lubricated, cadmium, anti-seize",
            ),
            need(
                "locking",
                "words",
                "what keeps it from turning",
                "none",
                "thread-locker",
                "nylon insert",
            ),
            may(
                "head",
                "words",
                "shape of the head: socket is the tall cap, flat a countersunk one, low a thin cap",
                *HEADS,
                later=True,
            ),
            may(
                "key",
                "length",
                "key across its flats, where it was measured; else the head's standard counts",
                least=0.0005,
            ),
            may(
                "layers",
                "text",
                "materials that the bolt clamps, such as polycarbonate; 6061-T6",
                later=True,
            ),
            may(
                "washer",
                "length",
                "washer under the head, across its outside; else the head alone bears",
                least=0.002,
            ),
            may(
                "tool",
                "words",
                "wrench at hand: dial, beam and digital ones read a torque, click only says yes or "
                "no",
                "dial",
                "beam",
                "digital",
                "click",
                default="dial",
            ),
            may(
                "nut",
                "words",
                "a nylon nut that came off: new (hold path, drive, whatever turns), or tested by "
                "torque or finger before it "
                "is used again",
                "new",
                "torque",
                "finger",
                default="new",
            ),
            may("engagement", "length", "length of engaged thread in the plate", least=0.0005),
            may(
                "fraction",
                "number",
                "part of the load that would stretch or strip it",
                default=0.75,
                least=0.1,
            ),
            may("count", "count", "how many bolts", default=1, least=1),
        ),
    ),
    PartKind(
        "set-screw",
        "a set screw on a shaft",
        (
            need("seat", "words", "what it presses on", "round", "flat", "dimple", "hex", "key"),
            may("count", "count", "how many", default=1, least=1),
        ),
    ),
    PartKind(
        "collar",
        "a collar that keeps a shaft in place",
        (need("gap_most", "length", "end play of the shaft that is still right", least=0),),
    ),
    PartKind("plate", "a side plate, tube or bracket that may crack or bend"),
    PartKind("frame", "the frame with its welds, rivets and gussets"),
    PartKind("cover", "a cover, cap, lid or guard that must be on"),
    PartKind("bumper", "a bumper with its mounts"),
)
