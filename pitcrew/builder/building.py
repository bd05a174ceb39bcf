"""From answers to a build sheet: blocks bring parts, answers fill them in, and what was not
answered is unknown by name."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from pitcrew.base.errors import BadInput, nearest
from pitcrew.builder.asking import applies
from pitcrew.builder.blocks import WHO, Block, BlockPart, BlockQuestion
from pitcrew.builder.layout import placed
from pitcrew.domain.robot.buildsheet import parse_build_sheet
from pitcrew.domain.robot.mistakes import Mistake, Mistakes
from pitcrew.domain.robot.notknown import ASSUMED, UNKNOWN, is_assumed
from pitcrew.domain.robot.partkinds import KINDS
from pitcrew.domain.robot.repeated import FOR, HERE
from pitcrew.domain.robot.sheetfields import MASS_FIELDS
from pitcrew.domain.robot.tables import Field, read_table, read_value, wanted

ANSWERS_FIELDS = (
    Field("name", "id", "name of the file robots/NAME.toml", required=False),
    Field("label", "text", "the robot's name on screen", required=False),
    Field("robot", "table", "answers about the robot itself", required=False, default={}),
    Field("block", "tables", "the blocks, each under [[block]]", required=False, default=[]),
)
ENTRY_FIELDS = (
    Field("name", "text", "name of the block, see pitcrew blocks"),
    Field("count", "count", "how many", required=False, least=1, most=64),
    Field("label", "text", "what you call it", required=False),
    Field("names", "texts", "the names of its members", required=False),
    Field("answers", "map", "the answers by question", required=False, default={}),
)


@dataclass(frozen=True)
class Gap:
    """Something that no one has stated: the part's field, what was asked, and who may know."""

    part: str
    field: str
    ask: str
    who: str
    value: str = ""
    kind: str = ""


@dataclass
class Built:
    """A build sheet as plain tables, and what about it is open or wrong: `refused` is what no one
    can read of the answers, `mistakes` what does not go together on the sheet. `sections` says
    which block each part comes from."""

    name: str
    sheet: dict[str, Any]
    unknown: list[Gap] = field(default_factory=list)
    assumed: list[Gap] = field(default_factory=list)
    refused: list[Mistake] = field(default_factory=list)
    mistakes: list[Mistake] = field(default_factory=list)
    sections: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Placed:
    """One block of a robot: its id, its label, its members (none where there is but one)."""

    block: Block
    id: str
    label: str
    members: tuple[str, ...]
    answers: Mapping[str, Any]


def build(
    answers: Mapping[str, Any],
    blocks: Mapping[str, Block],
    file: str,
    stem: str = "robot",
    fields: Mapping[str, Mapping[str, BlockQuestion]] | None = None,
) -> Built:
    """The build sheet of an answer file; any set of blocks builds. `stem` names a robot that says
    no name; `fields` has a question for each field of each kind, where a block asks none."""
    mistakes = Mistakes(file)
    about = answers.get("robot", {})
    itself = dict(_itself(about)) if isinstance(about, dict) else {}
    named: dict[str, Any] = {key: itself.pop(key) for key in ("name", "label") if key in itself}
    given = read_table({**named, **answers}, ANSWERS_FIELDS, "answers", mistakes)
    entries = [{"name": "robot", "answers": itself}] if itself else []
    found = list(_placed([*entries, *given.get("block", [])], blocks, mistakes))
    name = _slug(given.get("name", "")) or _slug(given.get("label", "")) or _slug(stem) or "robot"
    built = Built(name, {})
    work = _Work(built, mistakes, fields or {})
    label = given.get("label") or next(
        (item.label for item in found if item.block.robot and item.label != item.block.label),
        name.capitalize(),
    )
    built.sheet = work.sheet(label, found)
    _, wrong = parse_build_sheet(built.sheet, f"robots/{name}.toml")
    built.refused = mistakes.marked(climb=False)
    built.mistakes = [mistake for mistake in wrong if not mistake.notice]
    return built


def _itself(table: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """The answers of a [robot] table, its three masses among them, as those of the block robot."""
    for key, value in table.items():
        if key == "mass" and isinstance(value, dict) and not is_assumed(value):
            yield from value.items()
        elif key != "mass" or value != UNKNOWN:
            yield key, value


def _placed(
    entries: list[dict[str, Any]], blocks: Mapping[str, Block], mistakes: Mistakes
) -> Iterator[Placed]:
    by_label = {block.label.casefold(): block for block in blocks.values()}
    taken: set[str] = set()
    for number, entry in enumerate(entries, 1):
        place = f"block {entry.get('name', number)}"
        values = read_table(entry, ENTRY_FIELDS, place, mistakes)
        name = values.get("name", "")
        block = blocks.get(name) or by_label.get(name.casefold())
        if block is None:
            if name:
                right = "a block of: pitcrew blocks"
                mistakes.add(f"{place}, name", name, right, nearest(name, blocks))
            continue
        base = _slug(values.get("label", "")) if block.robot == {} else ""
        own = _free(base or block.id, taken)
        answers = dict(_known_answers(values.get("answers", {}), block, place, mistakes))
        members = _members(block, values)
        yield Placed(block, own, values.get("label", block.label), members, answers)


def _members(block: Block, values: Mapping[str, Any]) -> tuple[str, ...]:
    """The members' names: those given, else the block's, else 1, 2, 3 …"""
    named = tuple(
        _slug(name) or str(number) for number, name in enumerate(values.get("names", ()), 1)
    )
    if named and len(set(named)) == len(named):
        return named
    count = values.get("count", block.count)
    own = tuple(block.names)[:count]
    return own + tuple(str(number) for number in range(len(own) + 1, count + 1))


def _free(base: str, taken: set[str]) -> str:
    """An id that no other block of the robot has."""
    found, number = base, 2
    while found in taken:
        found, number = f"{base}{number}", number + 1
    taken.add(found)
    return found


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")[:40]


def _known_answers(
    answers: Mapping[str, Any], block: Block, place: str, mistakes: Mistakes
) -> Iterator[tuple[str, Any]]:
    """The answers to questions of the block; one that cannot be used is a mistake and counts as
    not answered."""
    for name, value in answers.items():
        question = block.questions.get(name)
        if question is None:
            right = f"a question of the block {block.name}"
            mistakes.add(f"{place}, {name}", value, right, nearest(name, block.questions))
            continue
        by_member = isinstance(value, dict) and not is_assumed(value)
        for item in value.values() if by_member else (value,):
            _check_answer(question, item, f"{place}, {name}", mistakes)
        yield name, value


def _check_answer(question: BlockQuestion, value: Any, place: str, mistakes: Mistakes) -> None:
    plain = value[ASSUMED] if is_assumed(value) else value
    if plain == UNKNOWN or (isinstance(plain, str) and plain in question.means):
        return
    try:
        read_value(question.field, plain)
    except BadInput as error:
        right = f'{error.sentence}, or "unknown"' if question.choices else wanted(question.field)
        close = nearest(plain, question.choices) if isinstance(plain, str) else None
        mistakes.add(place, plain, right, close)


@dataclass
class _Work:
    """A sheet in the making."""

    built: Built
    mistakes: Mistakes
    fields: Mapping[str, Mapping[str, BlockQuestion]]

    def sheet(self, label: str, found: list[Placed]) -> dict[str, Any]:
        sheet: dict[str, Any] = {"robot": self._robot(label, found)}
        zones = [zone for item in found for zone in self._zones(item)]
        sheet["zone"] = placed(zones)
        sheet["part"] = [part for item in found for part in self._parts(item)]
        _tell_apart(sheet["part"])
        steps = sorted(
            (step for item in found for step in self._steps(item)), key=lambda step: step[0]
        )
        if steps:
            sheet["hold_path"] = self._path(found) | {"step": [step for _, step in steps]}
        return {name: value for name, value in sheet.items() if value or name == "robot"}

    def _robot(self, label: str, found: list[Placed]) -> dict[str, Any]:
        fills = [(item, item.block.robot) for item in found if item.block.robot]
        about: dict[str, Any] = {"label": label, "length": UNKNOWN, "width": UNKNOWN}
        about["mass"] = {field.name: UNKNOWN for field in MASS_FIELDS}
        for item, fill in fills[:1]:
            for key, value in fill.items():
                table = about["mass"] if key in about["mass"] else about
                table[key] = self._filled(item, value)
        asked = {
            key: item.block.questions.get(str(value)[1:])
            for item, fill in fills[:1]
            for key, value in fill.items()
        }
        for key, value in [*list(about.items())[1:3], *about["mass"].items()]:
            self._note("robot", key, value, asked.get(key))
        return about

    def _zones(self, item: Placed) -> Iterator[dict[str, Any]]:
        for zone in item.block.zones:
            each = zone.get("each") and (item.block.names or len(item.members) > 1)
            members = item.members if each else ("",)
            for member in members:
                yield {
                    key: self._text(value, item, member) if isinstance(value, str) else value
                    for key, value in zone.items()
                    if key not in ("each", "at")
                } | ({"box": zone["at"][member]} if member in zone.get("at", {}) else {})

    def _parts(self, item: Placed) -> Iterator[dict[str, Any]]:
        self._note_undecided(item)
        for part in item.block.parts:
            if not applies(part.when, item.answers):
                continue
            several = part.each and len(item.members) > 1
            member = HERE if several else item.members[0] if self._named(part, item) else ""
            table: dict[str, Any] = {FOR: list(item.members)} if several else {}
            for key in ("id", "label", "zone"):
                table[key] = self._word(getattr(part, key), key, item, member)
            table["kind"] = part.kind
            if part.climb_critical:
                table["climb_critical"] = True
            table |= dict(self._specs(item, part, table["id"]))
            self.built.sections.setdefault(item.label, table["id"])
            yield table

    def _note_undecided(self, item: Placed) -> None:
        """Name what decides which parts there are and is not known: no part stands for it yet."""
        for question in item.block.deciding:
            self._note(item.id, question.name, item.answers.get(question.name, UNKNOWN), question)

    def _named(self, part: BlockPart, item: Placed) -> bool:
        """Whether a single member keeps its name: in batteries, and where the block names them."""
        return part.each and (bool(item.block.names) or part.id.endswith(".{n}"))

    def _word(self, text: str, key: str, item: Placed, member: str) -> Any:
        """An id, label or zone; labels of members with words of their own stand side by side."""
        words = item.block.names
        if key == "label" and member == HERE and words and "{n}" in text:
            return {name: self._text(text, item, words.get(name, name)) for name in item.members}
        if key == "label" and member in words:
            member = words[member]
        return self._text(text, item, member)

    def _text(self, text: str, item: Placed, member: str) -> str:
        if not member:
            text = re.sub(r"[ .,_-]*\{n\}", "", text)
        text = text.replace("{N}", member.upper())
        return text.replace("{n}", member).replace("{id}", item.id).replace("{name}", item.label)

    def _specs(self, item: Placed, part: BlockPart, place: str) -> Iterator[tuple[str, Any]]:
        """The fields of a part: filled, or unknown where it needs them."""
        kind = KINDS.get(part.kind)
        for spec in kind.fields if kind else ():
            fill = part.fill.get(spec.name)
            question = item.block.questions.get(str(fill)[1:]) if _asks(fill) else None
            if fill is None and not spec.needed:
                continue
            if question and question.more and not spec.needed and question.name not in item.answers:
                continue
            value = UNKNOWN if fill is None else self._filled(item, fill)
            value = self._for_members(value, part, item)
            asked = question or self.fields.get(part.kind, {}).get(spec.name)
            self._note(place, spec.name, value, asked, part.kind)
            yield spec.name, value

    def _filled(self, item: Placed, fill: Any) -> Any:
        """What a fill stands for: an answer in the words of the sheet, or the value itself."""
        if not _asks(fill):
            return len(item.members) if fill == "{count}" else fill
        question = item.block.questions.get(fill[1:])
        value = item.answers.get(fill[1:], UNKNOWN)
        if question is None:
            return UNKNOWN
        if isinstance(value, dict) and not is_assumed(value):
            return {name: _meant(question, one) for name, one in value.items()}
        return _meant(question, value)

    def _for_members(self, value: Any, part: BlockPart, item: Placed) -> Any:
        """A value that differs by member, with every member in it; the one of a single member."""
        if not part.each or not isinstance(value, dict) or is_assumed(value):
            return value
        if len(item.members) == 1:
            return value.get(item.members[0], UNKNOWN)
        return value | {name: UNKNOWN for name in item.members if name not in value}

    def _steps(self, item: Placed) -> Iterator[tuple[int, dict[str, Any]]]:
        for step in item.block.steps:
            if not applies(step.get("when", {}), item.answers):
                continue
            table = {}
            for key, value in step.items():
                if key in ("order", "when"):
                    continue
                text = isinstance(value, str) and not _asks(value) and "{" in value
                filled = self._text(value, item, "") if text else self._filled(item, value)
                table[key] = filled
                question = item.block.questions.get(str(value)[1:]) if _asks(value) else None
                self._note(f"hold_path, {item.label}", key, filled, question)
            yield int(step.get("order", 50)), table

    def _path(self, found: list[Placed]) -> dict[str, Any]:
        """What the blocks say of the whole path; a table of its own for motor and second."""
        path: dict[str, Any] = {}
        for item in found:
            for key, fill in item.block.path.items():
                value = self._filled(item, fill)
                question = item.block.questions.get(str(fill)[1:]) if _asks(fill) else None
                self._note("hold_path", key, value, question)
                table, _, name = key.rpartition(".")
                (path.setdefault(table, {}) if table else path)[name] = value
        return path

    def _note(
        self, place: str, key: str, value: Any, question: BlockQuestion | None, kind: str = ""
    ) -> None:
        """Keep what is unknown or assumed, with who may know it."""
        several = isinstance(value, dict) and not is_assumed(value)
        ask, who = (question.ask, WHO[question.who]) if question else (key, WHO["drawing"])
        place = place.replace(HERE, "*")
        for one in value.values() if several else (value,):
            if one == UNKNOWN:
                self.built.unknown.append(Gap(place, key, ask, who, kind=kind))
            elif is_assumed(one):
                self.built.assumed.append(Gap(place, key, ask, who, str(one[ASSUMED]), kind))


def _tell_apart(parts: list[dict[str, Any]]) -> None:
    """Give each part an id of its own: two sets of batteries have the same first words."""
    taken: set[str] = set()
    for part in parts:
        base, number = str(part["id"]), 2
        while taken & _ids(part):
            part["id"], number = f"{base}-{number}", number + 1
        taken |= _ids(part)


def _ids(part: Mapping[str, Any]) -> set[str]:
    return {str(part["id"]).replace(HERE, name) for name in part.get(FOR, ("",))}


def _asks(fill: object) -> bool:
    return isinstance(fill, str) and fill[:1] == "?"


def _meant(question: BlockQuestion, value: Any) -> Any:
    """An answer in the words of the build sheet."""
    if is_assumed(value):
        return {ASSUMED: _meant(question, value[ASSUMED])}
    return question.means.get(value, value) if isinstance(value, str) else value
