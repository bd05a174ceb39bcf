"""Which column of a robot's log is which: by the words of its heading, its unit, and a look at the
first numbers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.robotlog.clocks import split_unit
from pitcrew.robotlog.words import (
    BATTERY,
    CHANNELS,
    MECHANISMS,
    PARTS,
    UNITS,
    WHOLE,
    WORDINGS,
    Heading,
    score,
)

ROLES = ("time", "voltage", "current", "overruns", "phase")
"""What a person may name: the clock, the battery's voltage, the whole current, a count or flag of
late loops, the match phase."""
_PANEL = frozenset({"power", "panel", "distribution", "board", "main"})
_FEWEST_STEADY = 5


@dataclass(frozen=True)
class Columns:
    """The number of the column of each role, of the single channels' currents, the factor to SI of
    each that has a unit, and the clock's unit where a person named it."""

    roles: Mapping[str, int]
    channels: tuple[int, ...]
    factors: Mapping[int, float]
    clock_unit: str = ""


def recognise(
    heads: Sequence[Heading],
    sample: Sequence[Sequence[float]],
    given: Mapping[str, str] | None = None,
) -> Columns:
    """The columns of a log. `sample`: the first rows as numbers, nan for what is none; `given`:
    role -> heading or number from 1, which a person named, empty for a role that no column has; the
    clock's may end with its unit, `T:ms`. Raises BadInput where time or voltage cannot be known,
    UnknownName for a heading that is not there."""
    given = dict(given or {})
    given_time, unit = split_unit(given.get("time", ""), [head.text for head in heads])
    if unit:
        given["time"] = given_time
    roles = {role: _given(heads, sample, role, name) for role, name in given.items() if name}
    _apart(heads, roles)
    for role in ("time", "voltage"):
        if role not in roles:
            roles[role] = _best(role, heads, sample, roles)
    free = [at for at in range(len(heads)) if at not in roles.values()]
    currents = [at for at in free if _is_current(heads[at])] or [
        at for at in free if _is_bare_channel(heads[at])
    ]
    if "current" not in {*roles, *given} and (whole := _whole(heads, sample, currents)) is not None:
        roles["current"] = whole
    for role in ("overruns", "phase"):
        scores = {
            at: score(role, head) for at, head in enumerate(heads) if at not in roles.values()
        }
        best = max(scores, key=scores.__getitem__, default=None)
        if role not in {*roles, *given} and best is not None and scores[best] > 0:
            roles[role] = best
    channels = tuple(at for at in currents if at not in roles.values())
    if (
        "current" not in roles and len(channels) < 2
    ):  # the current of one mechanism says nothing of the whole
        channels = ()
    factors = {
        at: UNITS[heads[at].unit][1]
        for at in (*roles.values(), *channels)
        if heads[at].unit in UNITS
    }
    if unit:
        factors[roles["time"]] = UNITS[unit][1]
    return Columns(roles, channels, factors, unit)


def _apart(heads: Sequence[Heading], roles: Mapping[str, int]) -> None:
    """Raises BadInput where one column was named for two things."""
    seen: dict[int, str] = {}
    for role, at in roles.items():
        if at in seen:
            raise BadInput(
                f"The column {heads[at].text.strip()!r} was named as {seen[at]} and as {role}. It"
                " can be one of them: name another column, or leave one out.",
                "columns",
            )
        seen[at] = role


def _is_current(head: Heading) -> bool:
    wording = WORDINGS["current"]
    return (
        head.dimension in ("", "current")
        and bool(head.dimension or head.words & wording.names)
        and not head.words & wording.bad
    )


def _is_bare_channel(head: Heading) -> bool:
    """`Ch 7`, `power slot 12`: a numbered channel without a word for amps, of which there are only
    currents."""
    words = {word for word in head.words if not word.isdecimal()}
    return (
        len(words) < len(head.words)
        and bool(words & CHANNELS)
        and words <= CHANNELS | _PANEL
        and head.dimension in ("", "current")
    )


def _given(
    heads: Sequence[Heading], sample: Sequence[Sequence[float]], role: str, name: str
) -> int:
    if role not in ROLES:
        raise UnknownName("The column role", role, ROLES, "columns")
    exact = [at for at, head in enumerate(heads) if head.text.strip() == name.strip()]
    folded = exact or [
        at
        for at, head in enumerate(heads)
        if head.text.strip().casefold() == name.strip().casefold()
    ]
    if folded:
        return max(folded, key=lambda at: (_plausible(role, at, sample), -at))
    if name.isdecimal() and 1 <= int(name) <= len(heads):
        return int(name) - 1
    raise UnknownName("The column", name, [head.text for head in heads], "columns")


def _best(
    role: str, heads: Sequence[Heading], sample: Sequence[Sequence[float]], taken: Mapping[str, int]
) -> int:
    free = [at for at in range(len(heads)) if at not in taken.values()]
    fits = {at: value for at in free if (value := score(role, heads[at])) > 0}
    if not fits or (role == "voltage" and not any(_plausible(role, at, sample) for at in fits)):
        fits |= {
            at: 0 for at in free if at not in fits and _looks_like(role, heads[at], at, sample)
        }
    if not fits:
        found = ", ".join(head.text for head in heads if head.text)[:300]
        raise BadInput(
            f"No column of the log is known as {role}. Name it, as in --columns {role}=HEADING;"
            f" found: {found}",
            "columns",
        )
    return max(fits, key=lambda at: (_plausible(role, at, sample), fits[at], -at))


def _plausible(role: str, at: int, sample: Sequence[Sequence[float]]) -> bool:
    """Whether the first numbers of a column can be what its heading says."""
    numbers = _numbers(at, sample)
    if role == "voltage":
        return bool(numbers) and 4 < median(numbers) * (1e-3 if median(numbers) > 1000 else 1) < 16
    return len(set(numbers)) > 1 or not sample


def _looks_like(role: str, head: Heading, at: int, sample: Sequence[Sequence[float]]) -> bool:
    """Whether a column without a name for the role may be it by its numbers: a battery's few volts,
    or a clock's even steps."""
    if role == "voltage":
        named = (
            bool(head.words & BATTERY)
            and not head.dimension
            and not head.words & WORDINGS["voltage"].bad
        )
        return named and _plausible(role, at, sample)
    steps = [b - a for a, b in zip(_numbers(at, sample), _numbers(at, sample)[1:], strict=False)]
    usual = median(steps) if len(steps) >= _FEWEST_STEADY else 0
    return (
        usual != 0 and set(steps) != {1.0} and all(0.5 < step / usual < 2 for step in steps)
    )  # steps of 1 number the rows


def _whole(
    heads: Sequence[Heading], sample: Sequence[Sequence[float]], currents: Sequence[int]
) -> int | None:
    """The column of the whole current; None where there are only channels, which are then added
    up."""
    single = [
        at
        for at in currents
        if not heads[at].words & (MECHANISMS if heads[at].words & WHOLE else PARTS)
    ]
    if len(currents) == 1:
        return single[0] if single else None
    means = {at: _mean(at, sample) for at in currents}
    named = [at for at in single if heads[at].words & WORDINGS["current"].good]
    if named:
        return max(
            named,
            key=lambda at: (
                score("current", heads[at]) - len(heads[at].words & PARTS),
                means[at],
                -at,
            ),
        )
    unnumbered = [at for at in single if not any(word.isdecimal() for word in heads[at].words)]
    largest = max(unnumbered, key=means.__getitem__, default=None)
    if largest is not None and means[largest] >= 0.8 * sum(
        value for at, value in means.items() if at != largest
    ):
        return largest
    return None


def _numbers(at: int, sample: Sequence[Sequence[float]]) -> list[float]:
    return [row[at] for row in sample if at < len(row) and row[at] == row[at]]


def _mean(at: int, sample: Sequence[Sequence[float]]) -> float:
    numbers = _numbers(at, sample)
    return sum(numbers) / len(numbers) if numbers else 0.0
