"""Drawings, gauge, map and trend: well formed, with the part's own numbers, and with every label
inside its frame."""

import re
import tomllib
import xml.etree.ElementTree as ET

import pytest

from pitcrew.base.drawings import DRAWINGS
from pitcrew.base.paths import CHECKLISTS
from pitcrew.base.units import show
from pitcrew.domain.checks.pathchecks import LOOK, PROOF
from tests.web.look import MANY, OHM_LIMIT, ROBOT, ZONES
from tests.web.look_path import BAD, WELL
from tests.web.sample import (
    CHAIN,
    CHAIN_LIMIT,
    CORD,
    DRAWN,
    LOOKS,
    drawing,
    environment,
    limit,
    part,
)

MORE_OF_ONE = {"bolt-circle"}
"""What the drawing of another check becomes: the audit of four bolts and more."""
LETTER, BOLD_LETTER = 7.3, 8.1
"""Width of a letter at 14 px: in a browser these labels take 6.7 and 7.5 on average in the widest
face of the list; some are wider."""


def macro(file, name, *args):
    return str(getattr(environment().get_template(f"macros/{file}").module, name)(*args)).strip()


def words(svg):
    return " ".join("".join(element.itertext()) for element in svg.iter() if element.tag == "text")


@pytest.mark.parametrize("name", DRAWN)
def test_a_drawing_is_well_formed_and_has_the_parts_own_numbers(name):
    drawn, numbers = DRAWN[name]
    text = drawing(name, drawn)
    svg = ET.fromstring(text)
    assert svg.get("role") == "img" and svg.get("aria-label")
    assert "style=" not in text and "<script" not in text
    for number in numbers:
        assert number.strip("><") in words(svg) if not number.startswith(">") else number in text


EVERY = [(name, drawn) for name, (drawn, _) in DRAWN.items()] + [
    ("rope-end", CORD),
    *(("look", drawn) for drawn in LOOKS),
]


@pytest.mark.parametrize(("name", "drawn"), EVERY)
def test_every_label_lies_inside_its_drawing(name, drawn):
    svg = ET.fromstring(drawing(name, drawn))
    width, height = map(float, svg.get("viewBox").split()[2:])
    for text in (
        element
        for element in svg.iter("text")
        if element.get("class") != "halo" and not element.get("transform")
    ):
        size = float(text.get("font-size")) / 14
        long = len(text.text) * size * (BOLD_LETTER if text.get("class") == "measured" else LETTER)
        left = (
            float(text.get("x"))
            - {"start": 0, "middle": long / 2, "end": long}[text.get("text-anchor")]
        )
        assert left >= -2 and left + long <= width + 2, (
            f"{text.text!r} reaches from {left:.0f} to {left + long:.0f} of {width:.0f}"
        )
        assert 10 <= float(text.get("y")) <= height


@pytest.mark.parametrize("name", DRAWN)
def test_a_part_with_nothing_written_still_has_a_drawing(name):
    if name in ("bolt-circle", "rope-end"):
        ET.fromstring(drawing(name, part(count=5, knot="<bowline & loop>")))
    ET.fromstring(drawing(name, part(size="25H", span="16.25 in")))


def test_what_students_write_is_escaped():
    assert "&lt;bowline &amp; loop&gt;" in drawing(
        "rope-end", part(knot="<bowline & loop>", diameter="6 mm")
    )


def test_every_drawing_belongs_to_a_check_and_every_check_has_its_drawing():
    """The other way round, too: a drawing that no check of ours names is one that no one sees."""
    named = {
        check.get("drawing", "look")
        for file in sorted(CHECKLISTS.glob("*.toml"))
        for check in tomllib.loads(file.read_text()).get("check", [])
    }
    assert named | {LOOK, PROOF} | MORE_OF_ONE == set(DRAWINGS)
    assert named <= set(DRAWN)


def test_a_cord_is_drawn_with_its_knot_and_a_rope_with_its_sleeve():
    assert "figure-eight" in drawing("rope-end", CORD) and "discard" not in drawing(
        "rope-end", CORD
    )
    sleeved = drawing(
        "rope-end", part(diameter="3 mm", construction="7x19", termination="sleeve", knot="none")
    )
    assert "broken wires here" in sleeved and "sleeve" in sleeved and ">none<" not in sleeved
    sewn = drawing("rope-end", part(diameter="6 mm", knot="none", termination="none"))
    assert "sewn eye" in sewn and "cut threads here" in sewn and ">none<" not in sewn


def test_a_team_that_writes_inches_sees_inches():
    assert "16.25 in" in drawing("chain-slack", part(span="16.25 in"))


@pytest.mark.parametrize("count", range(1, 13))
def test_a_star_visits_every_bolt_once_and_goes_to_the_far_side_first(count):
    order = [int(word) for word in macro("drawings/joints.html", "star", count).split()]
    assert sorted(order) == list(range(count))
    if count >= 4:
        across = (order[1] - order[0]) % count
        assert min(across, count - across) == count // 2


@pytest.mark.parametrize(
    ("bounds", "result", "numbers"),
    [
        (
            {"stop_low": 8.2, "stop_high": 12.4, "guards": {"stop_low": 1, "stop_high": 1}},
            0.0118,
            ("9.2 mm", "11.4 mm"),
        ),
        ({"stop_high": 20, "watch_high": 12}, 0.0301, ("20 mm", "12 mm")),
        ({"stop_low": 3}, None, ("3 mm",)),
        ({"stop_low": -4, "stop_high": 4}, 0.0, ("-4 mm", "4 mm")),
        ({"stop_high": 0}, 0.001, ("0 mm",)),
        ({"stop_low": 5, "stop_high": 5}, 0.005, ("5 mm",)),
    ],
)
def test_a_gauge_shows_its_limits(bounds, result, numbers):
    svg = ET.fromstring(macro("gauge.html", "gauge", limit(**bounds), result))
    for number in numbers:
        assert number in words(svg)
    assert len(
        [element for element in svg.iter("path") if element.get("class") == "gauge-mark"]
    ) >= (result is not None)


def test_a_reading_off_the_gauge_is_shown_as_beyond():
    inside = macro("gauge.html", "gauge", CHAIN_LIMIT, 0.0118)
    beyond = macro("gauge.html", "gauge", CHAIN_LIMIT, 0.0300)
    assert beyond.count('class="gauge-mark"') == inside.count('class="gauge-mark"') + 1


def test_a_limit_without_numbers_has_no_gauge():
    assert macro("gauge.html", "gauge", limit(), None) == ""


def test_the_map_links_every_zone_and_says_its_state():
    text = macro("robot_map.html", "robot_map", ROBOT, ZONES)
    ET.fromstring(text)
    assert 'href="/walk?zone=mast" aria-label="Mast and climb hook: Stop, 3/6 checks done"' in text
    assert "0/4" in text and "map-list" not in text


def test_a_crowded_map_numbers_what_does_not_fit_and_lists_all():
    text = macro("robot_map.html", "robot_map", ROBOT, MANY)
    ET.fromstring(text)
    assert len(re.findall(r"<li><a href=", text)) == len(MANY) == 15
    assert (
        text.count("Left side plate and bumper latch</span>")
        + text.count("Left side plate and bumper latch <span")
        == 3
    )


def test_a_trend_joins_only_what_can_be_compared_and_has_its_table():
    points = [
        {"label": f"Match {number}", "value": value, "verdict": "ok", "joined": joined}
        for number, value, joined in ((1, 0.012, True), (2, 0.019, False), (3, 0.014, True))
    ]
    text = macro("trend.html", "trend", "Resistance", points, OHM_LIMIT)
    svg = ET.fromstring(text).find("svg")
    line = next(element for element in svg.iter("path") if element.get("class") == "trend-line")
    assert re.findall("[ML]", line.get("d")) == ["M", "L"]
    assert [show(point["value"], "mohm") in text for point in points] == [True] * 3 and text.count(
        "<tr>"
    ) == 4


def test_a_trend_without_readings_is_drawn_too():
    ET.fromstring(macro("trend.html", "trend", "Nothing yet", [], OHM_LIMIT))


def test_verdicts_are_said_by_shape_and_word():
    for verdict, word in (
        ("ok", "OK"),
        ("watch", "Watch"),
        ("stop", "Stop"),
        ("unjudged", "Unjudged"),
    ):
        mark = ET.fromstring(macro("verdict.html", "verdict_mark", verdict))
        assert (
            word in "".join(mark.itertext())
            and mark.find("svg").get("class") == f"shape shape-{verdict}"
        )
    assert "13:05 &lt;b&gt;" in macro(
        "verdict.html", "verdict_box", "stop", "changed after 13:05 <b>"
    )


def test_the_sample_chain_is_a_part_as_the_build_sheet_reads_it():
    assert CHAIN.specs["span"] == pytest.approx(0.412) and CHAIN.typed["span"] == "412 mm"


def path_rows(picture):
    figure = ET.fromstring(macro("hold_path.html", "hold_path", picture))
    return [item for item in figure.iter("li") if "path-row" in item.get("class").split()]


def test_the_hold_path_has_one_scale_and_writes_both_numbers():
    found = {}
    for row, item in zip(
        (*WELL.rows, *WELL.more, *BAD.rows, *BAD.more),
        path_rows(WELL) + path_rows(BAD),
        strict=True,
    ):
        text = " ".join("".join(item.itertext()).split())
        assert row.name in text and all(
            name in text for name in (*row.measured, *row.stated, *row.assumed, *row.not_stated)
        )
        bars = [element for element in item.iter("rect") if element.get("height") == "11"]
        assert len(bars) == (1 if row.factor else 0)
        if row.factor:
            assert f"{row.factor} needs {row.needs}" in text
            found[row.share] = float(bars[0].get("width"))
        assert row.looked is None or (row.looked.by in text and row.looked.words in text)
        assert row.factor or row.instead or row.looked or "nobody looked yet" in text
    for share, width in found.items():
        assert width == pytest.approx(min(share, 3) * 100 - 0.5, abs=0.1), (
            "a third of the bar is what is needed"
        )


def test_the_hold_path_names_its_weakest_link_and_ends_on_the_floor():
    text = "".join(ET.fromstring(macro("hold_path.html", "hold_path", WELL)).itertext())
    assert text.count("weakest") == 1 and "Nobody under it." in text
    assert (
        text.index("The bar")
        < text.index("Hook")
        < text.index("hangs here")
        < text.index("Nobody under it.")
    )
