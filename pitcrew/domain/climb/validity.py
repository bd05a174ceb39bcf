"""How long a signature lasts and what ends it, in the captain's words."""

from pitcrew.domain.logbook.runs import Run

ENDS = (
    "It ends at once when anything is written on these parts after it: work, a fault, "
    "a reading that is not OK, a heavier weight, a hit."
)


def lasts(run: Run | None, runs: int) -> str:
    """For which matches a signature made now would hold; `runs` is the team's setting."""
    name = run.name if run else "the next match"
    if runs == 1:
        return f"For {name} only, until it is played."
    return f"For {runs} matches, {name} first, and today only."
