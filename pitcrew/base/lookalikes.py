"""Names that read alike: on a screen, `Mira` in Latin letters and the same with a Cyrillic `а` are
one person to everyone.

The twins are letters of other scripts that are drawn like Latin ones (Unicode Technical Standard 39
calls them confusables).
"""

import unicodedata

_TWINS = str.maketrans(
    "АВЕЅІЈКМНОРСТУХ" "аеѕіјорсухһԁԛԝ" "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ" "αινορυ" "ıɑɡ",
    "ABESIJKMHOPCTYX" "aesijopcyxhdqw" "ABEZHIKMNOPTYX" "aivopu" "iag",
)  # fmt: skip
_UNSEEN_KINDS = ("Cc", "Cf", "Zs")
_UNSEEN = "\u034f\u115f\u1160\u2800\ufe0e\ufe0f"


def looks_like(name: str) -> str:
    """The same text for names that read alike, whatever their case, width, script, direction marks
    or unseen letters."""
    letters = unicodedata.normalize("NFKC", name).translate(_TWINS).casefold()
    return "".join(
        letter
        for letter in letters
        if letter not in _UNSEEN and unicodedata.category(letter) not in _UNSEEN_KINDS
    )
