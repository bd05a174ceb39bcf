"""Robot logs on the page: dropped in, columns confirmed once, looked at; the capacity test; the
next battery with its reasons."""

import io
import re
from typing import Any

from pitcrew.pit.pit import Pit
from tests.logmaker import make_log
from tests.web.conftest import Client, Hands, count, form_token, last, words
from tests.web.test_batteries import a_battery


def drop(
    client: Client, raw: bytes, battery: str, match: str = "fjord/11/1", name: str = "match.csv"
) -> Any:
    data = {
        "file": (io.BytesIO(raw), name),
        "battery": battery,
        "match": match,
        "csrf_token": form_token(client.flask),
    }
    return client.flask.post("/batteries/logs", data=data, content_type="multipart/form-data")


def form_of(page: str) -> dict[str, str]:
    """What a browser sends of the columns page as it stands."""
    form = page.split('<form id="columns"')[1].split("</form>")[0]
    hidden = re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form)
    picked = {}
    for name, options in re.findall(
        r'<select[^>]*name="(\w+)"[^>]*>(.*?)</select>', form, re.DOTALL
    ):
        chosen = re.search(r'<option selected value="([^"]*)"', options)
        picked[name] = chosen[1] if chosen else ""
    return {name: value for name, value in hidden if name != "csrf_token"} | picked


def test_a_log_is_confirmed_once_and_then_read_at_once(pit: Pit, crew: Client) -> None:
    raw, truth = make_log(21, 20.0, columns=5)
    name = a_battery(pit)
    asked = drop(crew, raw, name)
    assert asked.status_code == 302 and "/columns" in asked.location
    page = words(crew.get(asked.location))
    assert "Which column is which?" in page and all(
        heading in page for heading in truth.names.values()
    )
    before = count(pit)
    digest = asked.location.split("/logs/")[1].split("/")[0]
    form = {
        **truth.names,
        "overruns": "",
        "phase": "",
        "battery": name,
        "match": "fjord/11/1",
        "name": "match.csv",
    }
    shown = crew.post(f"/batteries/logs/{digest}/columns", form)
    assert count(pit) == before + 1 and "What it says" in words(shown) and "log-plot" in shown
    stored = last(pit, "robot_log")
    assert (stored.match, stored.body["battery"], stored.body["rows"]) == (
        "fjord/11/1",
        name,
        len(truth.elapsed),
    )
    header, _, rest = raw.decode(
        "utf-16" if raw[:1] in (b"\xff", b"\xfe") else "utf-8-sig"
    ).partition("\n")
    again = drop(crew, (header + "\n" + rest[: len(rest) // 2]).encode(), name)
    assert "/columns" not in again.location and count(pit) == before + 2


def test_the_same_log_again_adds_nothing(pit: Pit, crew: Client) -> None:
    raw, truth = make_log(22, 20.0, columns=5)
    asked = drop(crew, raw, a_battery(pit))
    digest = asked.location.split("/logs/")[1].split("/")[0]
    form = {
        **truth.names,
        "overruns": "",
        "phase": "",
        "battery": a_battery(pit),
        "match": "",
        "name": "m.csv",
    }
    crew.post(f"/batteries/logs/{digest}/columns", form)
    before = count(pit)
    assert "in the logbook already" in words(crew.get(drop(crew, raw, a_battery(pit)).location))
    assert count(pit) == before


def test_what_is_no_log_is_said(pit: Pit, crew: Client) -> None:
    answer = drop(crew, b"hello", a_battery(pit))
    assert answer.status_code == 400 and "no columns" in words(answer.text)
    assert not list((pit.folder / "logs").glob("*.csv"))


def test_units_stand_beside_the_headings_as_they_are_written(pit: Pit, crew: Client) -> None:
    raw = "time (s),pack volts,draw\n,V,mA\n" + "".join(
        f"{at / 50},{12 - at % 7 / 10},{at % 7}000\n" for at in range(90)
    )
    head = (
        crew.get(drop(crew, raw.encode(), a_battery(pit)).location)
        .split("<thead>")[1]
        .split("</thead>")[0]
    )
    assert [words(cell) for cell in head.split("</th>")[:3]] == [
        "time (s)",
        "pack volts V",
        "draw mA",
    ]


def test_a_column_without_a_heading_can_be_picked_by_its_number(pit: Pit, crew: Client) -> None:
    raw = ",volts,,amps\n" + "".join(
        f"{at / 50},{12 - at % 7 / 10},,{at % 7}\n" for at in range(90)
    )
    asked = drop(crew, raw.encode(), a_battery(pit))
    page = crew.get(asked.location)
    assert '<option selected value="1">1</option>' in page and '<option value="3">' not in page
    form = {"time": "1", "voltage": "volts", "current": "", "overruns": "", "phase": ""}
    form |= {"battery": a_battery(pit), "match": "", "name": "m"}
    said = words(crew.post(asked.location.partition("?")[0], form))
    assert (
        "90 read" in said
        and last(pit, "robot_log").body["duration"] == 89 / 50
        and "charge" not in last(pit, "robot_log").body
    )


def test_bad_rows_are_on_the_page_and_a_fault_can_be_logged_from_it(pit: Pit, crew: Client) -> None:
    raw = (
        "time,volts,amps\n"
        + "\n".join(f"{at},{12 - at % 5 / 10},{at % 5 * 20}" for at in range(200))
        + "\n200,nan,3\n"
    )
    digest = drop(crew, raw.encode(), a_battery(pit)).location.split("/logs/")[1].split("/")[0]
    form = {
        "time": "time",
        "voltage": "volts",
        "current": "amps",
        "overruns": "",
        "phase": "",
        "name": "m.csv",
    }
    form |= {"battery": a_battery(pit), "match": "fjord/11/1"}
    page = crew.post(f"/batteries/logs/{digest}/columns", form)
    assert "200 read, 1 bad and left out" in words(
        page
    ) and "line 202: no number for voltage: nan" in words(page)
    link = page.split('href="/faults/new?')[1].split('"')[0].replace("&amp;", "&")
    assert "By the log of" in crew.get(f"/faults/new?{link}")


def test_a_capacity_test_by_points(pit: Pit, crew: Client) -> None:
    """The voltage crosses 10.5 V in the middle of the last interval: 7.6 A for 90 min are 11.4
    A*h."""
    name = a_battery(pit)
    form = {
        "current": "7,6",
        "end": "10.5 V",
        "case": "25 °C",
        "points": "0 12.7\n80 11.0\n100 10.0",
    }
    assert "11.4 A·h at 25 °C" in words(crew.post(f"/batteries/{name}/capacity", form))
    result = last(pit, "battery_test").body["result"]
    assert (
        abs(result["capacity"] - 7.6 * 90 / 60) < 1e-9 and abs(result["capacity_25"] - 11.4) < 1e-6
    )
    assert "goes down to 10.5 V" in words(
        crew.post(f"/batteries/{name}/capacity", form | {"points": "0 12.7\n80 11.0"}, status=400)
    )
    early = form | {"points": "80 11.0\n100 10.0"}
    assert "Did the discharge start at 0?" in words(
        crew.post(f"/batteries/{name}/capacity", early, status=400)
    )
    assert "Line 2 of the points" in words(
        crew.post(f"/batteries/{name}/capacity", form | {"points": "0 12.7\nx y"}, status=400)
    )


def test_a_capacity_test_from_the_testers_file(pit: Pit, crew: Client) -> None:
    """7.5 A from 0 to 5 280 s, as the voltage crosses 10.5 V, are 11 A*h: under the 11.5 that a
    team wants for matches."""
    name = a_battery(pit)
    rows = "".join(
        f"{at};{12.7 - 2.2 * at / 5280:.4f};-7,5;x\n".replace(".", ",") for at in range(0, 5600, 10)
    )
    file = (
        io.BytesIO(("Zeit (s);Spannung (V);Strom (A);Bemerkung\n" + rows).encode("latin-1")),
        "tester.csv",
    )
    form = {
        "current": "7.5",
        "end": "10.5",
        "case": "25",
        "points": "",
        "file": file,
        "csrf_token": form_token(crew.flask),
    }
    asked = crew.flask.post(
        f"/batteries/{name}/capacity", data=form, content_type="multipart/form-data"
    )
    assert asked.status_code == 302
    assert abs(last(pit, "battery_test").body["result"]["capacity"] - 11) < 0.01
    seen = words(crew.get("/batteries"))
    assert (
        "Practice only: 11 A·h at 25 °C, your team wants 11.5 A·h for matches (makers'"
        " documentation)." in seen
    )


def test_the_next_battery_says_why_and_why_not(pit: Pit, crew: Client, clock: Hands) -> None:
    name = a_battery(pit)
    crew.post(f"/batteries/{name}/move", {"to": "channel", "where": "2"})
    clock.later(5)
    seen = words(crew.get("/batteries"))
    assert (
        "Why not the others" in seen
        and "The coming matches" in seen
        and "charging, for 5 min" in seen
    )


def test_a_unit_that_cannot_be_told_is_asked_on_the_page_and_corrected_there(
    pit: Pit, lead: Client
) -> None:
    """A row every 6 counts: 8 094 s or 8.1 s. The lead first picks the wrong one, then the right
    one."""
    raw = "clock,volts,amps\n" + "".join(
        f"{at * 6},{12 - at % 7 / 10},{at % 3}\n" for at in range(1350)
    )
    digest = drop(lead, raw.encode(), a_battery(pit)).location.split("/logs/")[1].split("/")[0]
    form = {
        "time": "clock",
        "unit": "",
        "voltage": "volts",
        "current": "amps",
        "overruns": "",
        "phase": "",
    }
    form |= {"name": "m.csv", "battery": a_battery(pit), "match": "fjord/11/1"}
    path = f"/batteries/logs/{digest}/columns"
    before = count(pit)
    assert (
        "count seconds or milliseconds?" in words(lead.post(path, form, status=400))
        and count(pit) == before
    )
    wrong = words(lead.post(path, form | {"unit": "ms"}))
    assert "It lasts 8.09 s, a match" in wrong and "no forecast is made from this log" in wrong
    assert "What you pick here corrects it" in words(lead.get(path))
    right = words(lead.post(path, form | {"unit": "s"}))
    assert "Corrected by" in right
    assert (
        "It first said 8.09 s" in right and last(pit, "correction").body["body"]["duration"] == 8094
    )


def test_a_stored_log_gets_its_current_on_the_page_that_its_link_opens(
    pit: Pit, crew: Client
) -> None:
    """Nothing but the current is picked: battery, match and the other columns are those that the
    logbook has, whatever the device read in last."""
    raw = "clock,volts,x7\n" + "".join(f"{at / 10},{12 - at % 7 / 10},40\n" for at in range(1500))
    asked = drop(crew, raw.encode(), a_battery(pit)).location
    crew.post(asked.partition("?")[0], form_of(crew.get(asked)))
    first = last(pit, "robot_log").body
    assert "charge" not in first
    path = f"/batteries/logs/{first['file']}/columns"
    assert f'href="{path}"' in crew.get(path.removesuffix("/columns"))
    form = form_of(crew.get(path))
    assert (form["time"], form["voltage"], form["current"]) == ("clock", "volts", "")
    assert "Corrected by" in words(crew.post(path, form | {"current": "x7"}))
    better = last(pit, "correction").body["body"]
    assert abs(better["charge"] - 40 * 149.9 / 3600) < 0.001
    assert {better[name] == first[name] for name in ("battery", "name", "duration")} == {True}


def test_a_log_in_doubt_is_marked_in_every_list(pit: Pit, crew: Client) -> None:
    raw = "clock,volts,amps\n" + "".join(f"{at / 10},{363 - at % 7},40\n" for at in range(1500))
    asked = drop(crew, raw.encode(), a_battery(pit)).location
    crew.post(
        asked.partition("?")[0],
        form_of(crew.get(asked)) | {"time": "clock", "voltage": "volts", "current": "amps"},
    )
    assert last(pit, "robot_log").body["doubts"]
    fleet, own = (
        crew.get("/batteries"),
        crew.get(f"/batteries/logs/{last(pit, 'robot_log').body['file']}"),
    )
    assert "in doubt" in words(fleet.split('id="logs"')[1]) and "in doubt" in words(
        own.split('id="earlier"')[1]
    )
    assert "last log in doubt" in words(fleet)


def test_the_columns_page_shows_what_the_log_would_say(pit: Pit, crew: Client) -> None:
    """Length, volts and charge before anything is stored: 150 s at 40 A are 40 * 149.9 / 3600 =
    1.67 A*h; the median of 12.0 to 11.4 V is 11.7 V."""
    raw = "clock,volts,x7\n" + "".join(f"{at / 10},{12 - at % 7 / 10},40\n" for at in range(1500))
    asked = drop(crew, raw.encode(), a_battery(pit)).location
    before = count(pit)
    page = crew.get(asked)
    says = words(page.split('id="says"')[1].split("</section>")[0])
    assert "length 150 s" in says and "11.7 V in the middle, 11.4 V at the lowest" in says
    assert "no column holds them" in says
    path, form = asked.partition("?")[0], form_of(page)
    says = words(
        crew.post(path, form | {"current": "x7", "look": "1"}, 200)
        .split('id="says"')[1]
        .split("</section>")[0]
    )
    assert "drawn 1.67 A·h" in says and "40 A on average" in says
    assert count(pit) == before, "nothing is stored until the log is read"
    says = words(
        crew.post(path, form | {"unit": "ms", "look": "1"}, 200)
        .split('id="says"')[1]
        .split("</section>")[0]
    )
    assert "0.15 s" in says, "the length that looks wrong is seen, with its doubt"
    assert "It lasts" in says


def test_a_clock_that_is_not_to_be_told_is_asked_in_the_browser(pit: Pit, lead: Client) -> None:
    """The headings are known from an earlier log; a row every 6 counts may be 8094 s or 8.1 s."""
    raw = "clock,volts,amps\n" + "".join(f"{at / 10},{12 - at % 7 / 10},2\n" for at in range(1500))
    asked = drop(lead, raw.encode(), a_battery(pit)).location
    lead.post(asked.partition("?")[0], form_of(lead.get(asked)))
    wild = "clock,volts,amps\n" + "".join(
        f"{at * 6},{12 - at % 7 / 10},{at % 3}\n" for at in range(1350)
    )
    answer = drop(lead, wild.encode(), a_battery(pit))
    assert answer.status_code == 302 and "/columns" in answer.location
    says = words(lead.get(answer.location).split('id="says"')[1].split("</section>")[0])
    assert "count seconds or milliseconds?" in says and "--columns" not in says
