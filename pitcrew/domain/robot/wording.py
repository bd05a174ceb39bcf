"""Students word one failure differently: the same words said of one part are found alike, by a
small thesaurus of our own.

A symptom's key is its first word that says what is wrong; without one, all its words. Keys only
group what is said of one part.
"""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping
from functools import lru_cache

SAME_WORDS: Mapping[str, str] = {
    "loose": (
        "loose loosened loosens slack wobbly wobble rattle rattling backing backed untightened play"
        " turn turns rocks rocking sagging"
    ),
    "apart": "apart off fell fallen detached unplugged disconnected popped unhooked",
    "broken": "broken broke breaks snapped sheared shattered stripped parted burst",
    "cracked": "cracked crack split tear torn fracture fractured ripped",
    "bent": "bent bend buckled twisted dented deformed crooked",
    "stuck": (
        "stuck jam jammed seized blocked froze frozen stood stall stalled bind binding sticks"
        " sticky"
    ),
    "slips": "slip slipped slipping skip skipped skipping jump jumped jumping",
    "worn": "worn wear frayed fraying thin bald stretched elongated rubbed scuffed",
    "hot": "hot warm overheated overheating burnt smoke smoked smell smelled",
    "loud": "loud noisy noise grinding squeal squeals click clicking rough",
    "dead": "dead blank unresponsive offline gone lost stops stopped silent",
    "weak": "weak low slow late dip dipped dips brownout drooping fades",
    "leaks": "leak leaking leaked hiss hissing drip dripping",
    "missing": "missing absent forgotten",
    "reversed": "reversed swapped wrong backwards inverted",
    "off-centre": "misaligned shifted drifted offset",
}
"""What is wrong → the words for it."""
FIXES: Mapping[str, str] = {
    "redesigned": (
        "redesigned redesign stronger thicker harder reinforced different rerouted moved doubled"
        " welded printed"
    ),
    "replaced": "replaced replace changed change swapped swap new spare exchanged fitted",
    "thread-locked": (
        "thread-locked threadlocked threadlock threadlocker thread-locker locker nyloc locknut"
    ),
    "tightened": "tightened tighten retightened retighten torqued tensioned retensioned nipped",
    "cleaned": "cleaned clean greased oiled lubricated freed unjammed",
    "adjusted": (
        "adjusted adjust aligned realigned recalibrated calibrated zeroed shimmed straightened"
        " reset"
    ),
    "taped": "taped tape tied zip-tied glued patched",
}
"""Kind of fix → the words for it, the one that changes most first: `replaced and tightened` counts
as replaced."""
SMALL_WORDS = frozenset(
    re.findall(
        r"\w+",
        """
    a an and again as at been but by for from had has have in into is it its just moment no not
    of on one only or still that the then there this to too very was were when while with""",
    )
)
_WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")


def _by_word(table: Mapping[str, str]) -> dict[str, str]:
    return {word: name for name, words in table.items() for word in (name, *words.split())}


_WRONG, _FIX = _by_word(SAME_WORDS), _by_word(FIXES)


@lru_cache(maxsize=8192)
def words_of(text: str) -> tuple[str, ...]:
    """The words of a text that mean something, in order: no numbers, no small words, endings and
    synonyms made one."""
    plain = unicodedata.normalize("NFKC", text).casefold()
    return tuple(_plain(word) for word in _WORD.findall(plain) if word not in SMALL_WORDS)


def _plain(word: str) -> str:
    if word in _WRONG:
        return _WRONG[word]
    endings = ("ing", "ed", "es", "s") if not word.endswith("ss") else ()
    stem = next(
        (word[: -len(end)] for end in endings if word.endswith(end) and len(word) >= len(end) + 3),
        word,
    )
    return _WRONG.get(stem, stem)


@lru_cache(maxsize=8192)
def symptom_key(text: str) -> str:
    """What is wrong in one word of the thesaurus, or else the words themselves in order of the
    alphabet."""
    words = words_of(text)
    return (
        next((word for word in words if word in SAME_WORDS), " ".join(sorted(set(words))))
        or "no words"
    )


def wordings(texts: Iterable[str]) -> list[tuple[str, int]]:
    """Each way in which people said it, as typed, with how often, the most used first; of two as
    frequent the shorter one. Capital letters, spaces, "again" and a full stop at the end make no
    other wording."""
    said = [
        re.sub(r"(?i)[ ,]+again$", "", " ".join(text.split()).rstrip(" .!")) or text
        for text in texts
    ]
    counts = Counter(text.casefold() for text in said)
    typed = {text.casefold(): text for text in reversed(said)}
    return sorted(
        ((typed[key], count) for key, count in counts.items()),
        key=lambda item: (-item[1], len(item[0]), item[0]),
    )


def in_their_words(texts: Iterable[str], most: int = 60) -> str:
    """What people called it most, cut to a heading's length."""
    words = wordings(texts)[0][0]
    return words if len(words) <= most else f"{words[:most].rsplit(' ', 1)[0]} …"


@lru_cache(maxsize=8192)
def fix_kind(text: str) -> str:
    """What kind of fix the words of a repair describe; `other` where they name none."""
    told = {_FIX[word] for word in _WORD.findall(text.casefold()) if word in _FIX}
    return next((kind for kind in FIXES if kind in told), "other")


def shared_words(one: str, other: str, apart_from: str = "") -> frozenset[str]:
    """The words that two symptoms have in common and that the part's own name does not say
    already."""
    return frozenset(words_of(one)) & frozenset(words_of(other)) - frozenset(words_of(apart_from))
