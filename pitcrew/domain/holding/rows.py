"""The rows of what is not at rest: the catch, the swing, a run into the stop, a second hook that
lets go."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from pitcrew.base.units import mark, number_text, show
from pitcrew.domain.holding.asking import FORCE, TORQUE, Ask, Site, Stage
from pitcrew.domain.holding.devices import CATCHING, catching_drop
from pitcrew.domain.holding.factors import STALL
from pitcrew.domain.holding.links import Link
from pitcrew.domain.holding.ropes import SIZE, figure
from pitcrew.domain.holding.stretch import give_of
from pitcrew.domain.holding.transfers import least_lever
from pitcrew.domain.robot.buildsheet import Part
from pitcrew.engineering.constants import GRAVITY

FARTHEST = 10.0
"""The longest fall in m that is computed, as far as `impact-factor` goes."""


@dataclass(frozen=True)
class Fall:
    """The fall that a catch must take: `drop` in m until it catches, `latency` in s and `speed` in
    m/s before that, and how far the path gives, `give` in m. None where a number is not known."""

    drop: float | None
    latency: float | None
    speed: float | None
    give: float | None

    @property
    def height(self) -> float | None:
        """All that it falls, m: one tooth, and what it goes down until the device can seat."""
        if self.drop is None or self.latency is None or self.speed is None:
            return None
        return self.drop + self.latency * self.speed

    @property
    def peak(self) -> float | None:
        """Peak over load at rest, with the speed in the energy."""
        if self.height is None or not self.give or self.impossible:
            return None
        speed = self.speed or 0.0
        return figure("impact-factor", drop=self.height, stretch=self.give, speed=speed).value

    @property
    def impossible(self) -> str:
        """That no robot falls so far, which points to a typo in the build sheet; else empty."""
        if self.height is None or self.height <= FARTHEST:
            return ""
        return f"a fall that can be: {show(self.height, 'm')} comes out"

    def drop_most(self, peak: float) -> float | None:
        """The largest drop in m at which the peak is no more than `peak`; the inverse of the
        catch's energy."""
        if not self.give or self.latency is None or self.speed is None:
            return None
        if peak < 2:
            return 0.0
        room = (peak - 1) ** 2 - 1 - self.speed**2 / (GRAVITY.value * self.give)
        return max(self.give / 2 * room - self.latency * self.speed, 0.0)


def catch_of(site: Site, stages: list[Stage], links: list[Link]) -> tuple[Fall | None, Link | None]:
    """The fall of a device that catches with a jerk, and what it does to the link with the least to
    spare."""
    word, last = site.table.device, stages[-1]
    if word not in CATCHING:
        return None, None
    ask = Ask(site, last.step, last.part)
    drop = catching_drop(ask, last.own, word)
    latency = ask.note("latency", "time until it can seat", "time", site.table.latency, needed=True)
    speed = ask.note(
        "fall_speed", "speed of going down meanwhile", "speed", site.table.fall_speed, needed=True
    )
    fall = Fall(drop, latency, speed, give_of(ask, stages))
    ask.needs += [f"{ask.label}: {fall.impossible}"] if fall.impossible else []
    weakest = _loaded(site, ask, links)
    if fall.peak is None or not weakest.computed or fall.height is None:
        because = f"The catch cannot be computed. Not stated: {_lacks(ask, weakest)}."
        return fall, _row(ask, "Catch", because, weakest, None, "catch")
    because = (
        f"Falling {mark(fall.height, 'length')} before it catches, on a path that gives "
        f"{mark(fall.give or 0.0, 'length')} at rest, loads all of it {number_text(fall.peak)} "
        f"times; {weakest.name} has the least to spare."
    )
    unknown = _not_known(links)
    name = "Catch" if unknown else "Worst catch"
    return fall, _row(ask, name, because + unknown, weakest, fall.peak, "catch")


def _not_known(links: Iterable[Link]) -> str:
    """That some links have no number, so that no one knows what more load does to them; empty where
    all have one."""
    without = [link.name for link in links if not link.computed and link.kind != SIZE]
    if not without:
        return ""
    return f" Not known for {', '.join(without)}: no strength is stated, they are only looked at."


def least_moved(site: Site, links: Iterable[Link]) -> Link | None:
    """Of the computed links the one that has the least to spare when all of it is loaded more.
    Rules of size are not loaded."""
    able = [link for link in links if link.computed and link.kind != SIZE]
    return min(
        able,
        key=lambda link: (link.factor or 0.0) / site.factors.moved(link.material),
        default=None,
    )


def _loaded(site: Site, ask: Ask, links: Sequence[Link]) -> Link:
    """The link that a row is told of: the one with the least to spare. Where a link lacks a number
    that would compute it, no one knows which has the least: then one without numbers stands in, and
    what it lacks counts against the row."""
    unknown = next(
        (link for link in links if link.needs and not link.computed and link.kind != SIZE), None
    )
    if unknown is not None:
        return unknown
    weakest = least_moved(site, links)
    if weakest is None:
        ask.lack("strength", "strength of any link of the path")
        return links[0]
    return weakest


def _lacks(ask: Ask, weakest: Link) -> str:
    """What a row is not computed for."""
    return "; ".join(dict.fromkeys((*ask.needs, *weakest.needs)))


def _row(
    ask: Ask,
    name: str,
    because: str,
    weakest: Link,
    times: float | None,
    kind: str,
    required: float | None = None,
) -> Link:
    """The weakest link again, loaded `times` as much."""
    load = None if times is None or not weakest.computed else (weakest.load or 0.0) * times
    known = load is not None
    return replace(
        weakest,
        name=f"{name}: {weakest.name}" if known else name,
        part=weakest.part if known else "",
        because=because,
        load=load,
        strength=weakest.strength if known else None,
        kind=kind,
        inspection_key="",
        rule=None,
        required=ask.site.factors.moved(weakest.material) if required is None else required,
        inputs=tuple(dict.fromkeys((*weakest.inputs, *ask.inputs))),
        needs=tuple(dict.fromkeys((*weakest.needs, *ask.needs))),
    )


def more_rows(
    site: Site, stages: list[Stage], links: list[Link], device: list[Link]
) -> Iterator[Link]:
    """Swing, stall and second hook. `device` are the links of what holds, which a winding motor
    does not load."""
    ask = _path_ask(site, stages[0])
    weakest = _loaded(site, ask, links)
    weakest = replace(weakest, needs=tuple(dict.fromkeys((*weakest.needs, *ask.needs))))
    unknown = _not_known(links)
    yield _told(_swing(site, stages[0], weakest), unknown)
    wound = min(
        (link for link in links if link.computed and link.kind != SIZE and link not in device),
        key=lambda link: link.factor or 0.0,
        default=weakest,
    )
    pulled = _not_known(link for link in links if link not in device)
    for row in _stall(site, stages, wound if weakest.computed else weakest):
        yield _told(row, pulled)
    for row in _second(site, stages[0], weakest):
        yield _told(row, unknown)


def _told(row: Link, unknown: str) -> Link:
    """A row that has a number, with the links that it cannot speak for."""
    return replace(row, because=row.because + unknown) if row.computed else row


def _path_ask(site: Site, stage: Stage) -> Ask:
    return Ask(site, replace(stage.step, name="hold path", part=""), None)


def _swing(site: Site, first: Stage, weakest: Link) -> Link:
    ask = _path_ask(site, first)
    angle = ask.note("swing", "swing angle", "angle", site.table.swing, needed=True)
    if angle is None:
        return _row(ask, "Swing", "How far it may swing is not stated.", weakest, None, "swing")
    if not weakest.computed:
        because = f"The swing cannot be computed. Not stated: {_lacks(ask, weakest)}."
        return _row(ask, "Swing", because, weakest, None, "swing")
    found = figure("swing-factor", angle=angle)
    return _row(
        ask,
        "Swing",
        f"{found.because} {weakest.name} has the least to spare.",
        weakest,
        found.value,
        "swing",
    )


def _stall(site: Site, stages: list[Stage], weakest: Link) -> Iterator[Link]:
    """All motors stalled against the hard stop, on the innermost layer: what that does to what they
    pull on."""
    ask = _path_ask(site, stages[0])
    motor = site.table.motor
    if motor is not None and motor.count == 0:
        return
    torque = ask.note(
        "stall_torque",
        "stall torque of a motor",
        "torque",
        motor.stall_torque if motor else None,
        needed=True,
    )
    count = ask.note("motors", "motors", "number", motor.count if motor else None, needed=True)
    ratio = ask.note(
        "motor_ratio",
        "motor turns for one of the drum",
        "number",
        motor.ratio if motor else None,
        needed=True,
    )
    at = _wound(ask, stages)
    if torque is None or count is None or ratio is None or at is None or not weakest.computed:
        because = f"A run into the stop cannot be computed. Not stated: {_lacks(ask, weakest)}."
        yield _row(ask, "Stall at the stop", because, weakest, None, "stall", STALL)
        return
    radius, pull = at
    stalled = torque * count * ratio / radius
    because = (
        f"Stalled against the stop the motors pull with {mark(stalled, 'force')}, "
        f"{number_text(stalled / pull)} times the load at rest; a run into the stop adds the "
        f"rotors' energy. {weakest.name} has the least to spare."
    )
    yield _row(ask, "Stall at the stop", because, weakest, stalled / pull, "stall", STALL)


def _wound(ask: Ask, stages: list[Stage]) -> tuple[float, float] | None:
    """Where the motors pull: the smallest lever in m of the first drum, sprocket, pulley or arm,
    and the pull there at rest in N."""
    rope: Part | None = None
    for stage in stages:
        if stage.before.kind == FORCE and stage.after.kind == TORQUE:
            pull, torque = stage.before.value, stage.after.value
            if not pull or torque is None:
                ask.needs += stage.after.needs
                return None
            at = Ask(ask.site, stage.step, stage.part)
            return least_lever(at, stage.step.hands_on, rope) or torque / pull, pull
        rope = (
            stage.part
            if stage.part is not None and stage.part.kind in ("wire-rope", "cord")
            else rope
        )
    ask.lack("lever", "the drum, sprocket, pulley or arm that the motors turn")
    return None


def _second(site: Site, first: Stage, weakest: Link) -> Iterator[Link]:
    """What happens to the rest when one of several hooks or winches lets go: the others take it
    suddenly."""
    ask = _path_ask(site, first)
    second = site.table.second
    count = ask.note(
        "second", "second hook or winch", "number", second.count if second else None, needed=True
    )
    if count is None or second is None:
        yield _row(
            ask,
            "Second hook or winch",
            "Whether there is a second hook or winch is not stated.",
            weakest,
            None,
            "second",
        )
        return
    if count < 2:
        return
    times = 2 * count - 1 if second.equaliser else 2.0
    shared = (
        "share through the equalizer"
        if second.equaliser
        else "have no equalizer, so each is computed with all of it"
    )
    because = (
        f"The {number_text(count)} {shared}. When one lets go, another takes it suddenly: "
        f"{number_text(times)} times. "
    ) + (
        f"{weakest.name} has the least to spare."
        if weakest.computed
        else f"Not stated: {_lacks(ask, weakest)}."
    )
    yield _row(ask, "One of them lets go", because, weakest, times, "second")


def turn_at(stages: list[Stage]) -> float | None:
    """The torque in N*m where the path first turns the pull into one; None where it does not, or it
    is not known."""
    return next(
        (
            stage.after.value
            for stage in stages
            if stage.before.kind == FORCE and stage.after.kind == TORQUE
        ),
        None,
    )
