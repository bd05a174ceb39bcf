"""How a reading's entry is judged: by the limit in force for whoever makes one or takes one in, and
by the limit that it carries for whoever reads it."""

from collections.abc import Mapping
from typing import Any

import msgspec

from pitcrew.base.kinds.kind import Said
from pitcrew.domain.checks.limits import PartCheck, limit_as_dict
from pitcrew.domain.checks.readings import Judgement, judge


def judged_body(part_check: PartCheck, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """What the body of a reading says of its judgement, by the limit in force."""
    limit, found = by_limit_in_force(part_check, inputs)
    return {
        "limit": limit,
        "result": found.result,
        "verdict": found.verdict,
        "said": {"text": found.sentence, **said_as_dict(found.said)},
    }


def by_limit_in_force(
    part_check: PartCheck, inputs: Mapping[str, Any]
) -> tuple[dict[str, Any] | None, Judgement]:
    """The limit that a check has now on a part, as an entry carries it, and its judgement."""
    limit = limit_as_dict(part_check.limit) if part_check.limit else None
    return limit, judge(limit, inputs, part_check.unjudged_because)


def by_own_limit(limit: dict[str, Any], inputs: Mapping[str, Any]) -> Judgement:
    """The judgement by the limit that an entry carries; a limit that cannot be read judges nothing,
    whatever is wrong with it."""
    try:
        return judge(limit, inputs)
    except Exception:
        return Judgement("unjudged", "Its limit cannot be read. Measure again.")


def said_as_dict(said: Said | None) -> dict[str, Any]:
    """Key, numbers and words as an entry carries them; empty where they are not known."""
    plain: dict[str, Any] = msgspec.to_builtins(said) if said else {}
    return plain
