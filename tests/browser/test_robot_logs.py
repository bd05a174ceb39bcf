"""A robot's log in a real browser: chosen or dropped on Batteries, its columns confirmed once; and
by command beside the server."""

import base64
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")

from playwright.sync_api import expect

from pitcrew.base.clock import format_instant, system_clock
from pitcrew.pit.commands import AT_THE_LAPTOP
from pitcrew.pit.pit import open_pit
from pitcrew.pit.verify import verify_folder
from tests.browser.laptop import Laptop
from tests.browser.phone import Phone
from tests.logmaker import electrical
from tests.server import pitcrew

pytestmark = pytest.mark.browser
BATTERY = (
    '[[part]]\nid = "battery.{0}"\nlabel = "Battery {0}"\nzone = "mast"\nkind = "battery"\ncapacity'
    ' = "18 A*h"\n'
)
HEADINGS = "Clock [s],Pack volts,Whole draw (A),Shoulder angle"


@pytest.fixture(scope="module")
def laptop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laptop]:
    """A laptop with two batteries and one match played."""
    running = Laptop(tmp_path_factory.mktemp("logs") / "pit").make()
    with (running.folder / "robots" / "bench.toml").open("a", encoding="utf-8") as sheet:
        sheet.write(BATTERY.format("4") + BATTERY.format("5"))
    pit = open_pit(running.folder)
    pit.record(
        "match_run", {"actual": format_instant(system_clock())}, AT_THE_LAPTOP, match="fjord/12/1"
    )
    pit.record(
        "battery_test",
        {"battery": "5", "result": {"capacity": 8.0, "capacity_25": 8.0}},
        AT_THE_LAPTOP,
    )
    pit.close()
    yield running.start()
    running.kill()


def log(path: Path, seed: int, headings: str = HEADINGS) -> tuple[Path, Any]:
    """A log of 20 s as a file, and its truth."""
    import numpy as np

    truth = electrical(np.random.default_rng(seed), 20.0)
    rows = zip(truth.elapsed, truth.voltage, truth.current, strict=True)
    path.write_text(
        headings
        + "\n"
        + "".join(f"{at:.2f},{volts:.3f},{amps:.2f},7\n" for at, volts, amps in rows),
        encoding="utf-8",
    )
    return path, truth


def drop(tab: Any, path: Path) -> None:
    """Let go of a file over the page's heading, as a mouse does."""
    content = base64.b64encode(path.read_bytes()).decode()
    carried = tab.evaluate_handle(
        """([name, content]) => {
      const carried = new DataTransfer();
      carried.items.add(new File([Uint8Array.from(atob(content), (letter) => letter.charCodeAt(0))], name, { type: "text/csv" }));
      return carried;
    }""",
        [path.name, content],
    )
    tab.dispatch_event("h1", "dragover", {"dataTransfer": carried})
    tab.dispatch_event("h1", "drop", {"dataTransfer": carried})


def test_columns_are_confirmed_once_and_known_for_the_next_file(
    phone: Phone, tmp_path: Path
) -> None:
    tab = phone.tab
    first, truth = log(tmp_path / "first.csv", 1)
    phone.go("/batteries")
    tab.set_input_files("input[type=file]", first)
    tab.get_by_label("Battery in the robot").select_option("4")
    assert "12" in tab.get_by_label("Match", exact=True).locator("option:checked").inner_text()
    tab.get_by_role("button", name="Read the log").click()
    tab.wait_for_url("**/columns?**")
    picked = [
        tab.get_by_label(label, exact=True).input_value()
        for label in ("The clock", "The battery's voltage", "The whole current", "Late loops")
    ]
    assert picked == ["Clock [s]", "Pack volts", "Whole draw (A)", ""]
    tab.get_by_role("button", name="Read the log").click()
    expect(tab.locator("h1")).to_have_text("Match 12, battery 4")
    said = phone.says()
    assert f"{len(truth.elapsed)} read, 0 bad" in said and "battery and wiring" in said
    assert tab.locator("svg.log-plot path.trend-line").count() == 2
    second, _ = log(tmp_path / "second.csv", 2)
    phone.go("/batteries")
    drop(tab, second)
    expect(tab.get_by_label("The robot's log")).to_have_value("C:\\fakepath\\second.csv")
    tab.get_by_label("Battery in the robot").select_option("5")
    tab.get_by_role("button", name="Read the log").click()
    expect(tab.locator("h1")).to_have_text("Match 12, battery 5")
    assert "second.csv" in phone.says()


def test_the_command_works_beside_the_server_and_both_see_it(
    phone: Phone, tmp_path: Path, laptop: Laptop
) -> None:
    tab = phone.tab
    path, truth = log(tmp_path / "third.csv", 3, "Seconds,Volts,Amps,Shoulder angle")
    command = (
        "import-log",
        str(laptop.folder),
        str(path),
        "--match",
        "12",
        "--battery",
        "4",
        "--json",
    )
    answer = json.loads(pitcrew(*command).stdout)
    assert (answer["known"], answer["rows"]) == (False, len(truth.elapsed))
    phone.go(f"/batteries/logs/{answer['file']}")
    assert f"{answer['rows']} read" in phone.says() and tab.locator("svg.log-plot").is_visible()
    before = len(laptop.records())
    phone.go("/batteries")
    tab.set_input_files("input[type=file]", path)
    tab.get_by_role("button", name="Read the log").click()
    expect(tab.locator("body")).to_contain_text("in the logbook already")
    assert json.loads(pitcrew(*command).stdout)["known"] is True
    assert len(laptop.records()) == before and not verify_folder(laptop.folder).bad


def test_what_is_no_log_is_said_on_the_page(phone: Phone, tmp_path: Path) -> None:
    (tmp_path / "picture.csv").write_bytes(b"\x89PNG\x00\x00\x00\x00")
    phone.go("/batteries")
    phone.tab.set_input_files("input[type=file]", tmp_path / "picture.csv")
    phone.tab.get_by_role("button", name="Read the log").click()
    expect(phone.tab.locator("main")).to_contain_text("not a text file")


def test_what_a_battery_is_fit_for_is_known_without_the_laptop(phone: Phone) -> None:
    snapshot = next(item for item in phone.kept("kept") if "batteries" in item)
    kept = {battery["name"]: battery for battery in snapshot["batteries"]}
    assert kept["5"]["health"] == "retire" and kept["5"]["condition"]
    phone.context.set_offline(True)
    phone.go("/batteries")
    card = phone.tab.locator("article", has_text="Battery 5")
    expect(card).to_contain_text("Health: retire. 8 A·h at 25 °C")
    expect(card.locator(".tag").first).to_have_text("retire")
    expect(
        phone.tab.locator("article", has_text="Battery 4").locator(".tag").first
    ).not_to_have_text("retire")
