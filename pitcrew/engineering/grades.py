"""Bolt grades: ISO 898-1 property classes and SAE J429 grades, each with the sizes that its standard covers."""

from dataclasses import dataclass

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import inches_text
from pitcrew.engineering.constants import INCH, KSI, MEGAPASCAL
from pitcrew.engineering.figures import text
from pitcrew.engineering.lookup import other_names, row
from pitcrew.engineering.threads import Thread

ISO, SAE, SOCKET = "ISO 898-1", "SAE J429", "ASTM A574"
Step = tuple[float, float, float, float]


@dataclass(frozen=True)
class Strength:
    """Proof, yield and tensile stress in Pa for sizes above the step before, up to and including `most`, in m."""

    most: float
    proof: float
    yields: float
    tensile: float


@dataclass(frozen=True)
class Grade:
    """A grade of a standard: the sizes in m from `least` to the last strength's `most`."""

    name: str
    standard: str
    least: float
    strengths: tuple[Strength, ...]


def _iso(name: str, *steps: Step) -> Grade:
    """Steps of (largest diameter in mm, proof, yield, tensile in MPa); ISO 898-1 begins at M1.6."""
    return _grade(name, ISO, 1.6, 1e-3, MEGAPASCAL.value, steps)


def _sae(name: str, *steps: Step) -> Grade:
    """Steps of (largest diameter in inches, proof, yield, tensile in ksi); SAE J429 begins at 1/4 inch."""
    return _grade(name, SAE, 0.25, INCH.value, KSI.value, steps)


def _grade(name: str, standard: str, least: float, length: float, stress: float, steps: tuple[Step, ...]) -> Grade:
    strengths = tuple(
        Strength(most * length, proof * stress, yields * stress, tensile * stress) for most, proof, yields, tensile in steps
    )
    return Grade(name, standard, least * length, strengths)


# ISO 898-1:2013 tables 3, 5 and 6; SAE J429 as in Shigley, table 8-9 (grades 4, 5.2, 7 and 8.2 from memory);
# ASTM A574, black alloy-steel socket screws, from memory: the standard that covers #10 and smaller
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
        _iso("10.9", (39, 830, 940, 1040)),
        _iso("12.9", (39, 970, 1100, 1220)),
        _sae("1", (1.5, 33, 36, 60)),
        _sae("2", (0.75, 55, 57, 74), (1.5, 33, 36, 60)),
        _sae("4", (1.5, 65, 100, 115)),
        _sae("5", (1.0, 85, 92, 120), (1.5, 74, 81, 105)),
        _sae("5.2", (1.0, 85, 92, 120)),
        _sae("7", (1.5, 105, 115, 133)),
        _sae("8", (1.5, 120, 130, 150)),
        _sae("8.2", (1.0, 120, 130, 150)),
        _grade("a574", SOCKET, 0.06, INCH.value, KSI.value, ((0.5, 140, 162, 180), (1.5, 135, 153, 170))),
    )
}
GRADE = text("ISO 898-1 class or SAE J429 grade, as marked on the head; a574 for inch socket screws of alloy steel", *GRADES)
_OTHER_NAMES = other_names({"a574": "astm a574; socket; alloy socket; shcs"})
_WORDS = ("sae", "iso", "898-1", "j429", "property", "class", "grade", "gr")


def known_grade(written: object) -> Grade:
    """The grade as written (`8.8`, `grade 5`, `Gr 8`).

    Raises UnknownName for one that no standard here has (stainless A2-70 is ISO 3506-1, which has no proof load).
    """
    return row("The bolt grade", str(written).replace(",", "."), GRADES, _OTHER_NAMES, _WORDS)[1]


def strength(thread: Thread, grade: object) -> tuple[Grade, Strength]:
    """The grade as written and its strength at that size.

    Raises UnknownName, and OutOfRange where the grade's standard does not cover the thread.
    """
    found = known_grade(grade)
    if thread.metric != (found.standard == ISO):
        kinds = "metric threads" if found.standard == ISO else "inch threads"
        raise OutOfRange(
            f"{thread.name} arrived with {found.standard} {found.name}, which covers {kinds} alone. Read its head again.", "grade"
        )
    largest = found.strengths[-1].most
    if not found.least <= thread.diameter <= largest:
        raise OutOfRange(
            f"{thread.name} arrived with {found.standard} {found.name}, which covers {_span(found)}: there is no such screw. "
            "Ask its seller for the proof stress.",
            "thread",
        )
    return found, next(step for step in found.strengths if thread.diameter <= step.most)


def _span(grade: Grade) -> str:
    largest = grade.strengths[-1].most
    if grade.standard == ISO:
        return f"M{grade.least * 1000:g} to M{largest * 1000:g}"
    return f"{inches_text(grade.least)} to {inches_text(largest)}"
