"""What a person types is read alike on the phone (static/js/lib/format.js) and on the server
(pitcrew/base/units.py)."""

import pytest

from pitcrew.base.errors import BadQuantity
from pitcrew.base.units import parse_reading, scale_of
from tests.web.node import needs_node, run

VOLTS = {"V": scale_of("V"), "mV": scale_of("mV")}
MILLIMETRES = {"mm": scale_of("mm"), "cm": scale_of("cm"), "in": scale_of("in")}
DEGREES = {"degC": scale_of("degC"), "degF": scale_of("degF")}
TORQUES = {name: scale_of(name) for name in ("N*m", "N*cm", "in*lbf", "ft*lbf", "kgf*cm", "oz*in")}
LENGTHS = {name: scale_of(name) for name in ("mm", "cm", "m", "in", "ft")}
OHMS = {"mohm": scale_of("mohm"), "ohm": scale_of("ohm"), "Mohm": scale_of("Mohm")}
TYPED = [
    ("6,2", "V", VOLTS, 0, 15),
    ("6.2", "V", VOLTS, 0, 15),
    ("6,2 V", "V", VOLTS, 0, 15),
    ("6.2V", "V", VOLTS, 0, 15),
    (" 6.2 ", "V", VOLTS, 0, 15),
    ("62", "V", VOLTS, 0, 15),
    ("6200 mV", "V", VOLTS, 0, 15),
    ("6.2 A", "V", VOLTS, 0, 15),
    ("1.234,5", "V", VOLTS, None, None),
    ("1,234.5", "V", VOLTS, None, None),
    ("1.250", "V", VOLTS, 0, 15),
    ("12,7", "V", VOLTS, 0, 15),
    ("", "V", VOLTS, 0, 15),
    ("abc", "V", VOLTS, 0, 15),
    ("-3", "V", VOLTS, 0, 15),
    ("−3", "V", VOLTS, -5, 5),
    (".5", "V", VOLTS, 0, 15),
    ("5.", "V", VOLTS, 0, 15),
    ("1e1", "V", VOLTS, 0, 15),
    ("1e400", "V", VOLTS, None, None),
    ("9**9", "V", VOLTS, None, None),
    ("11.8 mm", "mm", MILLIMETRES, 0, 80),
    ("1.18 cm", "mm", MILLIMETRES, 0, 80),
    ("0.5 in", "mm", MILLIMETRES, 0, 80),
    ("9 cm", "mm", MILLIMETRES, 0, 80),
    ("24 °C", "degC", DEGREES, -20, 80),
    ("75 °F", "degC", DEGREES, -20, 80),
    ("190 °F", "degC", DEGREES, -20, 80),
    ("18,8 mΩ", "mohm", OHMS, 0, 100),
    ("1" * 61, "V", VOLTS, None, None),
    ("5 6", "V", VOLTS, None, None),
    ("--5", "V", VOLTS, None, None),
    ("5,", "V", VOLTS, 0, 15),
    ("0,01 ohm", "mohm", OHMS, 0, 100),
    *(
        (typed, "N*m", TORQUES, None, None)
        for typed in (
            "9 lb-ft",
            "9 ft lbs",
            "9 in lb",
            "9 in-lbs",
            "9 N m",
            "9 Nm",
            "9 N.m",
            "9 kg-cm",
            "9 kg cm",
            "9 FT-LB",
            "9 oz-in",
            "9 mN",
            "9 lb",
            "9 lb ft in",
        )
    ),
    *(
        (typed, "mm", LENGTHS, None, None)
        for typed in (
            "1' 6\"",
            "1'6",
            "1 ft 4 in",
            "1 ft. 4 1/2 in",
            "½ m",
            "1½ in",
            "16¼ in",
            "1/8 in",
            "1/8",
            "-1/8 in",
            "6'",
            "1' 18\"",
            "3 feet",
            "1’ 6”",
            "1 ft 4 lb",
            "5 meters",
            "1/0 in",
            "1 2 3/4 in",
        )
    ),
    *((typed, "degC", DEGREES, None, None) for typed in ("72 F", "22 C", "72 deg F", "22 celsius")),
]
SCRIPT = """
  const { parseNumber, BadTyping } = await js('lib/format.js');
  return given.map(([typed, unit, units, least, most]) => {
    try { return parseNumber(typed, { unit, least, most }, units); }
    catch (problem) { if (problem instanceof BadTyping) return problem.sentence; throw problem; }
  });
"""


def on_the_server(typed, unit, units, least, most):
    try:
        read = parse_reading(typed, unit, least, most)
        return {"value": pytest.approx(read.value, rel=1e-12), "unit": read.unit}
    except BadQuantity:
        return None


@needs_node
def test_phone_and_server_read_the_same_or_both_ask_again():
    for case, phone in zip(TYPED, run(SCRIPT, TYPED), strict=True):
        server = on_the_server(*case)
        assert (None if isinstance(phone, str) else phone) == server, case[0]


@needs_node
def test_the_sentences_say_what_is_wanted():
    answers = dict(zip([case[0] for case in TYPED], run(SCRIPT, TYPED), strict=True))
    assert (
        answers["62"]
        == "'62' is outside what is possible here (0 to 15 V). Look again and type it once more."
    )
    assert answers["6.2 A"] == "'6.2 A' ends in 'A'; expected a number in V. Type the number alone."
    assert "two ways" in answers["1.234,5"] and "not a number" in answers["abc"]


@needs_node
def test_ids_are_uuids_of_version_7_that_sort_by_time():
    ids = run(
        "const { newId } = await js('lib/ids.js'); return given.map((now) => newId(now));",
        [0, 1, 1_772_879_465_120, 1_772_879_465_121],
    )
    assert ids == sorted(ids) and len(set(ids)) == 4
    for made in ids:
        assert len(made) == 36 and made[14] == "7" and made[19] in "89ab"
    assert ids[2].replace("-", "")[:12] == f"{1_772_879_465_120:012x}"


@needs_node
def test_the_clock_counts_down_warns_and_says_when_it_is_late():
    minute = 60_000
    faces = run(
        "const { clockFace } = await js('lib/clock.js'); return given.map((now) => clockFace(0,"
        " now));",
        [-13 * 60 * minute, -65 * minute, -12 * minute - 40_000, -5 * minute, -1_000, 0, 200_000],
    )
    assert [(face["text"], face["state"]) for face in faces] == [
        ("13 h", "far"),
        ("1 h 5 min", "running"),
        ("12 min 40 s", "running"),
        ("5 min 00 s", "soon"),
        ("1 s", "soon"),
        ("leave now", "late"),
        ("3 min late", "late"),
    ]
    assert faces[2]["words"] == "to leave for" and "go now" in faces[-1]["words"]
