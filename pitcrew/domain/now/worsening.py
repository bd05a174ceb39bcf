"""What worsens readiness on a phone on its own, as a table that goes to the phone as data.

The phone does not fold: it can say that something got worse, never that it is good again.
`static/js/pages/offline/worse.js` reads the table, and a test reads it in Python, too.

A row holds for an event of its `kind` (any kind where it has none) whose body has one of the values
in `given`, if all `facts` hold and none of `unless`. `says` and `href` are filled from the body and
with {part}, {check}, {key}, {hit} and {match}. `once`: one sentence of all rows of that name is
enough. `own`: it comes from this phone's entries, and the sentence says so.
"""

from typing import Any

Worsening = dict[str, Any]

FACTS = ("cleared", "critical", "hit", "later", "logged", "must", "ok_reading")
"""The clearance holds; on a climb-critical part; a debrief that reports a hit; the check was
answered again since; a fault was logged on this reading; the check must be good before a match; a
reading judged ok."""


def _row(kind: str, says: str, href: str, **more: Any) -> Worsening:
    plain = {"given": {}, "facts": [], "unless": [], "once": "", "own": True}
    return {"kind": kind, "says": says, "href": href, **plain, **more}


_READING = "{part}, {check}: {verdict}.", "/walk?check={key}"
_VOID = "The climb clearance is void"

WORSENS: tuple[Worsening, ...] = (
    _row(
        "match_begun",
        "This was worked out for {match}, which has begun since. What is due now, the laptop"
        " knows.",
        "/now",
        own=False,
    ),
    _row("reading", *_READING, given={"verdict": ["stop"]}, unless=["logged", "later"]),
    _row("reading", *_READING, given={"verdict": ["unjudged"]}, facts=["must"], unless=["later"]),
    _row("fault", "{part}: {symptom} (stop, open).", "/faults", given={"grade": ["stop"]}),
    _row("fault_move", "A fault was opened again.", "/faults/{fault}", given={"to": ["open"]}),
    _row("temporary", "{part}: {what}, not undone.", "/now", given={"blocks": [True]}),
    _row(
        "debrief",
        "The debrief says: {hit}. The checks after a hard hit are due.",
        "/walk",
        facts=["hit"],
    ),
    _row("part_change", "{part}: changed, and not checked since.", "/walk"),
    _row("no_battery", "The battery that was offered went elsewhere.", "/batteries"),
    _row(
        "debrief",
        f"{_VOID}. The debrief says: {{hit}}.",
        "/climb",
        facts=["cleared", "hit"],
        once="climb",
    ),
    _row(
        "",
        f"{_VOID}: {{part}} was touched since.",
        "/climb",
        facts=["cleared", "critical"],
        unless=["ok_reading"],
        once="climb",
    ),
)
"""`match_begun` and `no_battery` are no entries: the phone sees them by its clock, and by the moves
of all batteries that were offered."""
OWN = "From this phone."
"""What stands behind a sentence about this phone's own entries."""
