"""Checks that earlier lists had and that no one may do: they are left out wherever they still
stand, and named."""

from pitcrew.domain.robot.mistakes import Mistake

UNSAFE = {
    "rope-pull": "It hangs the robot on a luggage scale. Weighing it on the floor says the same.",
}
"""Check id -> why it is unsafe."""


def unsafe_notice(file: str, check: str) -> Mistake:
    """What to say about a file that still holds such a check."""
    return Mistake(
        file,
        f"check {check}",
        "an unsafe check",
        f"a list without it. {UNSAFE[check]} It is never due",
        notice=True,
    )
