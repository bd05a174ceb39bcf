"""The drawings by name. A drawing is a macro with the arguments `(part, limit)` in a file of
templates/macros/drawings/; nothing else lists it. A `bolt_audit` there is the drawing
`bolt-audit`; macros with other arguments are strokes that drawings share.
"""

import re

from pitcrew.base.paths import TEMPLATES

FOLDER = "macros/drawings"
_MACRO = re.compile(r"^\{%-? macro ([a-z]\w*)\(part, limit\) -?%\}", re.MULTILINE)


def macro_of(name: str) -> str:
    """The macro that draws it: `bolt_audit` for `bolt-audit`."""
    return name.replace("-", "_")


def _found() -> dict[str, str]:
    found: dict[str, str] = {}
    for path in sorted((TEMPLATES / FOLDER).glob("*.html")):
        for macro in _MACRO.findall(path.read_text(encoding="utf-8")):
            name = macro.replace("_", "-")
            if name in found:
                raise ValueError(f"the drawing {name} is in {found[name]} and in {path.name}")
            found[name] = f"{FOLDER}/{path.name}"
    return dict(sorted(found.items()))


DRAWINGS = _found()
"""Each drawing with the template that holds it."""
