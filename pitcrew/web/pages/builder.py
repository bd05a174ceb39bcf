"""The builder: a robot from blocks, one question at a time. Every answer is kept at once, and "I
don't know yet" always is one."""

from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput, Conflict, Missing, nearest
from pitcrew.builder.asking import NO, YES, asked, next_question, progress, shown_answer, with_usual
from pitcrew.builder.asking import typed_answer as typed
from pitcrew.builder.blocks import WHO, Block, BlockQuestion
from pitcrew.domain.robot.notknown import ASSUMED, UNKNOWN, is_assumed
from pitcrew.pit.building import (
    DRAFT,
    BuildReport,
    build_robot,
    read_blocks,
    read_draft,
    write_draft,
)
from pitcrew.web.access import LEADS, needs
from pitcrew.web.drawings import draw
from pitcrew.web.request_context import the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("builder", __name__, url_prefix="/builder")
SCREEN = Screen("builder")
MOST_BLOCKS = 60


@blueprint.get("")
@needs(*LEADS)
def page() -> ResponseReturnValue:
    """The blocks of the robot with how far they are; or one question, by `at` and `ask`."""
    draft, blocks = _draft(), read_blocks(the_pit().folder)[0]
    if "ask" in request.args:
        place, question = _place(draft, blocks, request.args)
        return _ask(draft, blocks, place, question)
    return _overview(draft, blocks)


@blueprint.post("/add")
@needs(*LEADS)
def add() -> ResponseReturnValue:
    """One more block."""
    draft, blocks = _draft(), read_blocks(the_pit().folder)[0]
    name, count = request.form.get("block", ""), request.form.get("count", "").strip()
    if name not in blocks:
        close = nearest(name, blocks)
        raise BadInput(f"There is no block {name!r}. Pick one of the list. Nearest: {close}.")
    if len(draft["block"]) >= MOST_BLOCKS:
        raise BadInput(f"A robot has at most {MOST_BLOCKS} blocks here. Add more in the file.")
    entry: dict[str, Any] = {"name": name}
    if count:
        if not count.isdecimal() or not 1 <= int(count) <= 64:
            raise BadInput(f"Found {count!r} as how many; wanted a whole number from 1 to 64.")
        entry["count"] = int(count)
    if label := request.form.get("label", "").strip()[:40]:
        entry["label"] = label
    draft["block"].append(entry | {"answers": {}})
    write_draft(the_pit().folder, draft)
    return _onward(draft, blocks)


@blueprint.post("/remove")
@needs(*LEADS)
def remove() -> ResponseReturnValue:
    """One block less."""
    draft = _draft()
    del draft["block"][_number(draft, request.form.get("at", ""))]
    write_draft(the_pit().folder, draft)
    return redirect(url_for("builder.page"))


@blueprint.post("/answer")
@needs(*LEADS)
def answer() -> ResponseReturnValue:
    """Keep one answer, and go to the next question. One that cannot be used comes back as typed."""
    draft, blocks = _draft(), read_blocks(the_pit().folder)[0]
    place, question = _place(draft, blocks, request.form)
    text = request.form.get("answer", "")
    how = request.form.get("how", "")
    try:
        if how == UNKNOWN:
            value: Any = UNKNOWN
        elif how == ASSUMED and question.typical is not None:
            value = {ASSUMED: question.typical}
        else:
            value = typed(question, text)
    except BadInput as error:
        return _ask(draft, blocks, place, question, text, error.sentence), 400
    draft["block"][place].setdefault("answers", {})[question.name] = value
    write_draft(the_pit().folder, draft)
    return _onward(draft, blocks)


@blueprint.post("/usual")
@needs(*LEADS)
def usual() -> ResponseReturnValue:
    """Take the usual value of each open question of one block, as assumed."""
    draft, blocks = _draft(), read_blocks(the_pit().folder)[0]
    entry = draft["block"][_number(draft, request.form.get("at", ""))]
    block = blocks.get(str(entry.get("name")))
    answers = entry.setdefault("answers", {})
    for question in with_usual(block, answers) if block else ():
        answers[question.name] = {ASSUMED: question.typical}
    write_draft(the_pit().folder, draft)
    return _onward(draft, blocks)


@blueprint.post("/write")
@needs(*LEADS)
def write() -> ResponseReturnValue:
    """Write the build sheet of the answers, and show what is still to find out."""
    pit, draft = the_pit(), _draft()
    if not draft["block"]:
        raise BadInput("Add at least one block first.")
    if label := request.form.get("label", "").strip()[:60]:
        draft["label"] = label
        write_draft(pit.folder, draft)
    if not draft.get("label"):
        raise BadInput("Type the robot's name: its build sheet is called after it.", "label")
    blocks = read_blocks(pit.folder)[0]
    try:
        report = build_robot(pit.folder, pit.folder / DRAFT, "replace" in request.form)
    except Conflict as error:
        return _overview(draft, blocks, stands=error.sentence), 409
    if report.file is not None:
        pit.reload()
        flash(f"Wrote robots/{report.file.name}: {report.parts} parts.")
    return _overview(draft, blocks, report), 200 if report.file else 400


def _draft() -> dict[str, Any]:
    draft = read_draft(the_pit().folder)
    rows = draft.setdefault("block", [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise BadInput(f"{DRAFT} was edited: wanted each block under [[block]]. Mend it there.")
    return draft


def _onward(draft: dict[str, Any], blocks: dict[str, Block]) -> ResponseReturnValue:
    """To the next question; to the blocks where there is none."""
    found = next_question(draft["block"], blocks)
    if found is None:
        return redirect(url_for("builder.page"))
    return redirect(url_for("builder.page", at=found[0], ask=found[1].name))


def _number(draft: dict[str, Any], text: str) -> int:
    if not text.isdecimal() or int(text) >= len(draft["block"]):
        raise Missing("That block is not there any more. Go back to the blocks and pick again.")
    return int(text)


def _place(
    draft: dict[str, Any], blocks: dict[str, Block], given: Any
) -> tuple[int, BlockQuestion]:
    place = _number(draft, given.get("at", ""))
    block = blocks.get(str(draft["block"][place].get("name")))
    question = block.questions.get(given.get("ask", "")) if block else None
    if question is None:
        raise Missing("There is no such question. Go back to the blocks and pick again.")
    return place, question


def _ask(
    draft: dict[str, Any],
    blocks: dict[str, Block],
    place: int,
    question: BlockQuestion,
    text: str | None = None,
    error: str = "",
) -> str:
    entry = draft["block"][place]
    known = entry.get("answers", {}).get(question.name)
    done, of = progress(draft["block"], blocks)
    pictured = (
        item
        for item in the_pit().definitions.part_checks.values()
        if question.picture and item.check.drawing == question.picture
    )
    return render_template(
        "builder/question.html",
        at=place,
        block=entry.get("label") or blocks[entry["name"]].label,
        question=question,
        who=WHO[question.who],
        choices=[YES, NO] if question.kind == "yes_no" else list(question.choices),
        text=shown_answer(known) if text is None else text,
        error=error,
        drawing=next(filter(None, map(draw, pictured)), ""),
        usual=len(with_usual(blocks[entry["name"]], entry.get("answers", {}))),
        done=done,
        of=of,
    )


def _overview(
    draft: dict[str, Any],
    blocks: dict[str, Block],
    report: BuildReport | None = None,
    stands: str = "",
) -> str:
    done, of = progress(draft["block"], blocks)
    return render_template(
        "builder/builder.html",
        rows=[_row(place, entry, blocks) for place, entry in enumerate(draft["block"])],
        blocks=blocks.values(),
        label=draft.get("label", ""),
        done=done,
        of=of,
        next=next_question(draft["block"], blocks),
        report=report,
        stands=stands,
    )


def _row(place: int, entry: dict[str, Any], blocks: dict[str, Block]) -> dict[str, Any]:
    """One block of the robot with its questions and answers."""
    block, answers = blocks.get(str(entry.get("name"))), entry.get("answers", {})
    questions = asked(block, answers) if block else []
    return {
        "at": place,
        "label": entry.get("label") or (block.label if block else entry.get("name")),
        "count": entry.get("count"),
        "questions": [(question, _told(answers.get(question.name))) for question in questions],
        "usual": len(with_usual(block, answers)) if block else 0,
        "open": sum(question.name not in answers and not question.more for question in questions),
    }


def _told(value: Any) -> str:
    """An answer as the list of questions shows it; empty where there is none yet."""
    if value is None:
        return ""
    if value == UNKNOWN:
        return "not known yet"
    if isinstance(value, dict) and not is_assumed(value):
        return ", ".join(f"{name}: {_told(one)}" for name, one in value.items())
    return shown_answer(value) + (" (assumed)" if is_assumed(value) else "")
