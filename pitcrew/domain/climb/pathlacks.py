"""What the hold path itself lacks for a climb: a device, a factor, a number that no one stated, or
a look at a link.
"""

from collections.abc import Iterator
from datetime import datetime

from pitcrew.base.units import number_text, screen_unit, show
from pitcrew.domain.climb.basis import Blocker
from pitcrew.domain.climb.compared import number_in
from pitcrew.domain.climb.hold import PROOF, hold_path_of
from pitcrew.domain.climb.holdtest import LOAD
from pitcrew.domain.climb.weighed import ROUNDING
from pitcrew.domain.holding.asking import LOOK
from pitcrew.domain.holding.devices import SINKS
from pitcrew.domain.holding.links import HoldPath, Link
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.freshness import unseen_for_climb
from pitcrew.domain.logbook.moment import Moment

PROVES = 1.5
"""Times the robot that a proof load must be."""
OF_THE_PATH = "hold path: "
NEVER_CLIMBS = "A robot that never climbs has climb_planned = false in pitcrew.toml."


def path_lacks(moment: Moment, seen_seq: int | None, until: datetime) -> list[Blocker]:
    """What blocks signing for a climb at the time `until`, by the readings known at `seen_seq`
    (None: all).
    """
    path = hold_path_of(moment, seen_seq)
    if path.why:
        return [Blocker(f"{path.why} {NEVER_CLIMBS}", kind="mistake")]
    found = [Blocker(path.sinks, kind="climb")] if path.sinks else []
    found += [
        Blocker(f"Hold path, not stated: {name.removeprefix(OF_THE_PATH)}.", kind="climb")
        for name in path.not_stated
        if not name.endswith(SINKS)
    ]
    found += [Blocker(f"Hold path, {_short(link)}.", kind="climb") for link in path.too_weak]
    return [*found, *_not_inspected(moment, path, seen_seq, until)]


def _short(link: Link) -> str:
    """Which factor a link has and which it needs."""
    has, needs = number_text(link.factor or 0), number_text(link.required or 0)
    return f"{link.name}: factor {has}, needs {needs}"


def _not_inspected(
    moment: Moment, path: HoldPath, seen_seq: int | None, until: datetime
) -> Iterator[Blocker]:
    for link in path.uncomputed:
        if text := why_not_inspected(moment, link, seen_seq, until):
            yield Blocker(
                f"{link.name}, not computed: {text}.",
                link.inspection_key,
                "check",
                link.inspection_key,
            )


def why_not_inspected(
    moment: Moment, link: Link, seen_seq: int | None = None, until: datetime | None = None
) -> str:
    """Why a link without numbers is not inspected for a climb at the time `until` (None: now);
    empty where it is.

    A look counts until the next climb, hit, repair or morning; a proof load at home until the link
    is changed or hit, or the robot is too heavy for it. A look that found something blocks,
    whatever was proof-loaded.
    """
    end = until or moment.now
    keys = link.inspection_key, link.inspection_key.replace(LOOK, PROOF, 1)
    look, proof = (moment.last_reading(key, seen_seq) for key in keys)
    for found in (look, proof):
        if found is not None and found.verdict == "stop" and not _worked_on(moment, link, found):
            return f"stop. {found.sentence}".removesuffix(".")
    light = ""
    if proof is not None and proof.verdict == "ok" and not _shaken(moment, link, proof, end):
        light = _too_light(moment, proof, seen_seq)
        if not light:
            return ""
    if look is None:
        return f"nobody has looked at it{light}"
    if look.verdict != "ok":
        return f"{look.verdict}. {look.sentence}".removesuffix(".")
    item = moment.definitions.part_checks.get(link.inspection_key)
    return unseen_for_climb(moment, item, look.at, end) if item else "no check looks at it"


def _too_light(moment: Moment, proof: ReadingFact, seen_seq: int | None) -> str:
    """That a proof load was less than 1.5 times what the robot weighs by now; empty where it was
    enough."""
    loads, hung = hold_path_of(moment, seen_seq).loads, number_in(proof, LOAD)
    if loads is None or (hung is not None and hung >= PROVES * loads.mass * (1 - ROUNDING)):
        return ""
    unit = screen_unit("mass", moment.definitions.settings["units"])
    then = "nothing" if hung is None else show(hung, unit, 4)
    wanted = show(PROVES * loads.mass, unit, 4)
    return f", and its proof load is too light by now ({then} of {wanted})"


def _worked_on(moment: Moment, link: Link, since: ReadingFact) -> bool:
    """Whether its part was repaired or changed since a reading."""
    touched = moment.repaired_or_changed(link.inspection_key.partition("@")[2])
    return touched is not None and touched >= since.at


def _shaken(moment: Moment, link: Link, proof: ReadingFact, until: datetime) -> bool:
    """Whether a link was worked on or hit since it was proof-loaded."""
    hit = any(proof.at < hit <= until for hit in moment.hits)
    return hit or _worked_on(moment, link, proof)
