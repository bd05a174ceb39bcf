"""What people may lift of a robot that comes down, by a published rule."""

from pitcrew.engineering import catalogue

ALONE = 25.0
"""Mass in kg that one adult may lift at best, close to the body between knuckles and elbows
(HSE, Manual handling at work, INDG143)."""
BEYOND = "Beyond the published lifting figure: cart, four with handles."


def together(people: int) -> float:
    """The mass in kg that so many adults (at most three) may lift together, by the published
    rule."""
    return catalogue.find("team-lift").compute({"each": (ALONE,) * people}).value


def beyond_lifting(mass: float | None) -> str:
    """What to do above the figure for three; empty below it. An unknown mass in kg is above."""
    return BEYOND if mass is None or mass > together(3) else ""
