"""The debrief's form, made from its table of questions."""

from wtforms import BooleanField

from pitcrew.domain.event.debriefs import QUESTIONS
from pitcrew.web.forms import Form, area, line, one_of


class _Base(Form):
    match = one_of("Match", "Pick the match.")

    def answers(self) -> dict[str, str | bool]:
        """The answers by name: every tick as true or false, texts where something was written."""
        found = {question.name: self[question.name].data for question in QUESTIONS}
        return {name: answer for name, answer in found.items() if answer not in (None, "")}

    def of_kind(self, kind: str) -> list:
        """The fields of one kind, in the order of the questions."""
        return [self[question.name] for question in QUESTIONS if question.kind == kind]


_FIELDS = {"tick": BooleanField, "line": line, "text": area}
DebriefForm = type("DebriefForm", (_Base,), {question.name: _FIELDS[question.kind](question.ask) for question in QUESTIONS})
