"""Match lists from CSV: headers, separators, times, zones, and what is said row by row."""

from datetime import UTC, datetime

import pytest

from pitcrew.domain.event.schedule_csv import LARGEST_LIST, read_schedule

PLAIN = (
    "match,date,time,red 1,red 2,blue 1\n9,2026-03-07,10:00,17,4,8\n10,2026-03-07,10:20,4,8,1a\n"
)


def read(text: str, zone: str = "Europe/Oslo", team: str = "17"):
    rows, problems = read_schedule(text, "fjord", zone, team)
    return rows, [problem.sentence for problem in problems]


def utc(day: int, hour: int, minute: int, month: int = 3) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=UTC)


def test_a_plain_list():
    rows, problems = read(PLAIN)
    assert not problems
    assert [(row.run, row.label, row.planned, row.ours, row.row) for row in rows] == [
        ("fjord/9/1", "9", utc(7, 9, 0), "red 1", 2),
        ("fjord/10/1", "10", utc(7, 9, 20), "", 3),
    ]
    assert rows[0].stations == {"red 1": ["17"], "red 2": ["4"], "blue 1": ["8"]}


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("head", ["", "\ufeff", "\n\n"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_separators_byte_order_mark_blank_lines_and_line_ends(mark, head, ending):
    rows, problems = read(head + PLAIN.replace(",", mark).replace("\n", ending))
    assert len(rows) == 2 and not problems and rows[0].planned == utc(7, 9, 0)


def test_columns_stand_in_any_order_under_sensible_words():
    text = 'Blue 1;Start time;"Match name";Station 2\n"17";2026-03-07 10:00;Quarter 3;"4, 8"\n'
    rows, problems = read(text)
    assert not problems and rows[0].label == "Quarter 3" and rows[0].ours == "Blue 1"
    assert rows[0].stations == {"Blue 1": ["17"], "Station 2": ["4", "8"]}


@pytest.mark.parametrize("text", ["", "  \n\n", "\ufeff", "match,time\n"])
def test_an_empty_list_has_no_rows(text):
    assert read(text)[0] == []


@pytest.mark.parametrize(
    "stamp",
    [
        "2026-03-07 10:20",
        "2026-03-07T10:20",
        "2026-03-07T10:20:00",
        "2026-03-07T10:20+01:00",
        "2026-03-07T09:20Z",
        "07.03.2026 10:20",
        "7.3.2026 10:20",
        "2026-3-7 10:20 AM",
        "7 Mar 2026 10:20",
        "March 7, 2026 10:20 a.m.",
        "Sat 7 March 2026 10:20",
        "10:20 2026-03-07",
        "Saturday, 2026-03-07, 10:20:00",
    ],
)
def test_forms_of_date_and_time_in_one_column(stamp):
    rows, problems = read(f'match;time;red 1\n9;"{stamp}";17\n')
    assert problems == [] and rows[0].planned == utc(7, 9, 20)


@pytest.mark.parametrize(
    "clock, hour, minute",
    [
        ("10:20", 9, 20),
        ("9:05", 8, 5),
        ("2:05 PM", 13, 5),
        ("2:05pm", 13, 5),
        ("12:10 AM", -1, 10),
        ("12:10 p.m.", 11, 10),
        ("23:59:30", 22, 59),
    ],
)
def test_forms_of_a_time_beside_a_date_column(clock, hour, minute):
    rows, problems = read(f"match,day,time,red 1\n9,2026-03-08,{clock},17\n")
    wanted = utc(8, hour, minute) if hour >= 0 else utc(7, 23, minute)  # the evening before, in UTC
    assert problems == [] and rows[0].planned.replace(second=0) == wanted


@pytest.mark.parametrize("other, day, month", [("3/17/2026", 7, 3), ("17/3/2026", 3, 7)])
def test_dates_with_slashes_are_read_as_the_list_shows_them(other, day, month):
    rows, problems = read(f"match,date,time,red 1\n9,3/7/2026,10:00,17\n10,{other},10:00,17\n")
    assert problems == [] and (rows[0].planned.day, rows[0].planned.month) == (day, month)


@pytest.mark.parametrize(
    "cells, said",
    [
        ("9,2026-03-07,noon,17", "Row 2: 'noon' is not a time."),
        ("9,2026-03-07,25:00,17", "Row 2: '25:00' is no time of the day."),
        ("9,2026-03-07,13:00 PM,17", "Row 2: '13:00 PM' is no time of the 12-hour clock."),
        ("9,2026-02-30,10:00,17", "Row 2: '2026-02-30' is no day of the calendar."),
        ("9,3/7/2026,10:00,17", "Row 2: '3/7/2026' can be read in two ways."),
        ("9,,10:00,17", "Row 2: '10:00' does not say which day."),
        ("9,7 Mai 2026,10:00,17", "Row 2: 'Mai' is not a month."),
        (",2026-03-07,10:00,17", "Row 2: the match has no name; the row is left out."),
        ("9,2026-03-29,02:30,17", "Row 2: 02:30 on 2026-03-29 does not exist in Europe/Oslo"),
    ],
)
def test_a_row_that_is_not_understood_is_said_and_left_out_and_the_rest_is_read(cells, said):
    rows, problems = read(f"match,date,time,red 1\n{cells}\n10,2026-03-07,10:20,17\n")
    assert [row.label for row in rows] == ["10"]
    assert len(problems) == 1 and problems[0].startswith(said)


def test_an_hour_that_comes_twice_takes_the_first_and_says_so():
    """Central European clocks go back on 25 October 2026 at 03:00."""
    rows, problems = read("match,time,red 1\n9,2026-10-25 02:30,17\n")
    assert rows[0].planned == utc(25, 0, 30, month=10)
    assert len(problems) == 1 and "comes twice in Europe/Oslo" in problems[0]


def test_a_match_without_a_time_is_listed_without_one():
    rows, problems = read("match,time,red 1\nFinal 2,,17\n")
    assert rows[0].planned is None and rows[0].label == "Final 2"
    assert problems == ["Row 2: the match has no time; it is listed without one."]


def test_columns_that_are_not_understood_are_named_and_left_out():
    rows, problems = read("match,time,red 1,weather\n9,2026-03-07 10:00,17,rain\n")
    assert len(rows) == 1 and problems == [
        "Row 1: the column 'weather' is not understood and is left out."
    ]


def test_a_list_without_a_match_column_is_refused_with_what_is_wanted():
    rows, problems = read("9,2026-03-07 10:00,17\n")
    assert rows == [] and any("no column is named match" in problem for problem in problems)


def test_a_list_without_stations_is_all_ours():
    rows, problems = read("match,time\n9,2026-03-07 10:00\n")
    assert rows[0].ours == "ours" and len(problems) == 1


@pytest.mark.parametrize("team", ["1a", "1A", " 1a ", "Team 1A", "#1a"])
def test_our_station_is_found_whatever_the_capitals_and_shown_as_written(team):
    rows, _ = read("match,time,red 1,blue 1\n9,2026-03-07 10:00,4,1A*\n", team=team)
    assert rows[0].ours == "blue 1" and rows[0].stations["blue 1"] == ["1A*"]


def test_one_team_code_in_two_spellings_is_folded_and_said():
    rows, problems = read("match,time,red 1,blue 1\n9,2026-03-07 10:00,1a,1A\n")
    assert rows[0].stations == {"red 1": ["1a"]} and problems == [
        "Row 2: the team 1a stands twice (blue 1: 1A); shown once."
    ]


def test_without_a_team_in_the_settings_no_match_is_ours():
    rows, _ = read(PLAIN, team="")
    assert [row.ours for row in rows] == ["", ""]


def test_the_same_match_twice_is_said():
    rows, problems = read(PLAIN + "9,2026-03-07,10:00,17,4,8\n9,2026-03-07,11:00,17,4,8\n")
    assert len(rows) == 2
    assert problems == [
        "Row 4: the match 9 stands in row 2 too, with the same content.",
        "Row 5: the match 9 stands in row 2 too, with other content; the first is used.",
    ]


def test_names_are_kept_as_given_but_for_the_slash_that_parts_a_run():
    rows, _ = read("match,time,red 1\nUpper 2/3,2026-03-07 10:00,17\n")
    assert (rows[0].run, rows[0].label) == ("fjord/Upper 2-3/1", "Upper 2/3")


def test_an_endless_or_broken_list_ends_with_a_sentence():
    many = "match,time,red 1\n" + "".join(
        f"{number},2026-03-07 10:00,17\n" for number in range(LARGEST_LIST + 50)
    )
    rows, problems = read(many)
    assert len(rows) == LARGEST_LIST - 1 and len(problems) == 1
    rows, problems = read(PLAIN + "11," + "x" * 200_000 + "\n")
    assert len(rows) == 2 and "not CSV" in problems[0]
