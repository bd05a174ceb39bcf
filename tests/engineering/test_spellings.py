"""What people type for a size, a gauge, a share or a list is read as what they mean, and what is
ambiguous is asked back."""

import pytest

from pitcrew.base.errors import BadInput
from pitcrew.engineering.catalogue import find
from tests.every import every

DROP = {"length": "1 m", "current": "1 A"}
PROOF = {"thread": "M6", "grade": "8.8"}
ROPE = {
    "diameter": "8 mm",
    "construction": "6x19",
    "material": "carbon",
    "length": "1 m",
    "load": "2 kN",
}
BAND = {"limit": "12.7 V", "uncertainty": "20 mV"}


@every(
    "name usual other",
    [
        *(
            ("chain-strength", {"size": "40"}, {"size": size})
            for size in ("#40", "ANSI 40", "ansi #40", "08A", "08 a", "40-1", "chain 40")
        ),
        ("chain-strength", {"size": "41"}, {"size": "041"}),
        (
            "chain-length",
            {"size": "06B", "centre": "200 mm", "teeth1": "16", "teeth2": "16"},
            {"size": "06B-1", "centre": "200 mm", "teeth1": "16", "teeth2": "16"},
        ),
        *(
            ("bolt-area", {"thread": "M6"}, {"thread": thread})
            for thread in ("M6x1", "m 6", "M 6 x 1,0", "M6-6g")
        ),
        *(
            ("bolt-area", {"thread": "1/4-20"}, {"thread": thread})
            for thread in ('1/4"-20', "1/4 - 20 UNC", "UNC 1/4-20")
        ),
        *(
            ("bolt-area", {"thread": "10-32"}, {"thread": thread})
            for thread in ("#10-32", "No. 10-32", "#10-32 UNF", "unf 10-32")
        ),
        ("bolt-proof", PROOF, PROOF | {"grade": "class 8,8"}),
        (
            "bolt-torque",
            PROOF | {"condition": "zinc", "fraction": "0.75"},
            PROOF | {"condition": "Zinc plated", "fraction": "75 %"},
        ),
        *(
            ("wire-drop", DROP | {"gauge": "6"}, DROP | {"gauge": gauge})
            for gauge in ("#6", "AWG 6", "6 AWG", "no. 6")
        ),
        *(
            ("wire-drop", DROP | {"gauge": "-3"}, DROP | {"gauge": gauge})
            for gauge in ("4/0", "0000", "4/0 AWG")
        ),
        ("wire-drop", DROP | {"gauge": "-1"}, DROP | {"gauge": "00"}),
        (
            "rope-strength",
            {"diameter": "1.5 in", "construction": "6x19", "material": "stainless"},
            {"diameter": "1-1/2 in", "construction": "6 × 19", "material": "Inox"},
        ),
        (
            "guard-band",
            BAND | {"side": "lower", "risk": "0.05"},
            BAND | {"side": "Low", "risk": "5 %"},
        ),
        (
            "share-interval",
            {"hits": "3", "tries": "20", "confidence": "0.9"},
            {"hits": "3", "tries": "20", "confidence": "90 %"},
        ),
        ("trend", {"times": "5,40,43", "end": "100"}, {"times": "[5, 40; 43]", "end": "100"}),
        ("trend", {"times": "5,40,43", "end": "100"}, {"times": "5 40 43", "end": "100"}),
        *(
            ("team-lift", {"each": "25 kg; 16.5 kg"}, {"each": each})
            for each in (
                "25 kg, 16.5 kg",
                "25 kg and 16,5 kg",
                "25 kg;16500 g",
                "25 kg\n16.5 kg;",
                ["25 kg", "16.5 kg"],
            )
        ),
        *(
            ("hold-factor", {"material": "chain"}, {"material": material})
            for material in ("Chain", "roller chain")
        ),
        *(
            ("hold-factor", {"material": "wire rope"}, {"material": material})
            for material in ("Wire Rope", "wire-rope", "cable")
        ),
        *(
            ("knot-left", {"fiber": "hmpe", "knot": "figure-eight"}, {"fiber": fiber, "knot": knot})
            for fiber, knot in [
                ("UHMWPE", "figure 8"),
                ("high-modulus polyethylene", "Figure eight"),
                ("HMPE", "figure-of-eight"),
            ]
        ),
        (
            "shaft-torsion",
            {"shape": "hex", "size": "12.7 mm", "torque": "40 N*m"},
            {"shape": "Hexagon", "size": "1/2 in", "torque": "40 Nm"},
        ),
        *(
            (
                "chain-strength",
                {"size": "35", "link": "connecting link; offset link"},
                {"size": "#35", "link": link},
            )
            for link in ("half link", "half-link; clip", "Connecting Link; half link")
        ),
        ("rope-stretch", ROPE, ROPE | {"construction": "6 × 19 IWRC", "material": "galvanized"}),
        ("brake-friction", {"lining": "molded lining"}, {"lining": "Moulded", "state": "oily"}),
    ],
)
def test_another_spelling_means_the_same(
    name: str, usual: dict[str, str], other: dict[str, str]
) -> None:
    assert find(name).compute_typed(other).value == pytest.approx(
        find(name).compute_typed(usual).value, rel=1e-12
    )


@every(
    "name arguments said",
    [
        (
            "bolt-area",
            {"thread": "1/4"},
            "without its threads per inch. Write one of 1/4-20, 1/4-28",
        ),
        ("bolt-area", {"thread": "10"}, "Write one of 10-24, 10-32."),
        ("chain-strength", {"size": "40-2"}, "2 strands; wanted a single strand"),
        ("chain-strength", {"size": "25H"}, "maker's figure"),
        ("wire-drop", DROP | {"gauge": "6.5"}, "whole number"),
        ("wire-drop", DROP | {"gauge": "5/0"}, "gauge is -4; wanted at least -3"),
        ("rope-bend", {"diameter": "1/8", "sheave": "1 in"}, "'1/8' has no unit"),
        (
            "belt-tension",
            {"mass_per_length": "61 g/m", "span": "250 mm", "frequency": "6000 rpm"},
            "an angular speed; wanted a frequency",
        ),
        (
            "motor-torque",
            {"stall_torque": "1 N*m", "free_speed": "92 rpm", "speed": "93 rpm"},
            "93 rpm arrived; wanted at most 92 rpm",
        ),
        (
            "rate-interval",
            {"events": "2", "exposure": "100", "confidence": "95"},
            "confidence is 95; wanted at least 0.01",
        ),
        ("trend", {"times": "5", "truncated": "failure"}, "1 time arrived; wanted at least 2"),
        ("team-lift", {"each": "25, 16 kg"}, "'25' has no unit"),
        ("team-lift", {"each": ""}, "wanted a list"),
        ("team-lift", {"each": "25 kg; 3 m"}, "wanted a mass"),
        (
            "cord-stretch",
            {
                "fiber": "hmpe",
                "strength": "6 kN",
                "length": "1 m",
                "load": "1 kN",
                "elongation": "3.5",
            },
            "at most 1",
        ),
    ],
)
def test_what_cannot_be_meant_is_asked_back(
    name: str, arguments: dict[str, str], said: str
) -> None:
    with pytest.raises(BadInput) as refusal:
        find(name).compute_typed(arguments)
    assert said in refusal.value.sentence
