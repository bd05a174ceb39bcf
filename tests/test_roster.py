"""Joining: codes, tokens, withdrawal, and growing delays for wrong codes."""

import stat
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Barrier

import pytest

from pitcrew.base.errors import BadInput, NotJoined, Refused, UnknownName
from pitcrew.pit.roster import Roster

START = datetime(2026, 3, 7, 9, 0, tzinfo=UTC)


class Hands:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Hands:
    return Hands()


@pytest.fixture
def roster(tmp_path: Path, clock: Hands) -> Roster:
    return Roster(tmp_path, clock)


LIFE = timedelta(minutes=15)


def test_a_code_lets_a_phone_in_with_its_role(roster: Roster) -> None:
    joined = roster.join(roster.make_code("captain", LIFE), "  Ada   Lind ", "phone", "a")
    assert (joined.device.person, joined.device.role) == ("Ada Lind", "captain")
    assert roster.device_of_token(joined.token) == joined.device


def test_codes_may_be_typed_carelessly(roster: Roster) -> None:
    code = roster.make_code("crew", LIFE)
    assert roster.join(code.replace("-", " ").lower(), "Bo", "", "a").device.role == "crew"


def test_a_code_ends_by_time_and_by_use(roster: Roster, clock: Hands) -> None:
    once = roster.make_code("crew", LIFE, uses=1)
    roster.join(once, "Bo", "", "a")
    with pytest.raises(Refused, match="used up or too old"):
        roster.join(once, "Cy", "", "b")
    late = roster.make_code("crew", LIFE)
    clock.now += LIFE + timedelta(seconds=1)
    with pytest.raises(Refused, match="used up or too old"):
        roster.join(late, "Cy", "", "c")


def test_wrong_codes_cost_growing_time(roster: Roster, clock: Hands) -> None:
    code = roster.make_code("crew", LIFE)
    for _ in range(5):
        with pytest.raises(Refused, match="not known"):
            roster.join("AAAA-AAAA", "Bo", "", "a")
    with pytest.raises(Refused, match="Wait"):
        roster.join(code, "Bo", "", "a")
    assert roster.join(code, "Di", "", "another address").device.person == "Di"
    clock.now += timedelta(seconds=2)
    assert roster.join(code, "Bo", "", "a").device.person == "Bo"


def test_ten_thousand_misses_do_not_break_the_arithmetic(roster: Roster, clock: Hands) -> None:
    for _ in range(200):
        clock.now += timedelta(minutes=11)
        with pytest.raises(Refused, match="not known"):
            roster.join("AAAA-AAAA", "Bo", "", "a")


def test_a_withdrawn_device_is_refused(roster: Roster) -> None:
    joined = roster.join(roster.make_code("crew", LIFE), "Bo", "", "a")
    roster.withdraw(joined.device.id)
    for ask in (
        lambda: roster.device_of_token(joined.token),
        lambda: roster.device(joined.device.id),
    ):
        with pytest.raises(NotJoined, match="withdrawn"):
            ask()


def test_unknown_role_and_empty_name_are_said(roster: Roster) -> None:
    with pytest.raises(UnknownName, match="Nearest: captain"):
        roster.make_code("captin", LIFE)
    with pytest.raises(BadInput, match="Type your name"):
        roster.join(roster.make_code("crew", LIFE), "   ", "", "a")


def test_everything_is_there_after_a_restart_and_nothing_is_readable(
    roster: Roster, tmp_path: Path, clock: Hands
) -> None:
    code = roster.make_code("mentor", LIFE)
    joined = roster.join(code, "Bo", "", "a")
    again = Roster(tmp_path, clock)
    assert again.device_of_token(joined.token).role == "mentor"
    file = tmp_path / "secrets" / "roster.json"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert joined.token not in file.read_text()
    assert code.replace("-", "") not in file.read_text()


@pytest.mark.parametrize(
    "typed",
    [
        "mira",
        "Mirа",
        "МIRA",
        "Mi\u200bra",
        "\u202eMira",
        "Ｍｉｒａ",
        "Mira\ufe0f",
        "ΜΙRA",
        "M i r a",
    ],
)
def test_a_name_that_reads_like_one_that_has_joined_is_that_ones(
    roster: Roster, typed: str
) -> None:
    """Else the captain would be the second person, too, by a Cyrillic letter."""
    roster.join(roster.make_code("captain", LIFE), "Mira", "", "a")
    assert roster.join(roster.make_code("mentor", LIFE), typed, "", "b").device.person == "Mira"


@pytest.mark.parametrize("typed", ["Mara", "Mira L", "Мила", "Míra", "ميرا", "मीरा"])
def test_other_names_stay_other_people(roster: Roster, typed: str) -> None:
    roster.join(roster.make_code("captain", LIFE), "Mira", "", "a")
    assert roster.join(roster.make_code("mentor", LIFE), typed, "", "b").device.person == typed


@pytest.mark.parametrize("typed", ["", "   ", "\u200b", "\u2800", "\u202e\u202c", "x" * 41])
def test_a_name_has_letters_that_one_sees(roster: Roster, typed: str) -> None:
    with pytest.raises(BadInput, match="1 to 40 letters"):
        roster.join(roster.make_code("crew", LIFE), typed, "", "a")


@pytest.mark.parametrize("role", ["captain", "mentor", "lead"])
def test_a_code_of_who_decides_is_one_persons(roster: Roster, role: str) -> None:
    """For the phone and the laptop of one person, and not for that person's second name."""
    code = roster.make_code(role, LIFE)
    roster.join(code, "Mira", "phone", "a")
    with pytest.raises(Refused, match="devices of somebody else"):
        roster.join(code, "Bob", "phone", "a")
    assert roster.join(code, "Mira", "laptop", "a").device.person == "Mira"


def test_a_crews_code_lets_several_people_in(roster: Roster) -> None:
    code = roster.make_code("crew", LIFE)
    assert [roster.join(code, name, "", "a").device.person for name in ("Bo", "Cy")] == ["Bo", "Cy"]


def test_a_code_used_twice_at_the_same_time_lets_one_in(roster: Roster) -> None:
    code = roster.make_code("crew", LIFE, uses=1)
    start = Barrier(8)

    def try_it(number: int) -> bool:
        start.wait()
        try:
            return bool(roster.join(code, f"Eve {number}", "", str(number)))
        except Refused:
            return False

    with ThreadPoolExecutor(8) as pool:
        assert sum(pool.map(try_it, range(8))) == 1
    assert len(roster.devices()) == 1
