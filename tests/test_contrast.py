"""Contrast of every pair of tokens that carries text, in every theme: 7:1 for verdicts and numbers,
4.5:1 for the rest, 3:1 for marks (WCAG 2.2, success criteria 1.4.6, 1.4.3 and 1.4.11)."""

import re

import pytest

from pitcrew.base.paths import STATIC
from pitcrew.web.packing import SHEETS

CSS = re.sub(
    r"/\*.*?\*/", "", (STATIC / "css" / "tokens.css").read_text(encoding="utf-8"), flags=re.DOTALL
)
BLOCKS = [
    (selector.strip(), dict(re.findall(r"(--[\w-]+):\s*([^;]+);", body)))
    for selector, body in re.findall(r"([^{}]+)\{([^{}]*)\}", CSS)
]


def block(selector, with_name):
    return next(values for found, values in BLOCKS if found == selector and with_name in values)


MEANINGS = block(":root", "--ground")
LIGHT = block(":root", "--paper")
BY_WISH = block(":root:not([data-theme])", "--paper")
THEMES = {
    "light": LIGHT,
    "dark": block(':root[data-theme="dark"]', "--paper"),
    "sun": block(':root[data-theme="sun"]', "--paper"),
}
TEXT_7 = [
    ("--text", "--ground"),
    ("--text", "--card"),
    ("--text", "--band"),
    ("--press-text", "--press"),
    ("--strip-text", "--strip"),
    ("--measure", "--card"),
    *(
        (f"--{verdict}-text", f"--{verdict}-fill")
        for verdict in ("ok", "watch", "stop", "unjudged")
    ),
    *((f"--{verdict}-text", "--card") for verdict in ("ok", "watch", "stop", "unjudged")),
    *(("--text", f"--{verdict}-fill") for verdict in ("ok", "watch", "stop", "unjudged")),
]
TEXT_45 = [
    ("--text-soft", "--ground"),
    ("--text-soft", "--card"),
    ("--link", "--ground"),
    ("--link", "--card"),
    ("--link", "--band"),
    ("--strip-soft", "--strip"),
    *((f"--{verdict}-text", "--ground") for verdict in ("ok", "watch", "stop", "unjudged")),
]
MARKS_3 = [
    ("--focus", "--ground"),
    ("--focus", "--card"),
    ("--time", "--strip"),
    ("--ok-line", "--card"),
    ("--stop-line", "--card"),
    ("--text-soft", "--card"),
]


def colour(theme, name):
    """The value of a meaning in a theme, as linear light per channel."""
    value = THEMES[theme][MEANINGS[name].removeprefix("var(").removesuffix(")")]
    assert re.fullmatch(r"#[0-9a-f]{6}", value), f"{name} is {value}"
    channels = [int(value[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    return [
        channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4
        for channel in channels
    ]


def contrast(theme, first, second):
    """WCAG 2.2, definition of contrast ratio."""
    lights = sorted(
        0.2126 * red + 0.7152 * green + 0.0722 * blue
        for red, green, blue in (colour(theme, first), colour(theme, second))
    )
    return (lights[1] + 0.05) / (lights[0] + 0.05)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("pairs", "least"), [(TEXT_7, 7), (TEXT_45, 4.5), (MARKS_3, 3)])
def test_every_pair_has_contrast(theme, pairs, least):
    weak = {
        pair: round(contrast(theme, *pair), 2) for pair in pairs if contrast(theme, *pair) < least
    }
    assert not weak


def test_the_formula_gives_the_known_ends():
    assert contrast("sun", "--text", "--ground") == pytest.approx(
        21
    )  # black on white: 21:1 (WCAG 2.2, contrast ratio, note 1)
    assert contrast("sun", "--text", "--press") == pytest.approx(1)


def test_dark_by_wish_and_dark_by_switch_are_the_same():
    assert THEMES["dark"] == BY_WISH


def test_every_theme_gives_every_value_and_every_meaning_has_one():
    for theme in THEMES.values():
        assert set(theme) == set(LIGHT)
    for name, value in MEANINGS.items():
        if (
            value.startswith("var(")
            and value.removeprefix("var(").removesuffix(")") not in MEANINGS
        ):
            assert value.removeprefix("var(").removesuffix(")") in LIGHT, name


def screen_sheets():
    """The style sheets that every screen loads; paper has its own."""
    return [name for name in SHEETS if name != "tokens"]


@pytest.mark.parametrize("name", screen_sheets())
def test_components_use_meanings_that_exist_and_no_colours_of_their_own(name):
    text = re.sub(
        r"/\*.*?\*/",
        "",
        (STATIC / "css" / f"{name}.css").read_text(encoding="utf-8"),
        flags=re.DOTALL,
    )
    assert set(re.findall(r"var\((--[\w-]+)\)", text)) <= set(MEANINGS)
    assert not re.findall(r"#[0-9a-fA-F]{3,8}\b(?=[;,\s)])|\brgba?\(|\bhsla?\(", text)
