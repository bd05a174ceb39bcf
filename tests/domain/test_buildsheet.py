"""Build sheets: what loads, and what each kind of mistake says."""

import tomllib

import pytest

from pitcrew.base.accuracy import Accuracy
from pitcrew.base.paths import ROOT
from pitcrew.domain.robot.buildsheet import Robot, parse_build_sheet
from pitcrew.domain.robot.mistakes import Mistake

SHEET = """
[robot]
label = "Gannet"
length = "820 mm"
width = "28 in"
[robot.mass]
chassis = "52.2 kg"
bumpers = "20 lb"
battery = "5.9 kg"
[instruments]
ruler = "0.5 mm"
torque_wrench = "4 %"
[lowering]
steps = ["Lift.", "Pull the cord.", "Lower."]
people = ["left", "right", "cord"]
[[zone]]
id = "mast"
label = "Mast"
box = [31, 30, 38, 30]
energies = ["raised lift", "springs"]
release = ["Lower the lift."]
[[part]]
id = "lift.chain.left"
label = "Lift chain, left"
zone = "mast"
kind = "roller-chain"
climb_critical = true
size = "25"
span = "412 mm"
duty = "shock"
teeth = 16
"""


def read(text: str) -> tuple[Robot | None, list[Mistake]]:
    return parse_build_sheet(tomllib.loads(text), "robots/gannet.toml")


def changed(old: str, new: str) -> tuple[Robot | None, list[Mistake]]:
    assert old in SHEET
    return read(SHEET.replace(old, new))


def test_a_right_sheet_has_no_mistakes_and_is_si_inside() -> None:
    robot, mistakes = read(SHEET)
    assert mistakes == [] and robot is not None
    assert (robot.name, robot.label, robot.length) == ("gannet", "Gannet", pytest.approx(0.82))
    assert robot.width == pytest.approx(28 * 0.0254)
    assert robot.mass == pytest.approx(52.2 + 20 * 0.45359237 + 5.9)
    assert robot.instruments["ruler"] == pytest.approx(0.0005) and robot.instruments[
        "torque_wrench"
    ] == pytest.approx(4)
    assert robot.instruments["calliper"] == pytest.approx(0.0001), "what is left out has a default"
    assert robot.zones["mast"].box == (31, 30, 38, 30) and robot.lowering.people[2] == "cord"
    part = robot.parts["lift.chain.left"]
    assert part.subsystem == "lift" and part.climb_critical
    assert part.specs == {
        "size": "25",
        "span": pytest.approx(0.412),
        "duty": "shock",
        "teeth": 16,
        "fixed_centres": False,
        "pitches": 16,
    }
    assert part.typed["span"] == "412 mm" and "pitches" not in part.typed


@pytest.mark.parametrize(
    ("old", "new", "place", "said"),
    [
        ('span = "412 mm"', "", "part lift.chain.left, span", "span: free span of the slack side"),
        ('span = "412 mm"', "span = 412", "part lift.chain.left, span", "has no unit"),
        ('span = "412 mm"', 'span = "412"', "part lift.chain.left, span", "has no unit"),
        (
            'span = "412 mm"',
            'span = "412 V"',
            "part lift.chain.left, span",
            "is a voltage; wanted a length",
        ),
        ('span = "412 mm"', 'span = "-4 mm"', "part lift.chain.left, span", "at least 10 mm"),
        ('span = "412 mm"', 'span = "nan mm"', "part lift.chain.left, span", "is not a number"),
        ("teeth = 16", "teeth = 16.5", "part lift.chain.left, teeth", "a whole number"),
        ("teeth = 16", "teeth = 0", "part lift.chain.left, teeth", "at least 6"),
        ("teeth = 16", "teeth = true", "part lift.chain.left, teeth", "a whole number"),
        ('duty = "shock"', 'duty = "shok"', "part lift.chain.left, duty", "Nearest: shock"),
        (
            'duty = "shock"',
            'duty = "shock"\nspann = "4 mm"',
            "part lift.chain.left, spann",
            "Nearest: span",
        ),
        (
            'kind = "roller-chain"',
            'kind = "roler-chain"',
            "part lift.chain.left, kind",
            "Nearest: roller-chain",
        ),
        (
            "climb_critical = true",
            'climb_critical = "yes"',
            "part lift.chain.left, climb_critical",
            "true or false without quotes",
        ),
        ('zone = "mast"', 'zone = "mst"', "part lift.chain.left, zone", "Nearest: mast"),
        ('id = "lift.chain.left"', 'id = "chain"', "part chain, id", "two or more dotted words"),
        ('id = "lift.chain.left"', 'id = "Lift Chain"', "part Lift Chain, id", "small letters"),
        (
            "box = [31, 30, 38, 30]",
            "box = [80, 30, 38, 30]",
            "zone mast, box",
            "inside the outline",
        ),
        ("box = [31, 30, 38, 30]", "box = [31, 30, 38]", "zone mast, box", "inside the outline"),
        (
            'energies = ["raised lift", "springs"]',
            'energies = ["raised lit"]',
            "zone mast, energies",
            "Nearest: raised lift",
        ),
        ('chassis = "52.2 kg"', "", "robot.mass, chassis", "without bumpers and battery"),
        (
            'chassis = "52.2 kg"',
            'chassis = "52.2 mm"',
            "robot.mass, chassis",
            "is a length; wanted a mass",
        ),
        ('ruler = "0.5 mm"', 'rulr = "0.5 mm"', "instruments, rulr", "Nearest: ruler"),
        ('ruler = "0.5 mm"', 'ruler = "0.5 V"', "instruments, ruler", "is a voltage"),
        ("[lowering]", "[lowring]", "file, lowring", "Nearest: lowering"),
        ('label = "Gannet"', "", "robot, label", "the robot's name"),
    ],
)
def test_each_mistake_names_file_place_and_what_is_wanted(
    old: str, new: str, place: str, said: str
) -> None:
    robot, mistakes = changed(old, new)
    assert robot is not None, "the rest loads"
    found = next(mistake for mistake in mistakes if mistake.place == place)
    assert found.file == "robots/gannet.toml" and said in found.sentence
    assert all(mistake.climb for mistake in mistakes), (
        "a file with climb-critical parts blocks the climb"
    )


def test_one_bare_mass_is_refused_with_the_reason() -> None:
    masses = SHEET[SHEET.index("[robot.mass]") : SHEET.index("[instruments]")]
    robot, mistakes = changed(masses, 'mass = "61 kg"\n')
    assert robot is not None and robot.mass is None
    assert [mistake.place for mistake in mistakes] == ["robot, mass"]
    assert "30 %" in mistakes[0].sentence and "bumpers" in mistakes[0].sentence


def test_a_mass_that_is_missing_is_not_guessed() -> None:
    robot, mistakes = changed('bumpers = "20 lb"', "")
    assert robot is not None and robot.mass is None and robot.mass_chassis == pytest.approx(52.2)
    assert [mistake.place for mistake in mistakes] == ["robot.mass, bumpers"]


def test_ids_twice_are_named_and_the_first_stays() -> None:
    robot, mistakes = read(SHEET + SHEET[SHEET.index("[[zone]]") :].replace("412", "300"))
    assert robot is not None and robot.parts["lift.chain.left"].specs["span"] == pytest.approx(
        0.412
    )
    assert {(mistake.place, mistake.found) for mistake in mistakes} == {
        ("zone mast", "the same id twice"),
        ("part lift.chain.left", "the same id twice"),
    }


def test_what_did_not_load_is_missing_not_absent() -> None:
    """A part with a wrong field stays on the list without that field; a wrong climb mark counts as
    critical."""
    robot, _ = changed('span = "412 mm"', 'span = "412"')
    assert robot is not None and "span" not in robot.parts["lift.chain.left"].specs
    robot, _ = changed("climb_critical = true", 'climb_critical = "yes"')
    assert robot is not None and robot.parts["lift.chain.left"].climb_critical
    robot, mistakes = changed("climb_critical = true", "")
    assert (
        robot is not None and not robot.parts["lift.chain.left"].climb_critical and mistakes == []
    )


def test_a_sheet_without_climb_critical_parts_does_not_block_the_climb() -> None:
    _, mistakes = read(
        SHEET.replace("climb_critical = true", "").replace("teeth = 16", "teeth = 0")
    )
    assert [mistake.climb for mistake in mistakes] == [False]


def test_a_part_that_cannot_be_named_blocks_the_climb() -> None:
    """No one knows what it was."""
    _, mistakes = read(
        SHEET.replace("climb_critical = true", "").replace('id = "lift.chain.left"\n', "")
    )
    assert mistakes and all(mistake.climb for mistake in mistakes)


def test_no_robot_table_means_no_robot() -> None:
    robot, mistakes = read('[[zone]]\nid = "a"\nlabel = "A"\nbox = [0, 0, 10, 10]')
    assert robot is None and mistakes[0].place == "file, robot" and mistakes[0].climb


@pytest.mark.parametrize(
    "text",
    [
        "robot = 3",
        "zone = 4\n[robot]",
        "part = [1]\n[robot]",
        "[robot]\nmass = []",
        "[robot.mass]\nchassis = {}",
        "[robot]\nlabel = 3",
        "instruments = 2\n[robot]",
        "[[part]]\nid = 4\n[robot]",
        "[[part]]\nkind = [1]\n[robot]",
    ],
)
def test_wrong_shapes_are_mistakes_not_crashes(text: str) -> None:
    _, mistakes = read(text)
    assert mistakes and all(mistake.sentence for mistake in mistakes)


def test_a_row_has_file_place_found_wanted_nearest() -> None:
    mistake = Mistake("robots/a.toml", "part x, span", '"4"', "a length", "span")
    assert mistake.row() == 'robots/a.toml, part x, span, "4", a length, nearest: span'


CABLE = """
[[part]]
id = "lift.cable"
label = "Cable"
zone = "mast"
kind = "wire-rope"
diameter = "1/16 in"
construction = "7x7"
material = "stainless"
sheave = "1 in"
termination = "sleeve"
load = "150 N"
""".replace("1/16", "0.0625")
CORD = (
    '\n[[part]]\nid = "lift.cord"\nlabel = "Cord"\nzone = "mast"\nkind = "cord"\ndiameter = "3'
    ' mm"\nknot = "bowline"\n'
)


@pytest.mark.parametrize(
    ("old", "new", "place", "said"),
    [
        ('size = "25"', 'size = "26"', "part lift.chain.left, size", "Nearest: 25."),
        (
            'construction = "7x7"',
            'construction = "7x8"',
            "part lift.cable, construction",
            "Nearest: 7x7.",
        ),
        (
            'material = "stainless"',
            'material = "stainles"',
            "part lift.cable, material",
            "Nearest: stainless.",
        ),
        (
            'termination = "sleeve"',
            'termination = "sleev"',
            "part lift.cable, termination",
            "Nearest: sleeve.",
        ),
        (
            'termination = "sleeve"',
            'termination = "95"',
            "part lift.cable, termination",
            'Write 0.95 or "95 %"',
        ),
        ('knot = "bowline"', 'knot = "bowlin"', "part lift.cord, knot", "Nearest: bowline."),
        (
            'diameter = "0.0625 in"',
            'diameter = "2 mm"',
            "part lift.cable, diameter",
            "holds 3/64 in, 1/16 in, 3/32 in. Take the maker's",
        ),
        (
            'duty = "shock"',
            'duty = "shok"',
            "part lift.chain.left, duty",
            "one of normal, shock. Nearest: shock.",
        ),
    ],
)
def test_a_word_that_its_table_lacks_is_a_mistake_with_the_nearest_named_once(
    old: str, new: str, place: str, said: str
) -> None:
    sheet = SHEET + CABLE + CORD
    assert read(sheet)[1] == []
    _, (mistake,) = read(sheet.replace(old, new))
    assert (
        mistake.place == place
        and said in mistake.sentence
        and mistake.sentence.lower().count("nearest") == bool(mistake.nearest)
    )


def test_a_rope_with_its_maker_s_breaking_force_need_not_be_in_the_table() -> None:
    odd = CABLE.replace('"7x7"', '"8x36"').replace('"0.0625 in"', '"7 mm"')
    assert {mistake.place for mistake in read(SHEET + odd)[1]} == {"part lift.cable, construction"}
    assert read(SHEET + odd + 'strength = "30 kN"\n')[1] == []


def test_what_the_climb_names_is_climb_critical_marked_or_not() -> None:
    sheet = (ROOT / "checklists" / "robots" / "tern.toml").read_text(encoding="utf-8")
    robot, _ = parse_build_sheet(
        tomllib.loads(sheet.replace("climb_critical = true\n", "")), "robots/tern.toml"
    )
    assert robot is not None and robot.hold_path is not None
    critical = {part.id for part in robot.parts.values() if part.climb_critical}
    assert critical == {
        "climb.hook",
        "climb.rope",
        "climb.drum",
        "climb.shaft",
        "climb.ratchet",
        "climb.mount-bolts",
        "climb.drum-bolts",
    }


BOLT = """
[[part]]
id = "intake.bolts"
label = "Bolts"
zone = "mast"
kind = "bolted-joint"
thread = "1/4-20"
grade = "5"
head = "hex"
plate = "nut"
layers = "6061-T6; steel"
condition = "zinc"
locking = "thread-locker"
"""


@pytest.mark.parametrize(
    "plastic",
    [
        "polycarbonate",
        "PC/ABS",
        "ABS",
        "acrylic; 6061-T6",
        "6061-T6; PMMA",
        "clear polycarbonate 3 mm",
    ],
)
@pytest.mark.parametrize("key", ["layers", "plate"])
def test_thread_locker_where_it_cracks_the_plastic_is_a_mistake(plastic: str, key: str) -> None:
    """A car maker's test method (FLTM BO 127-03) lists PC, PC/ABS, ABS, SMA, ASA, PPO and PMMA as
    stress-cracking; adhesive makers warn of anaerobic thread-locker on them."""
    assert read(SHEET + BOLT)[1] == []
    old = {"layers": 'layers = "6061-T6; steel"', "plate": 'plate = "nut"'}[key]
    _, mistakes = read(SHEET + BOLT.replace(old, f'{key} = "{plastic}"'))
    found = [mistake for mistake in mistakes if mistake.place == "part intake.bolts, locking"]
    assert (
        len(found) == 1
        and not found[0].notice
        and "nylon insert, or none with a paint line" in found[0].sentence
    )


@pytest.mark.parametrize("fine", ["nylon; 6061-T6", "acetal", "spacer; 6061-T6", "birch plywood"])
def test_other_materials_take_thread_locker(fine: str) -> None:
    found = read(SHEET + BOLT.replace("6061-T6; steel", fine))[1]
    assert [mistake for mistake in found if not mistake.notice] == []


def test_a_thread_locked_joint_is_asked_what_it_clamps_but_loads_without() -> None:
    robot, (found,) = read(SHEET + BOLT.replace('layers = "6061-T6; steel"\n', ""))
    assert (
        found.notice
        and found.place == "part intake.bolts, layers"
        and "cracks polycarbonate" in found.sentence
    )
    assert robot is not None and "intake.bolts" in robot.parts


def test_a_nylon_nut_of_the_hold_path_is_never_used_again() -> None:
    nylon = BOLT.replace("thread-locker", "nylon insert") + 'nut = "finger"\n'
    assert read(SHEET + nylon)[1] == []
    _, (found,) = read(SHEET + nylon + "climb_critical = true\n")
    assert (
        found.place == "part intake.bolts, nut"
        and found.climb
        and "new nylon nut each time" in found.sentence
    )


@pytest.mark.parametrize(
    ("typed", "share", "floor"),
    [
        ("20 mV", 0, 0.02),
        ("0.5 %", 0.005, 0),
        ("0.5 % + 20 mV", 0.005, 0.02),
        ("±(0.5 % + 2 x 10 mV)", 0.005, 0.02),
        ("10 mV + 0,5 %", 0.005, 0.01),
    ],
)
def test_a_meter_has_a_share_of_its_reading_and_a_floor(
    typed: str, share: float, floor: float
) -> None:
    """Makers state it so: 2 V at ±(0.5 % + 3 digits of 1 mV) is ±13 mV; 12.70 V at ±(0.5 % + 2
    digits of 10 mV) is ±84 mV."""
    robot, mistakes = read(SHEET.replace('ruler = "0.5 mm"', f'voltmeter = "{typed}"'))
    assert mistakes == [] and robot is not None
    found = robot.accuracies["voltmeter"]
    assert (found.share, found.floor) == (pytest.approx(share), pytest.approx(floor))
    assert Accuracy(0.005, 0.003).at(2.0) == pytest.approx(0.013) and Accuracy(0.005, 0.02).at(
        12.7
    ) == pytest.approx(0.0835)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("0.5", "no unit"),
        ("0.5 % + 2 digits", "how large a digit"),
        ("5 mm", "wanted a voltage"),
        ("-1 %", "below 0"),
    ],
)
def test_an_accuracy_that_cannot_be_read_says_what_is_wanted(typed: str, said: str) -> None:
    _, (mistake,) = read(SHEET.replace('ruler = "0.5 mm"', f'voltmeter = "{typed}"'))
    assert mistake.place == "instruments, voltmeter" and said in mistake.sentence


def test_a_torqued_joint_is_asked_what_it_clamps_but_loads_without() -> None:
    """Polycarbonate bears 14 MPa for long (makers' figure, from memory): a torque that was worked
    out for metal crushes it."""
    joint = BOLT.replace("thread-locker", "none")
    robot, told = read(SHEET + joint)
    assert robot is not None and "intake.bolts" in robot.parts and told == []
    robot, told = read(SHEET + joint.replace('layers = "6061-T6; steel"\n', ""))
    assert robot is not None and "intake.bolts" in robot.parts
    assert [found.notice for found in told] == [True] and "bears little" in told[0].sentence


def test_a_caliper_is_read_in_american_spelling_too() -> None:
    robot, mistakes = changed('ruler = "0.5 mm"', 'ruler = "0.5 mm"\ncaliper = "0.02 mm"')
    assert mistakes == [] and robot is not None
    assert robot.instruments["calliper"] == pytest.approx(0.00002)
