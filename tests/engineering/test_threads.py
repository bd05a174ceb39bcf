"""Threads: how they are written, and limits of size against published tables and an independent
library."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.errors import OutOfRange, UnknownName
from pitcrew.engineering.thread_limits import limits, shear_areas
from pitcrew.engineering.threads import THREADS, Thread, screw, thread
from tests.every import every


@every("typed name",
    [("M6", "M6"), ("m6", "M6"), ("M6x1", "M6"), ("M6 x 1.0", "M6"), ("M8×1.25", "M8"), ("M8-1.25", "M8"), ("M8x1", "M8x1"),
     ("M8 x 1.25 - 6g", "M8"), ("M3,5", "M3.5"), ("10-32", "10-32"), ("#10-32", "10-32"), ("No. 10-32 UNF", "10-32"), ("1/4-20", "1/4-20"),
     ('1/4"-20 UNC-2A', "1/4-20"), ("¼-20", "1/4-20"), ("1½-6", "1-1/2-6"), ("M5X.8", "M5"), ("m6 x ,75", "M6x0.75"),
     ("M6x20", "M6"), ("M6 x 20 mm", "M6"), ("M8x1x30", "M8x1"), ('1/4-20 x 1"', "1/4-20"), ("10-32 UNF x ½", "10-32"),
     ("1 1/8-12", "1-1/8-12"), ("1-8", "1-8"), ("1-64", "1-64"), ("0-80", "0-80")],
)  # fmt: skip
def test_threads_are_read_as_people_write_them(typed: str, name: str) -> None:
    assert thread(typed).name == name


@every("typed name millimetres",
    [("M6x20", "M6", 20), ("M6 x 20 mm", "M6", 20), ("M6x1x20", "M6", 20), ("M8x1x30", "M8x1", 30), ("M8-1.25x16", "M8", 16),
     ("M3x8", "M3", 8), ("M10x1.25", "M10x1.25", None), ("M39x4", "M39", None), ("M6x20-6g", "M6", 20), ("M6", "M6", None),
     ("M1.6x3", "M1.6", 3), ('1/4-20 x 1"', "1/4-20", 25.4), ("1/4-20x1 1/2", "1/4-20", 38.1), ("10-32 x ½ in", "10-32", 12.7),
     ('#10-32 x .75"', "10-32", 19.05), ("10-32 x 20 mm", "10-32", 20), ("3/8-16", "3/8-16", None)],
)  # fmt: skip
def test_a_length_behind_the_thread_is_told_apart_from_a_pitch(
    typed: str, name: str, millimetres: float | None
) -> None:
    found, length = screw(typed)
    assert found.name == name
    assert length == (None if millimetres is None else pytest.approx(millimetres / 1000, rel=1e-12))


@given(
    st.sampled_from(sorted(THREADS)), st.integers(2, 200), st.sampled_from((" x ", "x", "X", " × "))
)
def test_every_thread_is_read_back_with_and_without_a_length(
    name: str, length: int, mark: str
) -> None:
    assert screw(name) == (THREADS[name], None)
    found, read = screw(f"{name}{mark}{length} mm")
    assert (found.name, read) == (name, pytest.approx(length / 1000))


@every("typed nearest", [("1/4-21", "1/4-"), ("M6.3", "M6"), ("10-33", "10-32"), ("M8x1.3", "M8")])
def test_a_thread_that_does_not_exist_gives_the_nearest(typed: str, nearest: str) -> None:
    with pytest.raises(UnknownName) as refusal:
        thread(typed)
    assert refusal.value.nearest is not None and refusal.value.nearest.startswith(nearest)


def test_one_inch_and_number_one_are_told_apart() -> None:
    assert thread("1-8").diameter == pytest.approx(0.0254)
    assert thread("1-64").diameter == pytest.approx(0.073 * 0.0254)


def test_inch_limits_are_those_of_the_standard() -> None:
    """screw_thread_lib 0.0.6 prints ASME B1.1-2019 limits of eleven threads; ours are computed and
    must meet every digit."""
    from screw_thread_lib.data.ASME import ASME_UN_2A2B_dict

    for name, printed in ASME_UN_2A2B_dict.items():
        found = limits(thread(name))
        ours = (found.major_least, found.pitch_least, found.pitch_most, found.minor_most)
        for value, key in zip(ours, ("dmin", "d2min", "D2max", "D1max"), strict=True):
            assert value / 0.0254 == pytest.approx(printed[key], abs=1e-9), (name, key)


# DIN 13 limits as printed in a public table of metric threads: d min, d2 min (6g), D2 max, D1 max
# (6H), in mm
METRIC = {
    "M1.6": (1.496, 1.291, 1.458, 1.321), "M2": (1.886, 1.654, 1.830, 1.679), "M2.5": (2.380, 2.117, 2.303, 2.138),
    "M3": (2.874, 2.580, 2.775, 2.599), "M3.5": (3.354, 3.004, 3.222, 3.010), "M4": (3.838, 3.433, 3.663, 3.422),
    "M5": (4.826, 4.361, 4.605, 4.334), "M6": (5.794, 5.212, 5.500, 5.153), "M8": (7.760, 7.042, 7.348, 6.912),
    "M8x1": (7.794, 7.212, 7.500, 7.153), "M10": (9.732, 8.862, 9.206, 8.676), "M10x1.25": (9.760, 9.042, 9.348, 8.912),
    "M12": (11.70, 10.68, 11.063, 10.441), "M12x1.25": (11.76, 11.03, 11.368, 10.912), "M16": (15.68, 14.50, 14.913, 14.210),
    "M20": (19.62, 18.16, 18.600, 17.744), "M24": (23.58, 21.80, 22.316, 21.252), "M30": (29.52, 27.46, 28.007, 26.771),
}  # fmt: skip


@every("name", METRIC)
def test_metric_limits_are_those_of_the_standard(name: str) -> None:
    found = limits(thread(name))
    digits = (
        0.0012 if thread(name).diameter < 0.011 else 0.0105
    )  # the table prints larger bolts to two decimals
    for value, printed, slack in zip(
        (found.major_least, found.pitch_least, found.pitch_most, found.minor_most),
        METRIC[name],
        (digits, digits, 0.0012, 0.0012),
        strict=True,
    ):
        assert value * 1000 == pytest.approx(printed, abs=slack)


def test_metric_tolerances_follow_the_formula_of_the_standard() -> None:
    """ISO 965-1 builds its table from Td2 = 90·P^0.4·d^0.1 (µm, mm, d the mean of the range),
    rounded to one step of about 6 %."""
    for found in THREADS.values():
        if found.metric:
            size, pitch = found.diameter * 1000, found.pitch * 1000
            tolerance = (found.pitch_diameter - limits(found).pitch_least) * 1e6
            clearance = 15 + 11 * pitch  # es of position g
            assert tolerance - clearance == pytest.approx(90 * pitch**0.4 * size**0.1, rel=0.10), (
                found.name
            )


def test_areas_agree_with_the_independent_library() -> None:
    from screw_thread_lib import Assembly
    from screw_thread_lib.data.ASME import ASME_UN_2A2B_dict

    for name in ASME_UN_2A2B_dict:
        library, ours = Assembly.from_ASME_B11_UN_2A2B(name), thread(name)
        assert ours.area / 0.0254**2 == pytest.approx(library.As_FEDSTD_1b(), rel=1e-12)
        bolt, nut = (area / 0.0254 for area in shear_areas(ours, 1.0))
        assert bolt == pytest.approx(library.ASs_min_FEDSTD_4a(), rel=1e-9)
        assert nut == pytest.approx(library.ASn_min_FEDSTD_2a(), rel=1e-9)
    for name in ("M8", "M12", "M20", "M24"):
        pitch = {"M8": "1.25", "M12": "1.75", "M20": "2.5", "M24": "3"}[name]
        library = Assembly.from_database("ASME_M_6g6H", f"{name}-{pitch}")
        assert thread(name).area / 0.0254**2 == pytest.approx(library.As_ISO(), rel=1e-9)


def test_every_thread_has_limits_and_leaves_an_area() -> None:
    for found in THREADS.values():
        bolt, nut = shear_areas(found, found.diameter)
        assert 0 < bolt < nut, found.name
        assert found.area < math.pi / 4 * found.diameter**2


def test_a_thread_outside_the_table_of_tolerances_is_refused() -> None:
    with pytest.raises(OutOfRange, match="ISO 965-1"):
        limits(Thread("M6x3", 0.006, 0.003, True))
