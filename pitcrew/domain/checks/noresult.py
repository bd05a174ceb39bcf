"""Why a reading has no result: a key with its words, from which the sentence follows. The same keys
and sentences stand in `static/js/lib/verdict.js`, and one table of cases runs through both."""

from pitcrew.base.errors import BadInput

WORDED = {
    "because": "{why}",
    "nothing_judges": "Nothing here can be judged yet. See the file mistakes.",
    "unreadable": "The formula of this check cannot be read. Load the checklist again.",
    "divides_by_zero": "The numbers lead to a division by zero. Look at each of them again.",
    "too_large": "The result is too large to be a measurement. Look at each number again.",
    "no_value": "{name} is missing. Give it a number.",
    "no_answer": "{label}: no answer yet. Give it, or say why it can't be measured.",
    "no_number": "{label}: a number in {unit} is wanted. Type it again.",
    "impossible": (
        "{label}: this is outside what is possible here. Look again and type it once more."
    ),
    "not_as_typed": "{label}: {typed} was typed, but {arrived} arrived. Measure again.",
}
"""Key -> sentence, with holes for the words."""


class NoResult(BadInput):
    """A reading or formula has no value: something is missing, impossible or cannot be read."""

    def __init__(self, key: str, **words: str) -> None:
        """`key`: one of WORDED; `words`: what its holes need."""
        super().__init__(WORDED[key].format_map(words))
        self.key, self.words = key, words
