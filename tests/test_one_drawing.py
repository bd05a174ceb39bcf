"""A screen is drawn once: what a phone shows alone comes from the laptop's templates, so no
sentence stands both in a template and in a script."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from pitcrew.base.paths import ROOT, STATIC, TEMPLATES

SCRIPTS = STATIC / "js"
QUOTED = frozenset({"It does not find the laptop"})
"""What the help names because it is to be pressed there."""
STYLES = "look/look.html"
"""The page of samples: it shows what is elsewhere."""
COMMENT = re.compile(r"/\*[\s\S]*?\*/|(?<![:\w\"'`])//[^\n]*")
TEXT = re.compile(r'"((?:[^"\\\n]|\\.)*)"|`((?:[^`\\]|\\.)*)`')
HOLE = re.compile(r"\$\{(?:[^{}]|\{[^{}]*\})*\}")
FEWEST = 3
"""Words that make a sentence."""


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def sentences(code: str) -> Iterator[str]:
    """What a script says: its texts with a capital and three words or more, without their holes."""
    for quoted, templated in TEXT.findall(COMMENT.sub("", code)):
        for piece in HOLE.split(quoted or templated):
            said = plain(piece).strip(" .,:;·()?")
            if re.match(r"[A-Z][a-z]*['’ ,]", said) and len(said.split()) >= FEWEST:
                yield said


def templates() -> str:
    """All templates without their comments."""
    pages = (path for path in sorted(TEMPLATES.rglob("*.html")) if not path.match(STYLES))
    return plain(
        "\n".join(re.sub(r"\{#[\s\S]*?#\}", "", path.read_text(encoding="utf-8")) for path in pages)
    )


def said_twice() -> dict[str, list[str]]:
    """Script -> its sentences that are in a template, too."""
    pages, found = templates(), {}
    for path in sorted(SCRIPTS.rglob("*.js")):
        twice = [
            said
            for said in sentences(path.read_text(encoding="utf-8"))
            if said in pages and said not in QUOTED
        ]
        if twice:
            found[Path(path.relative_to(SCRIPTS)).as_posix()] = twice
    return found


def test_no_sentence_stands_in_a_template_and_in_a_script() -> None:
    assert said_twice() == {}


def test_the_sentences_of_a_script_are_found() -> None:
    code = """
    // "A comment is not a sentence."
    const why = "Nobody under it; support it first.";
    const told = `Signed by ${name}: ${of({ a: 1 })} Look at it once more.`;
    const style = "rows card card-bare", address = "/walk?zone=a b c";
    """
    assert list(sentences(code)) == [
        "Nobody under it; support it first",
        "Look at it once more",
    ]


FORM = "what a form's field lacks: the laptop's form says it there, the phone has no laptop to ask"
JUDGED = "judged and typed alike on both sides: the same cases run through both"
BOTH = {
    "Look again and type it once more": JUDGED,
    "Nothing here can be judged yet. See the file mistakes": JUDGED,
    "The formula of this check cannot be read. Load the checklist again": JUDGED,
    "The numbers lead to a division by zero. Look at each of them again": JUDGED,
    "The result is too large to be a measurement. Look at each number again": JUDGED,
    "Type the channel of the charger": FORM,
    "Pick the part": FORM,
    "Say what you see, hear or measure": FORM,
    "Pick how bad it is": FORM,
    "Pick what was done": FORM,
    "Say what was done, so that the next crew knows": FORM,
    "In the robot": "where a battery goes, by a button of the phone and by the laptop's form",
    "On the charger": "the same",
    "On the bench": "the same",
    "Undone right after it was kept": "an entry's words, made by the key that goes with them",
    "From this phone": "the end of a sentence about a hold test, which no row of the table says",
}
"""Sentence that stands in a script and in Python -> why."""

TYPED = "follows from what was typed or tapped just now"
KNOWN = "tells of what this phone or its snapshot knows of this check"
PRESSED = "a button that only the script can answer"
OWN = {
    "walk.js": {
        "Not looked at yet": TYPED,
        "Tap each one, or say why you can't": TYPED,
        "Off and at rest": PRESSED,
        "On, and disabled": PRESSED,
        "Leave the walk": PRESSED,
        "Keep and next": PRESSED,
    },
    "walk/entries.js": {"Undone right after it was kept": TYPED},
    "walk/faults.js": {"No fault, go on": PRESSED, "Take it back": PRESSED},
    "walk/screens.js": {
        "Take its fault back, too": KNOWN,
        "It was logged with that reading and is still open": KNOWN,
        "It stays unjudged, whatever the number. An answer that means stop still counts": TYPED,
        "Back to the check": PRESSED,
        "How to do it": PRESSED,
        "Somebody else who saw it confirms it afterwards, on another phone": KNOWN,
        "Already logged on this part": KNOWN,
        "It goes with": KNOWN,
        "No match was played yet, so it goes without one": KNOWN,
        "Nothing is due here": KNOWN,
    },
    "walk/take.js": {
        "Change the sign of": TYPED,
        'Choose an answer first, or press "Can\'t measure"': TYPED,
    },
    "photos.js": {
        "Keeping it …": TYPED,
    },
}
"""Script of the walk -> the sentences that are its own, and why no template says them."""


def texts_of_python() -> str:
    """All texts in the program's Python."""
    found = []
    for path in sorted((ROOT / "pitcrew").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.append(plain(node.value))
    return "\n".join(found)


def test_no_sentence_stands_in_a_script_and_in_python_without_a_reason() -> None:
    known = texts_of_python()
    twice = {
        said
        for path in SCRIPTS.rglob("*.js")
        for said in sentences(path.read_text(encoding="utf-8"))
        if said in known
    }
    assert twice == set(BOTH)


def test_what_the_walk_says_without_a_template_is_named() -> None:
    """Gates, reasons and verdicts come from templates; what is left says why it is not."""
    pages = SCRIPTS / "pages"
    paths = [pages / "walk.js", pages / "photos.js", *(pages / "walk").glob("*.js")]
    said = {
        path.relative_to(pages).as_posix(): set(sentences(path.read_text(encoding="utf-8")))
        for path in paths
    }
    assert {name: own for name, own in said.items() if own} == {
        name: set(own) for name, own in OWN.items()
    }
