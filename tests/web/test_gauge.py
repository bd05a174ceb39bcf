"""The gauge on the phone and the gauge on paper are the same drawing."""

import itertools
import re
import xml.etree.ElementTree as ET

import pytest

from tests.web.node import needs_node, run
from tests.web.sample import CHAIN_LIMIT, environment, limit


def from_before(found):
    """The same limit as it was stored before its window was written out."""
    return {name: value for name, value in found.items() if name != "good"}


CASES = [
    (CHAIN_LIMIT, 0.0118),
    (CHAIN_LIMIT, None),
    (CHAIN_LIMIT, 0.0204),
    (CHAIN_LIMIT, 0.001),
    (from_before(CHAIN_LIMIT), 0.0118),
    (from_before(limit("V", 2, stop_low=12.7, guards={"stop_low": 0.016})), 12.9),
    (limit("mohm", 1, watch_high=15, stop_high=20, guards={"stop_high": 0.7}), 0.0188),
    (limit("mohm", 1, watch_high=19.9, stop_high=20), 0.0188),
    (limit("V", 2, stop_low=12.7, guards={"stop_low": 0.05}), 12.94),
    (limit("V", 2, stop_low=12.7, guards={"stop_low": 0.016}), 12.9),
    (limit("V", 2, stop_low=12.5, watch_low=12.8), 12.4),
    (limit("deg", 0, stop_low=-4, stop_high=4, guards={"stop_low": 1, "stop_high": 1}), -0.02),
    (limit("mm", stop_high=0), 0.001),
    (limit("degC", 0, watch_high=30, stop_high=45), 300.0),
    (limit("mm", stop_low=5, stop_high=5), 0.005),
    (limit("mm", stop_low=0), 0.001),
    (
        limit(
            "mm",
            stop_low=2,
            watch_low=3,
            watch_high=8,
            stop_high=9,
            guards={"stop_low": 3, "stop_high": 3},
        ),
        0.004,
    ),
]


@needs_node
def test_phone_and_server_draw_the_same():
    drawn = run(
        "const { gaugeGeometry } = await js('lib/gauge.js'); return given.map(([limit, result]) =>"
        " gaugeGeometry(limit, result));",
        CASES,
    )
    for (bounds, result), phone in zip(CASES, drawn, strict=True):
        svg = ET.fromstring(
            str(
                environment().get_template("macros/gauge.html").module.gauge(bounds, result)
            ).strip()
        )
        bands = sorted(
            (
                rect.get("class").removeprefix("gauge-"),
                float(rect.get("x")),
                float(rect.get("width")),
            )
            for rect in svg.iter("rect")
            if rect.get("class") != "gauge-frame"
        )
        wanted = sorted((band["kind"], band["x"], band["width"]) for band in phone["bands"])
        assert [band[0] for band in bands] == [band[0] for band in wanted]
        for ours, theirs in zip(bands, wanted, strict=True):
            assert ours[1:] == pytest.approx(theirs[1:], abs=0.06)
        edges = [
            float(re.match(r"M([-\d.]+)", path.get("d"))[1])
            for path in svg.iter("path")
            if path.get("class") == "gauge-limit"
        ]
        assert edges == pytest.approx([*phone["edges"], *phone["ticks"]], abs=0.06)
        texts = sorted(
            (text.text, text.get("text-anchor"), float(text.get("x"))) for text in svg.iter("text")
        )
        assert [text[:2] for text in texts] == [
            (number["text"], number["anchor"])
            for number in sorted(phone["numbers"], key=lambda n: n["text"])
        ]
        marks = [path.get("d") for path in svg.iter("path") if path.get("class") == "gauge-mark"]
        assert len(marks) == (0 if phone["mark"] is None else 1 + bool(phone["beyond"]))
        if marks:
            assert float(re.match(r"M([-\d.]+)", marks[0])[1]) == pytest.approx(
                phone["mark"], abs=0.06
            )


@needs_node
def test_a_good_reading_far_from_its_only_limit_is_on_the_gauge():
    """12.9 V where 12.7 V is the least and the meter is good to 0.016 V; beyond a stop the arrow at
    the end stays."""
    volts = limit("V", 2, stop_low=12.7, guards={"stop_low": 0.016})
    good, bad = run(
        "const { gaugeGeometry } = await js('lib/gauge.js'); return given.map(([limit, result]) =>"
        " gaugeGeometry(limit, result));",
        [(volts, 12.9), (volts, 11.0)],
    )
    assert good["beyond"] == "" and 6 < good["mark"] < 314
    assert bad["beyond"] == "left"


@needs_node
def test_a_limit_without_numbers_has_no_gauge_on_the_phone():
    assert run(
        "const { gaugeGeometry } = await js('lib/gauge.js'); return given.map((limit) =>"
        " gaugeGeometry(limit, 1));",
        [None, limit()],
    ) == [None, None]


@needs_node
def test_the_gauge_names_the_window_that_the_sentence_names_and_no_mark_covers_it():
    """8.2 to 12.4 mm with a ruler good to 1 mm is really ok from 9.2 to 11.4 mm: those two stand on
    the gauge."""
    svg = str(environment().get_template("macros/gauge.html").module.gauge(CHAIN_LIMIT, 0.0118))
    texts = [text.text for text in ET.fromstring(svg.strip()).iter("text")]
    assert texts == ["9.2 mm", "11.4 mm"] and "at least 9.2 mm, at most 11.4 mm" in svg
    mark = re.search(r'class="gauge-mark" [^>]*d="M[\d.]+ (\d+)v(\d+)"', svg)
    baseline = int(re.search(r'<text [^>]*y="(\d+)"', svg)[1])
    assert int(mark[1]) + int(mark[2]) <= baseline - 12, (
        "digits of 15 px reach 11 px above their baseline"
    )


@needs_node
def test_each_number_stands_beside_its_own_tick_and_none_over_another():
    """A reading between the window's end and the stop bound was drawn beyond the number that it
    passes: the number stood under the other tick."""
    for bounds, phone in zip(
        [case[0] for case in CASES],
        run(
            "const { gaugeGeometry } = await js('lib/gauge.js'); return given.map(([limit, result])"
            " => gaugeGeometry(limit, result));",
            CASES,
        ),
        strict=True,
    ):
        at = [*phone["edges"], *phone["ticks"]]
        spans = []
        for number in phone["numbers"]:
            tick = number["x"] - 2 if number["anchor"] == "start" else number["x"] + 2
            assert any(abs(tick - place) < 0.01 for place in at), bounds
            long = 8.3 * len(number["text"])
            spans.append(
                (tick, tick + long) if number["anchor"] == "start" else (tick - long, tick)
            )
        spans.sort()
        assert all(one[1] <= other[0] + 1 for one, other in itertools.pairwise(spans)), (
            bounds,
            spans,
        )
