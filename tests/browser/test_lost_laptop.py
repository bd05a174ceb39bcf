"""The laptop is gone for good. Another one takes over from what a phone kept: with the recovery
file the phone's app meets it as if nothing had happened; without it, by a file."""

import re
from collections import Counter

import pytest

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: no browser tests"
)

from click.testing import CliRunner  # noqa: E402

from pitcrew.cli.main import main  # noqa: E402
from pitcrew.pit.pit import glance  # noqa: E402
from pitcrew.pit.tls import CertificateFiles  # noqa: E402
from pitcrew.pit.verify import verify_folder  # noqa: E402
from tests.browser.chromium import browser_that_trusts  # noqa: E402
from tests.browser.many_ways import ManyWays  # noqa: E402
from tests.browser.phone import SIZE, Phone  # noqa: E402

pytestmark = pytest.mark.browser


@pytest.fixture
def laptop(tmp_path):
    made = ManyWays(tmp_path / "pit").make().start()
    yield made
    made.kill()


@pytest.fixture
def phone(laptop, tmp_path):
    """A phone with the app from the lasting address, that has handed over a reading, a fault and
    its photo."""
    with browser_that_trusts(
        CertificateFiles(laptop.folder), tmp_path / "home", f"MAP {laptop.host} 127.0.0.1"
    ) as browser:
        context = browser.new_context(
            viewport=SIZE, has_touch=True, is_mobile=True, accept_downloads=True
        )
        joined = Phone(context, laptop).join()
        joined.log_fault_for_photo()
        joined.photograph(1200, 800)
        joined.tab.wait_for_selector("text=1 photo kept")
        joined.hand_over()
        joined.photos_that_came()
        joined.go("/now")
        for _ in range(200):
            if {record["id"] for record in laptop.records()} <= {
                item["id"] for item in joined.kept("replica")
            }:
                break
            joined.tab.wait_for_timeout(50)
        yield joined
        assert joined.complaints == []


def pitcrew(*arguments):
    result = CliRunner().invoke(main, [str(item) for item in arguments])
    assert result.exit_code == 0, result.output
    return " ".join(result.output.split())


def lose(laptop, tmp_path):
    """The laptop falls into the water; only a memory stick is left. Its entries, by id."""
    pitcrew("recovery", laptop.folder, "-o", tmp_path / "recovery.json")
    lost = {record["id"]: record for record in laptop.records()}
    laptop.kill()
    laptop.folder.rename(tmp_path / "in-the-water")
    return lost


def test_with_the_recovery_file_the_phone_brings_everything_back(phone, laptop, tmp_path):
    lost = lose(laptop, tmp_path)
    phone.measure("9.7")
    (unsent,) = phone.unsent()
    pitcrew("adopt", laptop.folder, "--recovery", tmp_path / "recovery.json")
    laptop.start()
    phone.hand_over()
    phone.photos_that_came()
    phone.go("/now")
    for _ in range(200):
        found = Counter(record["id"] for record in laptop.records())
        if {*lost, unsent["id"]} <= set(found):
            break
        phone.tab.wait_for_timeout(50)
    assert [name for name in (*lost, unsent["id"]) if found[name] != 1] == [], "lost or doubled"
    (line,) = [
        line for line in verify_folder(laptop.folder).lines if "proven by their seal" in line
    ]
    assert (
        f"{len(lost)} entries, {len(lost)} proven by their seal, 0 unverified; none missing."
        in line
    )


def test_without_it_a_file_brings_everything_and_nothing_is_proven(phone, laptop, tmp_path):
    lost = lose(laptop, tmp_path)
    phone.measure("9.7")
    (unsent,) = phone.unsent()
    phone.go("/handing-over")
    phone.tab.check("#everything")
    with phone.tab.expect_download() as coming:
        phone.tab.click("text=As a file")
    file = tmp_path / coming.value.suggested_filename
    coming.value.save_as(file)
    said = pitcrew("adopt", tmp_path / "rebuilt", file)
    found = Counter(record["id"] for record in glance(tmp_path / "rebuilt").records)
    own = [name for name, record in lost.items() if record["kind"] != "definitions"]
    assert [name for name in (*own, unsent["id"]) if found[name] != 1] == [], "lost or doubled"
    assert f"{len(own) + 1} entries, 0 proven by their seal, {len(own) + 1} unverified" in said
    phone.tab.fill("#receipt", re.search(r"Receipt: (\S+)", said)[1].lower())
    phone.tab.click("text=Check it")
    phone.tab.wait_for_selector("text=The laptop has it: handed over.")
    assert phone.unsent() == []
