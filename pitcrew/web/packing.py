"""The app's style sheets as one file, and its modules as one: a phone opens with two kept files
instead of eighty small ones.

Made when the server starts, without a tool of its own: the modules hold to one form of import and
export, and `packed` refuses any other. Each becomes a function that runs when it is first needed,
so names stay apart and a page runs only what it uses.
"""

import json
import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import PurePosixPath

from pitcrew.base.paths import STATIC
from pitcrew.web.screen import Screen, works_alone

STYLES, SCRIPTS = "app.css", "app.js"
"""The names of the two packed files."""
START = "main.js"
ALONE = ("sw.js", "theme.js")
"""Scripts that are no modules of the app."""
MADE = "screens.js"
"""The module that is made of the screens' registrations; no file holds it."""
FIRST = (
    "tokens",
    "base",
    "layout",
    "clock",
    "nav",
    "verdict",
    "gauge",
    "map",
    "cards",
    "buttons",
    "forms",
    "tables",
    "banner",
    "steps",
    "drawing",
    "trend",
    "bench",
    "walk",
    "now",
    "disclosure",
    "said",
    "share",
    "tiles",
    "climb",
    "path",
    "beside",
    "ticks",
    "join_code",
)
"""The style sheets whose order matters, as they hold one over another; each other one follows."""
ON_PAPER = "sheet"
"""The style sheet of sheets on paper, which no screen has."""
SHEETS = (
    *FIRST,
    *sorted({path.stem for path in (STATIC / "css").glob("*.css")} - {*FIRST, ON_PAPER}),
)
"""The style sheets of every page, in the order in which they hold."""
_COMMENT = re.compile(r"[ \t]*/\*\*[\s\S]*?\*/\n?|^[ \t]*//.*\n", re.MULTILINE)
_IMPORT = re.compile(r'^import \{ (\w+(?:, \w+)*) \} from "([^"]+)";$', re.MULTILINE)
_LATER = re.compile(r'\bimport\("([^"]+)"\)')
_EXPORT = re.compile(r"^export ((?:async )?function|class|const) (\w+)", re.MULTILINE)
_LEFT = re.compile(r"^(?:import|export)\b.*|\bimport\(.*", re.MULTILINE)
_FRAME = """const made = new Map();
const modules = {{
{modules}}};
export function need(name) {{
  if (!made.has(name)) made.set(name, modules[name]());
  return made.get(name);
}}
const needLater = async (name) => need(name);
need("{start}");
"""


@cache
def packed(name: str, screens: tuple[Screen, ...]) -> str:
    """The text of `app.css` or `app.js` of an app with these screens. Raises ValueError where a
    module is written in a form that cannot be packed."""
    if name == STYLES:
        return "".join(
            (STATIC / "css" / f"{sheet}.css").read_text(encoding="utf-8") for sheet in SHEETS
        )
    root = STATIC / "js"
    paths = [path.relative_to(root).as_posix() for path in sorted(root.rglob("*.js"))]
    modules = [
        packed_module(path, (root / path).read_text(encoding="utf-8"))
        for path in paths
        if path not in ALONE
    ]
    modules.append(packed_module(MADE, screens_module(screens)))
    return _FRAME.format(modules="".join(modules), start=START)


def screens_module(screens: Iterable[Screen]) -> str:
    """`screens.js`: which script starts on which page (SCRIPTS), which one draws a screen without
    the laptop (ALONE), and how a sentence names those screens (NAMED)."""
    known, alone = sorted(screens, key=lambda screen: screen.name), works_alone(screens)
    *others, last = [screen.menu for screen in alone if screen.place]
    return (
        _table("SCRIPTS", {screen.name: screen.script for screen in known if screen.script})
        + _table("ALONE", {screen.name: screen.alone for screen in alone})
        + f"export const NAMED = {json.dumps(', '.join(others) + ' and ' + last)};\n"
    )


def _table(name: str, scripts: Mapping[str, str]) -> str:
    rows = (
        f'  "{screen}": () => import("./pages/{script}.js"),\n'
        for screen, script in scripts.items()
    )
    return f"export const {name} = {{\n{''.join(rows)}}};\n"


def packed_module(path: str, source: str) -> str:
    """One module as a method that returns what it exports. Raises ValueError naming the line that
    cannot be packed."""
    folder = PurePosixPath(path).parent
    text = _COMMENT.sub("", source)
    exported = [found[2] for found in _EXPORT.finditer(text)]
    text = _IMPORT.sub(
        lambda found: f'const {{ {found[1]} }} = need("{_joined(folder, found[2])}");', text
    )
    text = _LATER.sub(lambda found: f'needLater("{_joined(folder, found[1])}")', text)
    text = _EXPORT.sub(r"\1 \2", text)
    if left := _LEFT.search(text):
        raise ValueError(
            f"{path} cannot be packed for phones: {left[0]!r}. Write it as the other modules of"
            " static/js do."
        )
    return f'"{path}"() {{\n{text.strip()}\nreturn {{ {", ".join(exported)} }};\n}},\n'


def _joined(folder: PurePosixPath, target: str) -> str:
    """A module's path from static/js, `target` as seen from a folder in it."""
    parts = list(folder.parts)
    for part in PurePosixPath(target).parts:
        if part == "..":
            parts.pop()
        else:
            parts.append(part)
    return "/".join(parts)
