"""Schedule: the list in the event's time, a match by hand, and an import that is looked at
first."""

import io

from pitcrew.pit.pit import Pit
from tests.web.conftest import LEAD, SCHEDULE, Client, Hands, count, last, words


def test_ours_and_all_in_local_time(lead: Client) -> None:
    ours, everybody = words(lead.get("/schedule")), words(lead.get("/schedule?all=1"))
    ours = ours[: ours.index("A match has started")]
    assert (
        "Our 3 matches" in ours
        and "Match 12" not in ours
        and "11:00" in ours
        and "blue 1" in ours
        and "Europe/Oslo" in ours
    )
    table = everybody[everybody.index("Our station") :]
    assert table.index("Match 11") < table.index("Match 12") < table.index("Match 14")


def test_a_match_by_hand(pit: Pit, lead: Client) -> None:
    data = {"name": "21", "day": "2026-03-07", "at": "13:30", "playing": "y", "station": "red 2"}
    assert "Stored: match 21, 13:30." in words(lead.post("/schedule/add", data))
    entry = last(pit, "match_run")
    assert (entry.match, entry.body) == (
        "fjord/21/1",
        {"planned": "2026-03-07T12:30:00.000Z", "ours": "red 2"},
    )
    before = count(pit)
    assert "stands like this already" in words(lead.post("/schedule/add", data))
    assert count(pit) == before


def test_a_match_by_hand_moves_a_known_one(pit: Pit, lead: Client) -> None:
    lead.post(
        "/schedule/add",
        {"name": "14", "day": "2026-03-07", "at": "11:12", "playing": "y", "station": "blue 1"},
    )
    assert last(pit, "match_run").body == {"planned": "2026-03-07T10:12:00.000Z"}


def test_a_time_that_does_not_exist_is_said(pit: Pit, lead: Client) -> None:
    """The clocks of the zone go forward from 02:00 to 03:00 on 2026-03-29 (IANA zone data)."""
    before = count(pit)
    seen = lead.post(
        "/schedule/add",
        {"name": "9", "day": "2026-03-29", "at": "02:30", "playing": "y"},
        status=400,
    )
    assert "the clocks go forward over it" in words(seen)
    assert "Leave out the slash" in words(
        lead.post("/schedule/add", {"name": "9/1", "day": "2026-03-29", "at": "12:30"}, status=400)
    )
    assert "Pick the day." in words(
        lead.post("/schedule/add", {"name": "9", "day": "", "at": "12:30"}, status=400)
    )
    assert count(pit) == before


def test_cancelled_and_on_again(pit: Pit, lead: Client) -> None:
    assert "Match 14 is cancelled." in words(
        lead.post("/schedule/cancel", {"run": "fjord/14/1", "cancelled": "yes"})
    )
    assert "Match 18" in words(lead.get("/now"))
    assert "Match 14 is on again." in words(
        lead.post("/schedule/cancel", {"run": "fjord/14/1", "cancelled": "no"})
    )
    assert "not in the schedule" in words(
        lead.post("/schedule/cancel", {"run": "fjord/99/1", "cancelled": "yes"}, status=400)
    )


MORE = (
    SCHEDULE.replace("11:00", "11:05")
    + "22,2026-03-07,14:00,4711,1,2,3\n,2026-03-07,15:00,4711,1,2,3\n25,2026-03-07,noon,4711,1,2,3\n"
)


def test_an_import_is_looked_at_first(pit: Pit, lead: Client) -> None:
    before = count(pit)
    page = lead.post("/schedule/import", {"text": MORE}, status=200)
    seen = words(page)
    assert "5 matches read: 1 new, 1 changed, 3 as they are. Nothing is stored yet." in seen
    assert (
        "time 11:00 → 11:05" in seen and "Row 7: the match has no name" in seen and "Row 8:" in seen
    )
    assert count(pit) == before
    assert "5 matches read, 2 new or changed, 2 remarks." in words(
        lead.post("/schedule/import/store", {"text": MORE})
    )
    assert count(pit) == before + 2


def test_the_same_list_again_and_an_empty_one(pit: Pit, lead: Client) -> None:
    before = count(pit)
    assert "0 new, 0 changed, 4 as they are" in words(
        lead.post("/schedule/import", {"text": SCHEDULE}, status=200)
    )
    assert "4 matches read, 0 new or changed." in words(
        lead.post("/schedule/import/store", {"text": SCHEDULE})
    )
    header = SCHEDULE.splitlines()[0]
    assert "The list holds no matches. That is fine" in words(
        lead.post("/schedule/import", {"text": header}, status=200)
    )
    assert count(pit) == before


def test_a_file_in_the_encoding_of_a_spreadsheet(lead: Client) -> None:
    raw = "match;date;time;red 1\n30;07.03.2026;16:20;4711\nFinale Ålesund;07.03.2026;17:00;4711\n".encode(
        "utf-16"
    )
    page = lead.post("/schedule/import", {"file": (io.BytesIO(raw), "list.csv")}, status=200)
    assert "2 matches read: 2 new" in words(page) and "Finale Ålesund" in page


def test_what_is_no_text_is_refused(lead: Client) -> None:
    raw = b"\x7fELF\x02\x01\x01\0\0\0\0"
    assert "list.csv is not a text file" in words(
        lead.post("/schedule/import", {"file": (io.BytesIO(raw), "list.csv")}, status=400)
    )


def test_no_list_at_all(lead: Client) -> None:
    assert "No list arrived." in words(lead.post("/schedule/import", {"text": "  "}, status=400))


def test_a_list_without_us_says_so(lead: Client) -> None:
    page = lead.post(
        "/schedule/import", {"text": "match,time,red 1\n40,2026-03-07 18:00,17\n"}, status=200
    )
    assert "No match of this list is ours. The settings call the team “4711”" in words(page)


def test_the_crew_reads_alone(crew: Client) -> None:
    page = crew.get("/schedule")
    assert (
        "Import a match list" not in page
        and "Captain, mentor and lead change the schedule." in page
    )


def test_the_likely_start_follows_the_field(pit: Pit, lead: Client, clock: Hands) -> None:
    pit.record("match_run", {"actual": "2026-03-07T09:08:00Z"}, LEAD, match="fjord/12/1")
    clock.later(10)
    assert "likely 11:08" in words(lead.get("/schedule"))


def test_a_list_that_cannot_be_read_is_not_called_fine(lead: Client) -> None:
    seen = words(lead.post("/schedule/import", {"text": "hello world\nfoo\n"}, status=200))
    assert "The list holds no matches that could be read" in seen and "fine" not in seen


def test_a_late_start_moves_the_matches_after_it(pit: Pit, lead: Client, clock: Hands) -> None:
    """The clock stands at 10:02 in the zone; match 12, printed for 10:00, is proposed."""
    page = lead.get("/schedule")
    assert (
        '<option selected value="fjord/12/1">' in page
        and 'name="start-at" type="time" value="10:02"' in page
    )
    clock.later(20)
    seen = words(lead.post("/schedule/started", {"start-run": "fjord/12/1", "start-at": "10:18"}))
    assert "Match 12 started 10:18." in seen and "likely 11:18" in seen
    assert last(pit, "match_run").body == {"actual": "2026-03-07T09:18:00.000Z"}
    assert "started 10:18" in words(lead.get("/schedule?all=1"))
    clock.later(1)
    assert "likely 11:18" not in words(
        lead.post("/schedule/started", {"start-run": "fjord/12/1", "start-at": ""})
    )


def test_a_start_to_come_or_of_no_match_is_refused(pit: Pit, lead: Client, crew: Client) -> None:
    before = count(pit)
    assert "10:20 is still to come" in words(
        lead.post("/schedule/started", {"start-run": "fjord/12/1", "start-at": "10:20"}, status=400)
    )
    assert "not on the list" in words(
        lead.post("/schedule/started", {"start-run": "fjord/99/1", "start-at": "10:00"}, status=400)
    )
    assert "Not a valid time" in words(
        lead.post("/schedule/started", {"start-run": "fjord/12/1", "start-at": "soon"}, status=400)
    )
    crew.post("/schedule/started", {"start-run": "fjord/12/1", "start-at": "10:00"}, status=403)
    assert count(pit) == before


def test_a_match_is_played_again(pit: Pit, lead: Client) -> None:
    """Match 11, ours at red 1, was to start at 09:20 and is over; its replay is the next match, and
    14 comes after it."""
    data = {"replay-run": "fjord/11/1", "replay-day": "2026-03-07", "replay-at": "10:40"}
    assert "Stored: Match 11, run 2, 10:40." in words(lead.post("/schedule/replay", data))
    entry = last(pit, "match_run")
    assert (
        entry.match == "fjord/11/2"
        and entry.body["ours"] == "red 1"
        and entry.body["stations"]["blue 1"] == ["8"]
    )
    assert "Match 11, run 2" in words(lead.get("/now"))
    lead.post("/schedule/replay", data)
    assert last(pit, "match_run").match == "fjord/11/3"
    assert "not on the list" in words(
        lead.post("/schedule/replay", {**data, "replay-run": "fjord/14/1"}, status=400)
    )
    assert "Type the time" in words(
        lead.post("/schedule/replay", {**data, "replay-at": ""}, status=400)
    )
