"""Joining: codes, tokens, withdrawal, and growing delays for wrong codes."""

import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from pitcrew.errors import BadInput, NotJoined, Refused, UnknownName
from pitcrew.roster import Roster

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
    for ask in (lambda: roster.device_of_token(joined.token), lambda: roster.device(joined.device.id)):
        with pytest.raises(NotJoined, match="withdrawn"):
            ask()


def test_unknown_role_and_empty_name_are_said(roster: Roster) -> None:
    with pytest.raises(UnknownName, match="Nearest: captain"):
        roster.make_code("captin", LIFE)
    with pytest.raises(BadInput, match="Type your name"):
        roster.join(roster.make_code("crew", LIFE), "   ", "", "a")


def test_everything_is_there_after_a_restart_and_nothing_is_readable(roster: Roster, tmp_path: Path, clock: Hands) -> None:
    code = roster.make_code("mentor", LIFE)
    joined = roster.join(code, "Bo", "", "a")
    again = Roster(tmp_path, clock)
    assert again.device_of_token(joined.token).role == "mentor"
    file = tmp_path / "secrets" / "roster.json"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert joined.token not in file.read_text()
    assert code.replace("-", "") not in file.read_text()
