"""The forms of a fault: reporting it, and one for each move. `body()` gives the fields of the
move's entry."""

from typing import Any

from wtforms import HiddenField
from wtforms.validators import Length

from pitcrew.web.forms import Form, area, line, one_of, pick

GRADES = {
    "stop": "Stop: do not play with it",
    "degraded": "Degraded: it works, but worse",
    "watch": "Watch: look again",
}
"""What each grade of a fault means, as a person picks it; the phone has the same in
static/js/pages/walk/screens.js."""


class FaultForm(Form):
    """Something is wrong on a part."""

    part = one_of("Which part", "Pick the part.")
    symptom = line("What is wrong", "Say what you see, hear or measure.")
    grade = pick("How bad", "Pick how bad it is.", GRADES)
    match = one_of("In which match", "")
    reading = HiddenField(validators=[Length(max=60)])


class MoveForm(Form):
    """What all moves of a fault share."""

    def body(self) -> dict[str, Any]:
        """The move's own fields."""
        return {"why": self.why.data or ""}


class DeferForm(MoveForm):
    """Play with the known fault."""

    why = area("Why it may play", "Say why it may play with this fault.")
    until = one_of("Good until after", "Pick the match after which it must be looked at again.")
    restriction = line("What the drive team must not do")

    def body(self) -> dict[str, Any]:
        """Why, until which run, with what restriction."""
        return {
            "why": self.why.data,
            "until": self.until.data,
            "restriction": self.restriction.data or "",
        }


class RepairForm(MoveForm):
    """The fault is repaired."""

    why = area("What was done", "Say what was done, so that the next crew knows.")
    parts_used = area("Parts used, one a line")

    def body(self) -> dict[str, Any]:
        """What was done and the parts used."""
        used = [text.strip() for text in (self.parts_used.data or "").splitlines() if text.strip()]
        return {"why": self.why.data, "parts_used": used}


class NothingFoundForm(MoveForm):
    """The fault does not show."""

    why = area("What was tried", "Say what was tried, in case it comes back.")


class ReopenForm(MoveForm):
    """The fault is there again, or must be looked at again."""

    why = area("What shows it", "Say what shows that it is not over.")


class ProveForm(MoveForm):
    """A passing reading taken after the repair proves it."""

    reading = pick("Which reading shows it", "Pick the reading that shows that it holds.")

    def body(self) -> dict[str, Any]:
        """The reading that proves it."""
        return {"reading": self.reading.data}


MOVE_FORMS: dict[str, type[MoveForm]] = {
    "repaired": RepairForm,
    "deferred": DeferForm,
    "proven": ProveForm,
    "no_fault_found": NothingFoundForm,
    "open": ReopenForm,
}
