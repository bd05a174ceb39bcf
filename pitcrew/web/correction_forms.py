"""The forms that correct an entry: what it says now is filled in, `body(now)` is what it should
have said."""

from typing import Any

from wtforms import BooleanField, Field, StringField
from wtforms.fields.choices import SelectChoice
from wtforms.form import FormMeta
from wtforms.validators import ValidationError

from pitcrew.base.errors import BadQuantity
from pitcrew.base.units import parse_reading
from pitcrew.domain.checks.checklists import Input
from pitcrew.domain.checks.judging import judged_body
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.web.fault_forms import GRADES
from pitcrew.web.forms import Form, line, one_of, pick, tidy

WENT = {
    "robot": "Into the robot",
    "channel": "On a charger",
    "rest": "At rest",
    "bench": "On the bench",
    "retired": "Retired",
}
PREFIX = "input_"
"""Before the name of a reading's input, which could be that of another field."""


class TakeBackForm(Form):
    """The entry should never have been made, or it should count again after all."""

    why = line("What happened", "Say what happened, so that the crew can follow.")


class CorrectionForm(Form):
    """What all corrections share."""

    match = one_of("In which match", "")
    why = line("What was wrong", "Say what was wrong, so that the crew can follow.")

    def body(self, now: dict[str, Any]) -> dict[str, Any]:
        """The whole body as it should have been; `now` is the body in force."""
        return now


class FaultCorrection(CorrectionForm):
    """A fault on the wrong part, in other words, too grave or not grave enough."""

    part = one_of("Which part", "Pick the part.")
    symptom = line("What is wrong", "Say what you see, hear or measure.")
    grade = pick("How bad", "Pick how bad it is.", GRADES)

    def body(self, now: dict[str, Any]) -> dict[str, Any]:
        """The fault with another part, symptom and grade."""
        kept = {**now, "part": self.part.data, "symptom": self.symptom.data}
        if self.symptom.data != now.get("symptom"):
            kept.pop("said", None)  # these are someone's own words now
        return {**kept, "grade": self.grade.data}


class TemporaryCorrection(CorrectionForm):
    """A temporary state on the wrong part, or in other words."""

    part = one_of("On which part", "Pick the part.")
    what = line("What was done", "Say what was done.")
    blocks = BooleanField("It must be undone before the robot plays")

    def body(self, now: dict[str, Any]) -> dict[str, Any]:
        """The temporary state with another part and words."""
        said = {"part": self.part.data, "what": self.what.data, "blocks": self.blocks.data}
        return {**now, **said}


class BatteryMoveCorrection(CorrectionForm):
    """A battery was moved."""

    to = pick("Where to", "Pick where it goes.", WENT)
    where = line("Channel or robot", longest=20)

    def validate_where(self, field: StringField) -> None:
        """A charger's channel has to be named."""
        if self.to.data == "channel" and not field.data:
            raise ValidationError("Type the channel of the charger.")

    def body(self, now: dict[str, Any]) -> dict[str, Any]:
        """The move to another place."""
        named = self.to.data in ("robot", "channel")
        return {**now, "to": self.to.data, "where": (self.where.data or "") if named else ""}


class ReadingCorrection(CorrectionForm):
    """What every corrected reading shares; `reading_form` adds the inputs of its check."""

    part_check: PartCheck

    def body(self, now: dict[str, Any]) -> dict[str, Any]:
        """The reading with other answers, judged by the limit in force."""
        inputs = {
            item.name: given
            for item in self.part_check.check.inputs
            if (given := _given(item, self[PREFIX + item.name].data)) is not None
        }
        kept = {name: given for name, given in now.get("inputs", {}).items() if name not in inputs}
        asked = {item.name for item in self.part_check.check.inputs}
        inputs |= {name: given for name, given in kept.items() if name not in asked}
        return {**now, "inputs": inputs, **judged_body(self.part_check, inputs)}


def reading_form(part_check: PartCheck) -> type[ReadingCorrection]:
    """The form that asks for a check's answers once more."""
    fields = {PREFIX + item.name: _field(item) for item in part_check.check.inputs}
    return FormMeta("ReadingCorrection", (ReadingCorrection,), {**fields, "part_check": part_check})


def answers(inputs: dict[str, Any]) -> dict[str, str]:
    """The answers of a reading as its form shows them: as they were typed."""
    return {PREFIX + name: str(given.get("typed", "")) for name, given in inputs.items()}


def _field(item: Input) -> Field:
    label = item.label if item.required else f"{item.label} (if known)"
    if item.kind in ("choice", "yes_no"):
        field = one_of(label, f"Pick an answer for {item.label}." if item.required else "")
        field.kwargs["choices"] = [
            SelectChoice("", "Pick one"),
            *(SelectChoice(word, word) for word in item.options or ("yes", "no")),
        ]
        return field
    label = f"{label}, {item.unit}" if item.kind == "number" and item.unit != "1" else label
    wanted = f"Type {item.label}." if item.required else ""
    field = line(label, wanted)
    field.args[1].append(_reads(item))
    return field


def _reads(item: Input):
    def check(form: Form, field: Field) -> None:
        try:
            _given(item, field.data)
        except BadQuantity as error:
            raise ValidationError(error.sentence) from None

    return check


def _given(item: Input, typed: str | None) -> dict[str, Any] | None:
    """An answer as typed and understood; None where nothing was typed. Raises BadQuantity."""
    typed = tidy(typed)
    if not typed:
        return None
    if item.kind != "number":
        return {"typed": typed, "value": typed, "unit": None}
    quantity = parse_reading(typed, item.unit, item.least, item.most)
    return {"typed": typed, "value": quantity.value, "unit": quantity.unit}
