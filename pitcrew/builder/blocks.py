"""A block of a robot as its file describes it: questions, the parts that it brings, zones, steps of
the hold path."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pitcrew.base.errors import nearest
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.robot.mistakes import Mistake, Mistakes
from pitcrew.domain.robot.partkinds import KINDS as PARTS
from pitcrew.domain.robot.tables import Field, read_table

WHO = {
    "seen": "seen or counted at the robot",
    "measured": "measured with ruler, caliper or scale",
    "drawing": "on a drawing, a label or the maker's page",
}
"""Who or what knows an answer, in words."""
KINDS = ("text", "words", "yes_no", "count", "number", *sorted(set(SI_UNIT) - {"number"}))


def _may(name: str, kind: str, meaning: str, default: Any = None, *choices: str) -> Field:
    return Field(name, kind, meaning, required=False, default=default, choices=choices)


BLOCK_FIELDS = (
    Field("label", "text", "its name on screen"),
    Field("says", "text", "what it is, in one sentence"),
    _may("id", "id", "first word of the ids of its parts"),
    _may("names", "map", "the names of its members, such as fl, with their words", {}),
    _may("count", "count", "how many there usually are", 1),
    _may("order", "count", "place in the list of blocks", 99),
    _may("question", "tables", "what is asked", []),
    _may("zone", "tables", "places on the map", []),
    _may("part", "tables", "the parts that it brings", []),
    _may("step", "tables", "steps of the hold path, each with its order from the bar down", []),
    _may("robot", "map", "what it fills in of the robot itself", {}),
    _may("path", "map", "what it fills in of [hold_path]", {}),
)
QUESTION_FIELDS = (
    Field("name", "id", "how an answer file names it"),
    Field("ask", "text", "the question as a person reads it"),
    Field("kind", "words", "what is answered", choices=KINDS),
    Field("who", "words", "who knows it", choices=tuple(WHO)),
    _may("choices", "texts", "the answers to choose from", ()),
    _may("means", "map", "what an answer stands for in the build sheet", {}),
    _may("typical", "any", "a usual value, offered as assumed"),
    _may("usual", "text", "the usual range", ""),
    _may("picture", "text", "the drawing beside it", ""),
    _may("source", "text", "where the usual value is from", "common practice"),
    _may("more", "yes_no", "whether it is asked behind `more about this part`", False),
)
PART_KEYS = (
    Field("id", "text", "id; {id} is the block's, {n} the member's"),
    Field("label", "text", "label; {n} is the member's words"),
    Field("zone", "text", "zone"),
    Field("kind", "id", "kind"),
    _may("climb_critical", "yes_no", "whether the climb hangs on it", False),
    _may("each", "yes_no", "whether each member has one", False),
    _may("fill", "map", "its fields: ?QUESTION, or a value", {}),
    _may("when", "map", "only with these answers: QUESTION = [ANSWERS]", {}),
)


@dataclass(frozen=True)
class BlockQuestion:
    """One question; `means` maps an answer to the word of the build sheet."""

    name: str
    ask: str
    kind: str
    who: str
    choices: tuple[str, ...] = ()
    means: Mapping[str, Any] = field(default_factory=dict)
    typical: Any = None
    usual: str = ""
    picture: str = ""
    source: str = "common practice"
    more: bool = False

    @property
    def field(self) -> Field:
        """The answer as a field, for reading it."""
        return Field(self.name, self.kind, self.ask, choices=self.choices)


@dataclass(frozen=True)
class BlockPart:
    """A part that a block brings; `fill` gives its fields: `?name` is a question's answer. `when`
    names the answers with which there is one at all."""

    id: str
    label: str
    zone: str
    kind: str
    climb_critical: bool = False
    each: bool = False
    fill: Mapping[str, Any] = field(default_factory=dict)
    when: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Block:
    """A block with its questions by name; `names` are the members that it has where it says so."""

    name: str
    label: str
    says: str
    id: str = ""
    names: Mapping[str, str] = field(default_factory=dict)
    count: int = 1
    order: int = 99
    questions: Mapping[str, BlockQuestion] = field(default_factory=dict)
    zones: tuple[dict[str, Any], ...] = ()
    parts: tuple[BlockPart, ...] = ()
    steps: tuple[dict[str, Any], ...] = ()
    robot: Mapping[str, Any] = field(default_factory=dict)
    path: Mapping[str, Any] = field(default_factory=dict)

    @property
    def deciding(self) -> tuple[BlockQuestion, ...]:
        """The questions whose answers decide which parts there are."""
        tables = [part.when for part in self.parts] + [step.get("when", {}) for step in self.steps]
        names = dict.fromkeys(name for table in tables for name in table)
        return tuple(self.questions[name] for name in names if name in self.questions)


def parse_block(table: Mapping[str, Any], name: str, file: str) -> tuple[Block, list[Mistake]]:
    """The block of one file; what in it cannot be used is a mistake, and is left out."""
    mistakes = Mistakes(file)
    values = read_table(table, BLOCK_FIELDS, "block", mistakes)
    read = {
        key: [
            read_table(row, fields, f"{key} {row.get(named, number)}", mistakes)
            for number, row in enumerate(values.pop(key, []), 1)
        ]
        for key, fields, named in (
            ("question", QUESTION_FIELDS, "name"),
            ("part", PART_KEYS, "id"),
        )
    }
    questions = [
        BlockQuestion(**row)
        for row in read["question"]
        if {"name", "ask", "kind", "who"} <= set(row)
    ]
    parts = [
        BlockPart(**row) for row in read["part"] if {"id", "label", "zone", "kind"} <= set(row)
    ]
    words = {"label": name, "says": ""} | values
    words["id"] = words.get("id") or name
    block = Block(
        name,
        **{key: value for key, value in words.items() if key not in ("zone", "step")},
        questions={question.name: question for question in questions},
        zones=tuple(words.get("zone", ())),
        parts=tuple(parts),
        steps=tuple(words.get("step", ())),
    )
    _check_fills(block, mistakes)
    return block, mistakes.marked(climb=False)


def _check_fills(block: Block, mistakes: Mistakes) -> None:
    """Name each `?question` that the block does not ask."""
    tables = [*(part.fill for part in block.parts), *block.steps, block.robot, block.path]
    for value in (value for table in tables for value in table.values()):
        if isinstance(value, str) and value[:1] == "?" and value[1:] not in block.questions:
            mistakes.add("fill", value, "a question of this block behind the ?")
    asked = [*(part.when for part in block.parts), *(step.get("when", {}) for step in block.steps)]
    for name in (name for table in asked for name in table):
        if name not in block.questions:
            mistakes.add("when", name, "a question of this block", nearest(name, block.questions))


ASKED_FIELDS = tuple(field for field in QUESTION_FIELDS if field.name not in ("name", "kind"))


def parse_fields(
    table: Mapping[str, Any], file: str
) -> tuple[dict[str, dict[str, BlockQuestion]], list[Mistake]]:
    """The questions for the fields of the kinds of parts, by kind and field; `kind` and `choices`
    of each are those of its field."""
    mistakes = Mistakes(file)
    found: dict[str, dict[str, BlockQuestion]] = {}
    for kind, fields in (
        (kind, {item.name: item for item in kind.fields}) for kind in PARTS.values()
    ):
        rows = table.get(kind.name, {})
        for name in (name for name in rows if name not in fields):
            mistakes.add(f"{kind.name}, {name}", rows[name], "a field", nearest(name, fields))
        for name in (name for name in fields if name in rows):
            values = read_table(rows[name], ASKED_FIELDS, f"{kind.name}, {name}", mistakes)
            if {"ask", "who"} <= set(values):
                values |= {"kind": fields[name].kind, "choices": fields[name].choices}
                found.setdefault(kind.name, {})[name] = BlockQuestion(name, **values)
    return found, mistakes.marked(climb=False)


def block_data(block: Block) -> dict[str, Any]:
    """A block as plain data, for `pitcrew blocks --json`."""
    return {
        "name": block.name,
        "label": block.label,
        "says": block.says,
        "count": block.count,
        "names": dict(block.names),
        "parts": [{"id": part.id, "kind": part.kind} for part in block.parts],
        "questions": [question_data(question) for question in block.questions.values()],
    }


def question_data(question: BlockQuestion) -> dict[str, Any]:
    """A question as plain data."""
    return {
        "name": question.name,
        "ask": question.ask,
        "kind": question.kind,
        "who": question.who,
        "choices": list(question.choices),
        "typical": question.typical,
        "usual": question.usual,
        "picture": question.picture,
        "source": question.source,
        "essential": not question.more,
    }


def block_lines(block: Block) -> list[str]:
    """A block for a terminal."""
    lines = [f"{block.name}: {block.label}. {block.says}"]
    for question in block.questions.values():
        more = " (more)" if question.more else ""
        offered = f" Usual: {question.usual}." if question.usual else ""
        picked = f" One of: {', '.join(question.choices)}." if question.choices else ""
        lines.append(
            f"    {question.name}{more}: {question.ask}{picked}{offered} ({WHO[question.who]})"
        )
    return lines
