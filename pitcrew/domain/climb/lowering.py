"""The lowering card in words: what carries the robot first, who may lift, how the device is let
go."""

from dataclasses import dataclass

from pitcrew.base.units import screen_unit, show
from pitcrew.domain.climb.hold import hold_path_of
from pitcrew.domain.climb.lifting import ALONE, beyond_lifting, together
from pitcrew.domain.climb.lowered import below_rule
from pitcrew.domain.climb.picture import capital
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.robot.buildsheet import Robot

NOBODY_UNDER = "Nobody under it."
SUPPORT = (
    "Support first: a cart, a stand or a second strap carries the robot before anyone touches what "
    "holds it."
)
RELEASES = {
    "ratchet": "Never force a loaded pawl. Lift until it is free, then open it.",
    "brake": "Open the brake only once the support carries the robot.",
    "one-way": "A one-way bearing does not let go under load. Lift until it turns free.",
    "worm": "Turn the worm down slowly, fingers clear of the screw.",
    "over-center": "Lift until the linkage is loose, then fold it back past its center.",
    "pin": "Never pull a loaded pin. Lift until it turns by hand, then pull it.",
    "motor-brake": "It sinks by itself. Get the support under it at once, from the side.",
    "none": "Nothing holds it. Get the support under it at once, from the side.",
}
UNKNOWN = "Never force whatever holds it. Lift until it is free, then open it."
TOGETHER = 'One person calls. Lower together onto the cart; call "down" once it stands.'


@dataclass(frozen=True)
class LoweringCard:
    """The card. `weight` says what it weighs against what people may lift, `beyond` what to do
    above that figure; `people` are the places of the drive team, `own` the build sheet's steps."""

    rule: str
    weight: str
    beyond: str
    steps: tuple[str, ...]
    own: tuple[str, ...]
    people: tuple[str, ...]
    lower: str = ""


def lowering_now(moment: Moment) -> LoweringCard:
    """The card as of a moment: with the weight that counts and the holding device of the path."""
    path = hold_path_of(moment)
    robot = moment.definitions.robot
    mass = path.loads.mass if path.loads else robot.mass if robot else None
    below = capital(below_rule(path))
    return lowering_card(robot, mass, path.device, moment.definitions.settings["units"], below)


def lowering_card(
    robot: Robot | None, mass: float | None, device: str, units: str, lower: str = ""
) -> LoweringCard:
    """The card of a robot of `mass` (kg, None where it is not known), held by `device`.

    `lower` is what is on the card where the team uses a lower factor than the lifting rule.
    """
    own = robot.lowering if robot else None
    return LoweringCard(
        rule=f"{NOBODY_UNDER} Robot disabled, power off until it stands.",
        weight=_weight(mass, units),
        beyond=beyond_lifting(mass),
        steps=(SUPPORT, RELEASES.get(device, UNKNOWN), TOGETHER),
        own=own.steps if own else (),
        people=own.people if own else (),
        lower=lower,
    )


def _weight(mass: float | None, units: str) -> str:
    unit = screen_unit("mass", units)
    two, three = (show(together(people), unit) for people in (2, 3))
    rule = (
        f"By the published rule for adults ({show(ALONE, unit)} alone) two lift {two} and three "
        f"{three}; more don't count."
    )
    return (
        f"{'Its weight is not known.' if mass is None else f'It weighs {show(mass, unit)}.'} {rule}"
    )
