"""Which questions of a block are worth asking, by what is answered already; and an answer as it is
typed."""

from collections.abc import Iterator, Mapping
from typing import Any

from pitcrew.base.errors import BadInput
from pitcrew.builder.blocks import Block, BlockQuestion
from pitcrew.domain.robot.notknown import ASSUMED, UNKNOWN, is_assumed
from pitcrew.domain.robot.tables import read_value

YES, NO = "yes", "no"


def asked(block: Block, answers: Mapping[str, Any]) -> list[BlockQuestion]:
    """The questions whose answer goes into a part that there is, in their order: a cord's are not
    asked of a wire rope."""
    used = {question.name for question in block.deciding}
    tables: list[Mapping[str, Any]] = [block.robot, block.path]
    tables += [part.fill for part in block.parts if applies(part.when, answers)]
    tables += [step for step in block.steps if applies(step.get("when", {}), answers)]
    used |= {
        value[1:]
        for table in tables
        for value in table.values()
        if isinstance(value, str) and value[:1] == "?"
    }
    return [question for name, question in block.questions.items() if name in used]


def with_usual(block: Block, answers: Mapping[str, Any]) -> list[BlockQuestion]:
    """The open questions of a block that have a usual value to begin with."""
    return [
        question
        for question in asked(block, answers)
        if question.typical is not None and question.name not in answers
    ]


def applies(when: Mapping[str, Any], answers: Mapping[str, Any]) -> bool:
    """Whether the answers are those with which there is such a part or step."""
    for name, wanted in when.items():
        value = answers.get(name, UNKNOWN)
        value = value[ASSUMED] if is_assumed(value) else value
        if value not in (wanted if isinstance(wanted, list) else [wanted]):
            return False
    return True


def next_question(
    entries: list[dict[str, Any]], blocks: Mapping[str, Block]
) -> tuple[int, BlockQuestion] | None:
    """The first essential question that has no answer, with the place of its block."""
    for place, question in _essential(entries, blocks):
        if question.name not in entries[place].get("answers", {}):
            return place, question
    return None


def progress(entries: list[dict[str, Any]], blocks: Mapping[str, Block]) -> tuple[int, int]:
    """How many essential questions are answered, and how many there are."""
    found = list(_essential(entries, blocks))
    done = sum(question.name in entries[at].get("answers", {}) for at, question in found)
    return done, len(found)


def _essential(
    entries: list[dict[str, Any]], blocks: Mapping[str, Block]
) -> Iterator[tuple[int, BlockQuestion]]:
    for place, entry in enumerate(entries):
        block = blocks.get(str(entry.get("name")))
        for question in asked(block, entry.get("answers", {})) if block else ():
            if not question.more:
                yield place, question


def typed_answer(question: BlockQuestion, text: str) -> Any:
    """A typed answer as an answer file has it. Raises BadInput with what is wanted."""
    value: Any = text.strip()
    if question.kind == "yes_no":
        if value not in (YES, NO):
            raise BadInput("Pick yes or no, or that you don't know yet.", "answer")
        return value == YES
    if question.kind in ("count", "number"):
        try:
            value = int(value) if question.kind == "count" else float(value.replace(",", "."))
        except ValueError:
            raise BadInput(f"Found {text!r}; wanted a number, such as 4.", "answer") from None
    if isinstance(value, str) and value in question.means:
        return value
    read_value(question.field, value)
    return value


def shown_answer(value: Any) -> str:
    """An answer as a field of a form holds it."""
    plain = value[ASSUMED] if is_assumed(value) else value
    if isinstance(plain, bool):
        return YES if plain else NO
    return "" if plain in (None, UNKNOWN) or isinstance(plain, dict) else str(plain)
