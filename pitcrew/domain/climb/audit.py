"""Working a logbook's judgements out again from its first entry: verdicts, and what each signature
for a climb rested on.

Whoever holds the pit's key can seal a changed verdict or a signature, but not make it follow from
the entries beside it.
"""

from collections.abc import Iterable
from typing import Any

from pitcrew.base.entries import canonical, from_dict
from pitcrew.base.errors import BadInput
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.checks.limitshape import Limit, limit_from_dict
from pitcrew.domain.checks.readings import judge
from pitcrew.domain.climb.clearance import lacked_when_signed
from pitcrew.domain.logbook.state import State

RawEntry = dict[str, Any]


class Recheck:
    """One walk over a log: `wrong` is what is wrong with the first entry that does not follow,
    `state` all entries folded."""

    def __init__(self, files: Definitions, state: State) -> None:
        """`files`: today's, for labels; `state`: an empty one."""
        self.files, self.state, self.wrong = files, state, ""
        self._limits: dict[bytes, Limit | None] = {}

    def walk(self, records: Iterable[RawEntry]) -> None:
        """Fold the records, which come in order of `seq`, and hold each reading and signature
        against what stands before it."""
        for record in records:
            self.state.advance((from_dict(record),))
            if not self.wrong and record["kind"] in ("reading", "clearance"):
                found = (
                    self._reading(record)
                    if record["kind"] == "reading"
                    else self._signature(record)
                )
                self.wrong = (
                    found and f"Entry {record['seq']} ({record['kind']}, {record['id']}): {found}"
                )

    def _reading(self, record: RawEntry) -> str:
        """What is wrong with the verdict that is in a reading; empty where it follows, or
        nothing was stated."""
        body = record["body"]
        stated = record.get("judged") or body
        verdict = stated.get("verdict")
        if verdict is None:
            return ""
        again = self._judged(
            stated.get("limit"), body.get("inputs") or {}, verdict, by_phone=stated is body
        )
        return (
            ""
            if again == verdict
            else (
                f"its verdict {verdict} does not follow from its limit and inputs; judged again it"
                f" is {again}."
            )
        )

    def _judged(self, limit: Any, inputs: dict[str, Any], stated: str, by_phone: bool) -> str:
        """The verdict by a limit; as stated where a phone sent none (that proves nothing) or it
        cannot be read (that is unjudged)."""
        if limit is None:
            return stated if by_phone else judge(None, inputs).verdict
        key = canonical(limit)
        if key not in self._limits:
            try:
                self._limits[key] = limit_from_dict(limit)
            except BadInput:
                self._limits[key] = None
        read = self._limits[key]
        return stated if read is None else judge(read, inputs).verdict

    def _signature(self, record: RawEntry) -> str:
        """What a clearance lacked when it was signed, in words; empty if nothing, or where the
        entry cannot be read and never counts."""
        fact = self.state.facts.get(record["id"])
        missing = lacked_when_signed(self.files, self.state, fact) if fact else []
        return f"it was signed while something was missing. {missing[0].text}" if missing else ""
