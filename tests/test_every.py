"""A test of many cases tries each of them and names all that fail."""

import pytest

from tests.every import every

TRIED: list[tuple[int, int]] = []


@every("width", [1, 2, 3])
@every("height depth", [(4, 5), (6, 7)])
def each_volume(width: int, height: int, depth: int) -> None:
    TRIED.append((width, height))
    assert width * height * depth in (20, 42, 84, 126), "no such volume"


def test_each_case_is_tried_and_each_that_fails_is_named() -> None:
    TRIED.clear()
    with pytest.raises(AssertionError) as failure:
        each_volume()
    assert len(TRIED) == len(set(TRIED)) == 6
    told = [line for line in str(failure.value).splitlines() if ":" in line]
    assert told[0] == "2 of 3 cases failed:"
    assert told[1::2] == ["2: 1 of 2 cases failed:", "3: 1 of 2 cases failed:"]
    assert told[2::2] == ["4-5: no such volume"] * 2


@every("number", [1, 2])
def test_a_fixture_is_given_to_each_case(number: int, tmp_path_factory: object) -> None:
    assert number in (1, 2) and tmp_path_factory is not None


def test_no_cases_are_no_test() -> None:
    with pytest.raises(AssertionError, match="no cases for number"):
        every("number", [])
