"""The builder's page: blocks, one question at a time, and a sheet that `pitcrew build` would write
too."""

import re
import tomllib

import pytest

from pitcrew.pit.building import DRAFT, build_robot, read_draft
from pitcrew.pit.pit import Pit
from tests.web.conftest import Client, words


def question(page: str) -> str:
    found = re.search(r'name="ask" value="([^"]+)"', page)
    assert found, words(page)
    return found[1]


def test_a_small_robot_in_a_few_answers(pit: Pit, lead: Client) -> None:
    assert "None yet" in lead.get("/builder")
    page = lead.post("/builder/add", {"block": "robot"})
    answers = {"length": "700 mm", "width": "", "chassis": "40 kg"}
    asked = []
    while 'name="ask"' in page:
        name = question(page)
        asked.append(name)
        given = answers.get(name)
        how = {"how": "typed", "answer": given} if given else {"how": "unknown"}
        how = {"how": "assumed"} if name == "width" else how
        page = lead.post("/builder/answer", {"at": "0", "ask": name, **how})
    assert asked == ["length", "width", "chassis", "bumpers", "battery"]
    assert "5 of 5 questions answered" in words(page)
    page = lead.post("/builder/write", {"label": "Ruff"}, status=200)
    assert "Wrote robots/ruff.toml" in words(page) and "Still to find out" in page
    robot = tomllib.loads((pit.folder / "robots" / "ruff.toml").read_text("utf-8"))["robot"]
    assert robot["width"] == {"assumed": "700 mm"} and robot["length"] == "700 mm"
    assert robot["mass"] == {"chassis": "40 kg", "bumpers": "unknown", "battery": "unknown"}
    before = (pit.folder / "robots" / "ruff.toml").read_bytes()
    assert "--replace" in lead.post("/builder/write", {"label": "Ruff"}, status=409)
    build_robot(pit.folder, pit.folder / DRAFT, replace=True)
    assert (pit.folder / "robots" / "ruff.toml").read_bytes() == before


@pytest.mark.parametrize("typed", ["12 kg", "long", "", "700 <b>"])
def test_a_wrong_answer_comes_back_as_typed(pit: Pit, lead: Client, typed: str) -> None:
    lead.post("/builder/add", {"block": "robot"})
    form = {"at": "0", "ask": "length", "how": "typed", "answer": typed}
    page = lead.post("/builder/answer", form, status=400)
    assert 'aria-invalid="true"' in page and "<b>" not in page
    assert read_draft(pit.folder)["block"] == [{"name": "robot", "answers": {}}]


def test_a_cord_is_not_asked_what_a_wire_rope_is(lead: Client) -> None:
    lead.post("/builder/add", {"block": "winch"})
    page = lead.post(
        "/builder/answer", {"at": "0", "ask": "rope", "how": "typed", "answer": "cord"}
    )
    listed = words(lead.get("/builder"))
    assert "Which knot" in listed or "which knot" in listed
    assert "how many strands" not in listed and 'name="ask"' in page


@pytest.mark.parametrize("path, form", [
    ("add", {"block": "drive-modulse"}), ("add", {"block": "robot", "count": "many"}),
    ("write", {}),
])  # fmt: skip
def test_what_cannot_be_done_is_told(
    pit: Pit, lead: Client, path: str, form: dict[str, str]
) -> None:
    lead.post(f"/builder/{path}", form, status=400)
    assert not (pit.folder / DRAFT).exists()


USUAL = {
    "robot": {}, "drive-modules": {}, "pivot-arm": {"stage": "chain"}, "intake": {"stage": "belt"},
    "winch": {"rope": "cord"}, "hooks": {}, "holding": {"device": "ratchet"}, "way-down": {},
    "battery-set": {}, "power": {}, "board": {}, "bumpers": {"held": "pins"}, "cameras": {},
    "drivers": {},
}  # fmt: skip
SMALL = {
    "robot": {},
    "side-drive": {"between": "chain"},
    "battery-set": {},
    "power": {},
    "board": {},
}


@pytest.mark.parametrize("robot, most", [(USUAL, 60), (SMALL, 22)])
def test_a_first_robot_takes_no_more_answers_than_an_evening_has(
    lead: Client, robot: dict[str, dict[str, str]], most: int
) -> None:
    """The targets that we set ourselves: usual values are one press a block, all else is typed, and
    "I don't know yet" counts as an answer."""
    answers = 0
    for number, (name, known) in enumerate(robot.items()):
        page = lead.post("/builder/add", {"block": name})
        for ask, value in known.items():
            form = {"at": str(number), "ask": ask, "how": "typed", "answer": value}
            page = lead.post("/builder/answer", form)
            answers += 1
        if "usual values of this block" in page:
            page = lead.post("/builder/usual", {"at": str(number)})
            answers += 1
        while 'name="ask"' in page:
            form = {"at": str(number), "ask": question(page), "how": "unknown"}
            page = lead.post("/builder/answer", form)
            answers += 1
    assert "/builder?at=" in lead.get("/builder") and answers <= most, answers


def test_a_robot_needs_a_name(pit: Pit, lead: Client) -> None:
    lead.post("/builder/add", {"block": "robot"})
    assert "name" in words(lead.post("/builder/write", {}, status=400))
    assert sorted(path.name for path in (pit.folder / "robots").iterdir()) == ["tern.toml"]


def test_a_block_that_is_gone_is_told(lead: Client) -> None:
    for form in ({"at": "7"}, {"at": "x"}):
        lead.post("/builder/remove", form, status=404)
    lead.get("/builder?at=0&ask=length", status=404)


def test_each_question_of_each_block_can_be_shown(pit: Pit, lead: Client) -> None:
    for number, name in enumerate(("holding", "hooks", "drive-modules")):
        lead.post("/builder/add", {"block": name, "label": "<i>odd</i>"})
        for ask in re.findall(rf"at={number}&amp;ask=([\w.-]+)", lead.get("/builder")):
            page = lead.get(f"/builder?at={number}&ask={ask}")
            assert "I don't know yet" in words(page).replace("’", "'") and "<i>" not in page
