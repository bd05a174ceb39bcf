"""Bolt grades, each with the sizes that its standard covers.

Steel by ISO 898-1 and SAE J429, alloy socket screws by ASTM A574 and F835, stainless by ISO 3506-1.
"""

import re
from dataclasses import dataclass, replace

from pitcrew.base.errors import OutOfRange, UnknownName
from pitcrew.base.units import inches_text
from pitcrew.engineering.constants import INCH, KSI, MEGAPASCAL
from pitcrew.engineering.lookup import other_names, plain, row
from pitcrew.engineering.parameters import text
from pitcrew.engineering.threads import Thread

ISO, SAE, SOCKET, LOW_HEAD = "ISO 898-1", "SAE J429", "ASTM A574", "ASTM F835"
ISO_HEAD, STAINLESS, INCH_STAINLESS = "ISO 7380-2", "ISO 3506-1", "ASTM F837"
METRIC_STANDARDS, INCH_STANDARDS = (ISO, ISO_HEAD), (SAE, SOCKET, LOW_HEAD)
HEAD_SHARE = 0.8  # of the thread's load that a button or flat head bears (ISO 7380-2:2022)
SizeStep = tuple[float, float, float, float]


@dataclass(frozen=True)
class Strength:
    """Proof, yield and tensile stress in Pa for sizes above the step before, up to and including
    `most`, in m.
    """

    most: float
    proof: float
    yields: float
    tensile: float


@dataclass(frozen=True)
class Grade:
    """A grade of a standard: the sizes in m from `least` to the last strength's `most`.

    `alloy`: a hardened black alloy steel, as socket screws are made of. `head`: the only heads
    that the standard has, where it has but one kind.
    """

    name: str
    standard: str
    least: float
    strengths: tuple[Strength, ...]
    alloy: bool = False
    head: str = ""

    @property
    def title(self) -> str:
        """As people write it: `ISO 898-1 8.8`, `ISO 3506-1 A2-70`, `ASTM A574`."""
        return (
            self.standard
            if self.standard.endswith(self.name.upper())
            else f"{self.standard} {self.name.upper()}"
        )

    @property
    def stainless(self) -> bool:
        """Whether it is austenitic stainless steel, which galls and is not hardened."""
        return self.standard in (STAINLESS, INCH_STAINLESS)

    def covers(self, metric: bool) -> bool:
        """Whether its standard has threads of that system; stainless is sold in both."""
        others = INCH_STANDARDS if metric else METRIC_STANDARDS
        return self.standard not in others


def _iso(name: str, *steps: SizeStep, standard: str = ISO, alloy: bool = False) -> Grade:
    """Steps of (largest diameter in mm, proof, yield, tensile in MPa); ISO 898-1 begins at M1.6."""
    return replace(_grade(name, standard, 1.6, 1e-3, MEGAPASCAL.value, steps), alloy=alloy)


def _iso_head(name: str, proof: float, yields: float, tensile: float) -> Grade:
    """A class with a leading zero: a button or flat head, which bears 80 % of its thread's load."""
    step = (20.0, HEAD_SHARE * proof, HEAD_SHARE * yields, HEAD_SHARE * tensile)
    return replace(_iso(name, step, standard=ISO_HEAD, alloy=name != "08.8"), head="button")


def _inch_socket(name: str, standard: str, head: str, *steps: SizeStep) -> Grade:
    """Black alloy screws by ASTM, in inches and ksi, from #0 on."""
    made = _grade(name, standard, 0.06, INCH.value, KSI.value, steps)
    return replace(made, alloy=True, head=head)


def _stainless(name: str, yields: float, tensile: float) -> Grade:
    """ISO 3506-1 has no proof load: the 0.2 % yield stress takes its place (MPa, to M24)."""
    return _iso(name, (24, yields, yields, tensile), standard=STAINLESS)


def _sae(name: str, *steps: SizeStep) -> Grade:
    """Steps of (largest diameter in inches, proof, yield, tensile in ksi); SAE J429 begins at 1/4
    inch.
    """
    return _grade(name, SAE, 0.25, INCH.value, KSI.value, steps)


def _grade(
    name: str,
    standard: str,
    least: float,
    length: float,
    stress: float,
    steps: tuple[SizeStep, ...],
) -> Grade:
    strengths = tuple(
        Strength(most * length, proof * stress, yields * stress, tensile * stress)
        for most, proof, yields, tensile in steps
    )
    return Grade(name, standard, least * length, strengths)


# ISO 898-1:2013 tables 3, 5 and 6; SAE J429 as in Shigley, table 8-9 (grades 4, 5.2, 7 and 8.2 from
# memory). ASTM A574: 140 ksi proof and 180 ksi tensile to 1/2 in (printed loads); yield, and above
# 1/2 in, from memory. ASTM F835, button and flat: 145 ksi tensile (printed loads), 0.806 of A574's;
# its proof is that share of A574's. ISO 3506-1: tensile 500, 700, 800 MPa printed; yields 210, 450,
# 600 MPa from memory, behind printed torques. 18-8 and 316 in inches: 80 ksi tensile (ASTM F879,
# cold worked), 40 ksi yield from memory: what is not marked with more counts as no more.
GRADES: dict[str, Grade] = {
    grade.name: grade
    for grade in (
        _iso("4.6", (39, 225, 240, 400)),
        _iso("4.8", (39, 310, 340, 420)),
        _iso("5.6", (39, 280, 300, 500)),
        _iso("5.8", (39, 380, 420, 520)),
        _iso("6.8", (39, 440, 480, 600)),
        _iso("8.8", (16, 580, 640, 800), (39, 600, 660, 830)),
        _iso("9.8", (16, 650, 720, 900)),
        _iso("10.9", (39, 830, 940, 1040), alloy=True),
        _iso("12.9", (39, 970, 1100, 1220), alloy=True),
        _iso_head("08.8", 580, 640, 800),
        _iso_head("010.9", 830, 940, 1040),
        _iso_head("012.9", 970, 1100, 1220),
        *(_stainless(f"a{steel}-50", 210, 500) for steel in (2, 4)),
        *(_stainless(f"a{steel}-70", 450, 700) for steel in (2, 4)),
        *(_stainless(f"a{steel}-80", 600, 800) for steel in (2, 4)),
        _sae("1", (1.5, 33, 36, 60)),
        _sae("2", (0.75, 55, 57, 74), (1.5, 33, 36, 60)),
        _sae("4", (1.5, 65, 100, 115)),
        _sae("5", (1.0, 85, 92, 120), (1.5, 74, 81, 105)),
        _sae("5.2", (1.0, 85, 92, 120)),
        _sae("7", (1.5, 105, 115, 133)),
        _sae("8", (1.5, 120, 130, 150)),
        _sae("8.2", (1.0, 120, 130, 150)),
        _inch_socket("a574", SOCKET, "socket", (0.5, 140, 162, 180), (1.5, 135, 153, 170)),
        _inch_socket("f835", LOW_HEAD, "button", (0.625, 112.8, 130.5, 145)),
        *(
            _grade(name, INCH_STAINLESS, 0.06, INCH.value, KSI.value, ((1.0, 40, 40, 80),))
            for name in ("18-8", "316")
        ),
    )
}
GRADE = text(
    "class or grade as marked on the head: ISO 898-1, SAE J429, A574 (inch socket screws of alloy "
    "steel), F835 (inch button "
    "and flat ones), A2-70, A4-80, 18-8 (stainless)",
    *GRADES,
)
_OTHER_NAMES = other_names(
    {
        "a574": "astm a574; socket; alloy socket; shcs",
        "f835": "astm f835; f835m",
        "18-8": "18/8; 304; 302; 303; 18-8 stainless; stainless 18-8",
        "316": "316 stainless; stainless 316; 18-10",
    }
    | {
        name: f"{name.replace('-', ' ')}; {name} stainless; stainless {name}"
        for name in (f"a{steel}-{kind}" for steel in (2, 4) for kind in (50, 70, 80))
    }
)
_SOME_STAINLESS = re.compile(r"a ?[1-5]\b|stainless|inox|ss\b|v[24]a")
_WORDS = ("sae", "iso", "898-1", "3506-1", "j429", "property", "class", "grade", "gr")


def known_grade(written: object) -> Grade:
    """The grade as written (`8.8`, `grade 5`, `Gr 8`).

    Raises UnknownName for one that no standard here has.
    """
    text = str(written).replace(",", ".")
    try:
        return row("The bolt grade", text, GRADES, _OTHER_NAMES, _WORDS)[1]
    except UnknownName as error:
        if not _SOME_STAINLESS.match(plain(text)):
            raise
        error.nearest = None  # by letters `A2` is next to `2`, which is plain steel
        error.sentence = (
            f"The bolt grade {str(written)!r} is stainless steel without its strength. Read the"
            f" head again: {', '.join(name for name, found in GRADES.items() if found.stainless)}."
        )
        raise


def strength(thread: Thread, grade: object) -> tuple[Grade, Strength]:
    """The grade as written and its strength at that size.

    Raises UnknownName, and OutOfRange where the grade's standard does not cover the thread.
    """
    found = known_grade(grade)
    if not found.covers(thread.metric):
        kinds = "inch threads" if thread.metric else "metric threads"
        raise OutOfRange(
            f"{thread.name} arrived with {found.title}, which covers {kinds} alone. Read its head "
            "again.",
            "grade",
        )
    largest = found.strengths[-1].most
    if not found.least <= thread.diameter <= largest:
        raise OutOfRange(
            f"{thread.name} arrived with {found.title}, which covers {_span(found)}: there is no "
            "such screw. "
            "Ask its seller for the proof stress.",
            "thread",
        )
    return found, next(step for step in found.strengths if thread.diameter <= step.most)


def _span(grade: Grade) -> str:
    largest = grade.strengths[-1].most
    if grade.standard in (*METRIC_STANDARDS, STAINLESS):
        return f"M{grade.least * 1000:g} to M{largest * 1000:g}"
    return f"{inches_text(grade.least)} to {inches_text(largest)}"
