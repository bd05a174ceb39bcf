"""People: join codes for the lead, who has joined, withdrawing; and verifying the log against a
sheet."""

import re
from datetime import timedelta

import pytest
from flask import Flask
from PIL import Image

from pitcrew.base.clock import format_instant
from pitcrew.base.seal import head_text
from pitcrew.pit.addresses import join_addresses
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from tests.web.conftest import LEAD, Client, Hands, entry, join, words

ON_THE_NETWORK = "192.0.2.7:8765"
"""An address of the range kept for documentation (RFC 5737)."""


def test_a_fresh_code_joins_with_its_role(app: Flask, pit: Pit, lead: Client) -> None:
    page = lead.post("/people/code", {"role": "captain"})
    found = re.search(r'class="join-code">([A-Z0-9]{4}-[A-Z0-9]{4})<', page)
    assert found and "Joins as captain" in words(page)
    assert pit.roster.join(found[1], "Mira", "phone", "a").device.role == "captain"


def test_the_code_stays_for_this_lead_until_it_runs_out(
    app: Flask, pit: Pit, lead: Client, clock: Hands
) -> None:
    lead.post("/people/code", {"role": "crew"})
    assert "join-code" in lead.get("/people")
    assert "join-code" not in join(app, pit, "lead", "Other").get("/people")
    clock.later(16)
    assert "join-code" not in lead.get("/people")


def test_the_qr_code_holds_the_link(lead: Client) -> None:
    """What is drawn on the page, dark square by dark square, is read back by an independent reader
    (zxing)."""
    zxingcpp = pytest.importorskip(
        "zxingcpp", reason="zxing-cpp, which reads the code back, is not installed"
    )
    lead.post("/people/code", {"role": "crew"})
    session = lead.flask.get_cookie("pitcrew")
    assert session
    lead.flask.set_cookie("pitcrew", session.value, domain=ON_THE_NETWORK.partition(":")[0])
    page = lead.flask.get("/people", base_url=f"http://{ON_THE_NETWORK}").text
    link = re.search(r"<figcaption><code>([^<]+)</code>", page)
    assert link and re.fullmatch(r"http://192\.0\.2\.7:8765/join#[A-Z0-9]{4}-[A-Z0-9]{4}", link[1])
    assert zxingcpp.read_barcode(drawn(page)).text == link[1]


def drawn(page: str) -> Image.Image:
    """The QR code of a page as a picture: its one path is made of horizontal strokes, one unit
    high."""
    size = re.search(
        r'class="qr"[^>]*viewBox="0 0 (\d+) \1"|viewBox="0 0 (\d+) \2"[^>]*class="qr"', page
    )
    strokes = re.findall(r'<path[^>]* d="(M[^"]+)"', page[page.index("qr") :])[-1]
    assert size
    picture = Image.new("L", (int(size[1] or size[2]),) * 2, 255)
    x = y = 0.0
    for kind, numbers in re.findall(r"([Mmh])([-\d. ]+)", strokes):
        given = [float(number) for number in numbers.split()]
        if kind == "h":
            picture.paste(0, (round(x), int(y), round(x + given[0]), int(y) + 1))
            x += given[0]
        elif kind == "m":
            x, y = x + given[0], y + given[1]
        else:
            x, y = given
    return picture.resize((picture.width * 6, picture.height * 6), Image.Resampling.NEAREST)


def test_links_are_for_phones_not_for_this_laptop() -> None:
    assert join_addresses("http", "192.0.2.7:8765", "CODE") == ["http://192.0.2.7:8765/join#CODE"]
    assert all(
        "localhost" not in link and "//127." not in link
        for link in join_addresses("http", "localhost:8765", "CODE")
    )
    assert all(
        link.endswith(":8765/join#CODE")
        for link in join_addresses("http", "127.0.0.1:8765", "CODE")
    )


def test_a_device_is_withdrawn(app: Flask, pit: Pit, lead: Client) -> None:
    other = join(app, pit, "crew", "Ivo")
    device = next(item for item in pit.roster.devices() if item.person == "Ivo")
    assert "The device of Ivo is withdrawn." in words(lead.post(f"/people/{device.id}/withdraw"))
    assert other.flask.get("/now").status_code == 302
    assert "no such device" in words(lead.post("/people/none/withdraw", status=404))


def test_nobody_withdraws_the_device_in_hand(pit: Pit, lead: Client) -> None:
    device = next(item for item in pit.roster.devices() if item.person == "Ada")
    assert "This is the device that you use now." in words(
        lead.post(f"/people/{device.id}/withdraw", status=400)
    )


def test_a_wrong_role_is_said(lead: Client) -> None:
    assert "Pick who joins" in words(lead.post("/people/code", {"role": "owner"}, status=400))


def test_secrets_are_on_no_page(pit: Pit, lead: Client) -> None:
    code = pit.roster.make_code("crew", timedelta(minutes=5))
    hashes = [device.token for device in pit.roster.devices()]
    page = lead.get("/people")
    assert code not in page and lead.token not in page and not any(item in page for item in hashes)


def test_a_head_from_a_sheet(pit: Pit, lead: Client) -> None:
    seq, seal = pit.journal.head()
    pit.record("note", {"text": "later"}, LEAD)
    assert "are in this log" in words(
        lead.post("/verify", {"head": head_text(seq, seal)}, status=200)
    )
    assert "does not carry the seal" in words(
        lead.post("/verify", {"head": f"{seq}:0000-0000-0000"}, status=200)
    )
    assert "its tail was cut" in words(
        lead.post("/verify", {"head": f"{seq + 50}:{seal[:12]}"}, status=200)
    )
    assert "is not a head" in words(lead.post("/verify", {"head": "hello"}, status=400))


def test_what_a_withdrawn_phone_hands_in_later_is_kept_and_marked(
    app: Flask, pit: Pit, lead: Client, clock: Hands
) -> None:
    join(app, pit, "crew", "Ivo")
    device = next(item for item in pit.roster.devices() if item.person == "Ivo")
    lead.post(f"/people/{device.id}/withdraw")
    clock.later(5)
    pit.record("note", {"text": "found on the old phone"}, Author(device.id, "Ivo", "crew"))
    assert "1 of its entries came in afterwards" in words(lead.get("/people"))


def test_refused_entries_are_shown_with_their_reason(pit: Pit, crew: Client) -> None:
    assert 'id="refused"' not in crew.get("/people")
    crew.exchange(
        [entry(pit, "reading", {"check": "chain-slack", "part": "lift.<b>rope</b>", "inputs": {}})]
    )
    page = crew.get("/people")
    said = words(page[page.index('id="refused"') :])
    assert (
        re.search(r"Ivo ?, reading", said)
        and "lift." in said
        and "counted nowhere" in said
        and "<b>rope" not in page
    )


def test_a_devices_clock_and_what_is_still_on_it(pit: Pit, crew: Client) -> None:
    """As the phone counted before this exchange took two of its five."""
    notes = [entry(pit, "note", {"text": text}) for text in ("a", "b")]
    crew.exchange(notes, sent_at="2001-03-07T10:00:00.000Z", unsent=5)
    said = words(crew.get("/people"))
    assert (
        "3 entries still on it" in said
        and "its clock is 25 years behind; its times are corrected" in said
    )
    crew.exchange([], sent_at=format_instant(pit.clock()), unsent=1)
    said = words(crew.get("/people"))
    assert "1 entry still on it" in said and "its clock" not in said
