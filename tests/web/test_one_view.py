"""One view a request: what a screen shows several times is worked out once."""

from typing import Any

import pytest

from pitcrew.domain.batteries import fleet as batteries
from pitcrew.domain.climb import clearance
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.now.view import view_of
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from tests.web.conftest import LEAD, Client, Hands, slack

CAPTAIN = Author("laptop", "Mira", "captain")


class Counted:
    """How often a function of the program runs, whoever calls it."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.patch, self.times = patch, {}

    def count(self, owner: Any, name: str) -> None:
        original = getattr(owner, name)
        self.times[name] = 0

        def counting(*args: Any, **named: Any) -> Any:
            self.times[name] += 1
            return original(*args, **named)

        self.patch.setattr(owner, name, counting)


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> Counted:
    """Counts the moments that are built, the folds of the battery records (one a fleet), and how
    often it is worked out what became of a signature."""
    found = Counted(monkeypatch)
    found.count(Moment, "__init__")
    found.count(batteries, "records")
    found.count(clearance, "_decided")
    return found


def sign(pit: Pit, counted: Counted) -> None:
    """A signature, so that there is a decision to judge; the count starts after it, as taking an
    entry in looks at the moment, too."""
    with pit.reading() as state:
        seen = state.head
    pit.record("clearance", {"decision": "cleared", "seen_seq": seen}, CAPTAIN)
    counted.times = dict.fromkeys(counted.times, 0)


def test_now_builds_one_moment_and_folds_the_fleet_once(
    pit: Pit, crew: Client, counted: Counted
) -> None:
    pit.record("battery_move", {"battery": "2", "to": "robot", "where": "otter"}, LEAD)
    sign(pit, counted)
    crew.get("/now")
    assert counted.times == {"__init__": 1, "records": 1, "_decided": 1}


def test_a_view_ends_with_the_next_entry(pit: Pit, clock: Hands) -> None:
    """What was worked out stays as it was; whoever looks after an entry needs a new view."""
    with pit.reading() as state:
        before = view_of(pit.definitions, state, clock())
        due = {item.key for item in before.due}
        assert before.is_current(pit.definitions, state)
    pit.record("reading", slack(pit, 10), LEAD)
    with pit.reading() as state:
        assert not before.is_current(pit.definitions, state)
        after = view_of(pit.definitions, state, clock())
        assert due - {item.key for item in after.due} == {"chain-slack@lift.chain.left"}
        assert {item.key for item in before.due} == due


@pytest.mark.parametrize(
    ("address", "folds"),
    [("/climb", 0), ("/faults", 0), ("/batteries", 1), ("/api/snapshot", 1), ("/print/handoff", 1)],
)
def test_each_screen_folds_the_fleet_once_and_only_where_it_shows_batteries(
    pit: Pit, crew: Client, counted: Counted, address: str, folds: int
) -> None:
    sign(pit, counted)
    assert crew.flask.get(address, headers=crew.bearer).status_code == 200
    assert counted.times["__init__"] == 1 and counted.times.get("records", 0) == folds
