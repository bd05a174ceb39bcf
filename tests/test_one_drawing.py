"""A screen is drawn once: what a phone shows alone comes from the laptop's templates, so no
sentence stands both in a template and in a script."""

import re
from collections.abc import Iterator
from pathlib import Path

from pitcrew.base.paths import STATIC, TEMPLATES

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
