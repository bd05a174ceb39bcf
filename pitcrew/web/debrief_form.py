"""The debrief's form, made from its tables of questions."""

from wtforms import BooleanField, Field

from pitcrew.domain.event.debriefs import CLIMB_ROW, QUESTIONS, Question
from pitcrew.domain.logbook.climbs import CLIMBED
from pitcrew.web.forms import Form, area, line, one_of, pick

YES_NO = {"yes": True, "no": False}


class _Base(Form):
    match = one_of("Match", "Pick the match.")

    def answers(self) -> dict[str, str | bool]:
        """The answers by name: every tick as true or false, the rest where something was
        answered."""
        asked = (*QUESTIONS, *CLIMB_ROW)
        found = {question.name: self[question.name].data for question in asked}
        found |= {
            item.name: YES_NO.get(found[item.name]) for item in asked if item.kind == "yes_no"
        }
        if found[CLIMBED] is False:
            found |= dict.fromkeys(item.name for item in CLIMB_ROW if item.name != CLIMBED)
        return {name: answer for name, answer in found.items() if answer not in (None, "")}

    def of_kind(self, kind: str) -> list[Field]:
        """The fields of one kind, in the order of the questions."""
        return [self[question.name] for question in QUESTIONS if question.kind == kind]

    def climb_row(self) -> list[Field]:
        """The fields about the climb, in the order of the questions."""
        return [self[question.name] for question in CLIMB_ROW]


def _field(question: Question) -> Field:
    if question.kind in ("yes_no", "pick"):
        words = question.options or tuple(YES_NO)
        return pick(question.ask, "", {word: word.capitalize() for word in words})
    return {"tick": BooleanField, "line": line, "text": area}[question.kind](question.ask)


_FIELDS = {question.name: _field(question) for question in (*QUESTIONS, *CLIMB_ROW)}
DebriefForm = type("DebriefForm", (_Base,), _FIELDS)
