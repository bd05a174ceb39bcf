"""The phone's house: an import of static/js only goes down, pages to sync to store to lib, and
nothing is fetched from elsewhere."""

import re

from pitcrew.base.paths import STATIC
from pitcrew.web.packing import MADE, screens_module
from pitcrew.web.pages import SCREENS
from tests.test_floors import STIFF
from tests.test_one_drawing import COMMENT

SCRIPTS = STATIC / "js"
FLOOR = {
    "lib": 0,
    "store": 1,
    "sync": 2,
    "pages": 3,
    "main.js": 5,
    "screens.js": 4,
    "sw.js": 0,
    "theme.js": 0,
}
IMPORT = re.compile(r"""(?:from|import)\s*\(?\s*["']([^"']+)["']""")


def test_imports_only_go_down() -> None:
    wrong, seen = [], 0
    written = {path: path.read_text(encoding="utf-8") for path in sorted(SCRIPTS.rglob("*.js"))}
    made = SCRIPTS / MADE
    for path, text in {**written, made: screens_module(SCREENS)}.items():
        here = path.relative_to(SCRIPTS).parts[0]
        code = re.sub(r"/\*.*?\*/|//[^\n]*", "", text, flags=re.DOTALL)
        for target in IMPORT.findall(code):
            seen += 1
            file = (path.parent / target).resolve()
            if (
                not target.startswith(".")
                or not (file.is_file() or file == made)
                or FLOOR[file.relative_to(SCRIPTS).parts[0]] > FLOOR[here]
            ):
                wrong.append(f"{path.relative_to(SCRIPTS)} -> {target}")
    assert wrong == [] and seen > 50


def test_no_script_is_long() -> None:
    lengths = {
        path.name: len(path.read_text(encoding="utf-8").splitlines())
        for path in SCRIPTS.rglob("*.js")
    }
    assert {name: length for name, length in lengths.items() if length > 250} == {}


def test_comments_of_scripts_speak_plain_english() -> None:
    """The same short list as for the comments of the Python."""
    stiff = re.compile(rf"\b({'|'.join(STIFF)})\b", re.IGNORECASE)
    found = {
        path.relative_to(SCRIPTS).as_posix(): said
        for path in sorted(SCRIPTS.rglob("*.js"))
        if (
            said := [
                match[0]
                for comment in COMMENT.findall(path.read_text(encoding="utf-8"))
                for match in stiff.finditer(comment)
            ]
        )
    }
    assert found == {}
