"""A check that was left out, and why."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, Names, check_key, own_part


class Skipped(Body):
    check: str
    part: str
    why: str


def _told(body: Skipped, names: Names) -> tuple[str, str]:
    return names.label(body.part), f"not checked ({body.check}): {body.why}"


KIND = Kind(
    name="skipped",
    words="skipped check",
    body=Skipped,
    written_by=CREW,
    table="skips",
    key=check_key,
    parts=own_part,
    told=_told,
)
