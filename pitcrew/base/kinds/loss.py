"""What the logbook itself may lack."""

from typing import Literal

from pitcrew.base.kinds.kind import LAPTOP, Body, Kind

LossKind = Literal["cut", "shorter", "other", "missing", "restored", "adopted", "unsure"]


class Loss(Body):
    """What this logbook may lack, noted by the laptop itself; everything signed before it ends.

    `held`: the last entry that was known, `here`: the last that the log held then; `lost`: what a
    cut line may have been; `by`: who showed more or brought entries back.
    """

    what: LossKind
    held: int | None = None
    here: int | None = None
    lost: str = ""
    by: str = ""


def loss_text(body: Loss) -> str:
    """What the logbook may lack, in a sentence."""
    by = body.by or "somebody"
    return {
        "cut": (
            "The last line of the logbook was damaged and was cut. It was"
            f" {body.lost or 'nobody knows what'}."
        ),
        "shorter": (
            f"The logbook ended at entry {body.here}, but this laptop had stored entry {body.held}:"
            " an older copy was put back, or its end was cut."
        ),
        "other": (
            f"The logbook is not the one that this laptop wrote up to entry {body.held}: a copy was"
            " put back."
        ),
        "missing": "The logbook was gone, and an empty one was begun.",
        "restored": (
            f"A phone of {by} had seen entry {body.held}, which this logbook does not hold: an"
            " older copy was put back."
        ),
        "adopted": "Entries of another logbook were taken in by `pitcrew adopt`.",
        "unsure": (
            "Nobody knows whether the logbook still has its last entries: the laptop was not"
            " stopped properly, or its folder was copied or put back from a backup."
        ),
    }[body.what]


KIND = Kind(
    name="loss",
    words="loss of entries",
    body=Loss,
    written_by=LAPTOP,
    decision=True,
    signed=True,
    correctable=False,
    table="losses",
)
