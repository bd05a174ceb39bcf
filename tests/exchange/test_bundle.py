"""Hand-overs without a link: a file or codes say whose they are, show when they were changed, and
may come twice."""

import hashlib
import hmac
import json
import random
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from PIL import Image, ImageFilter

from pitcrew.base.errors import BadInput
from pitcrew.exchange.bundle import hand_in, make_bundle, read_bundle, receipt_of, sentence_of
from pitcrew.exchange.camera import codes_in
from pitcrew.exchange.frames import Sender
from pitcrew.pit.intake import Author
from pitcrew.pit.relay import relayed
from pitcrew.pit.roster import hash_of
from tests.exchange.conftest import CHAIN, Hands, Laptop, Phone
from tests.web.node import needs_node, run
from tests.world import make_world


def device_of(phone: Phone) -> str:
    return phone.laptop.pit.roster.device_of_token(phone.token).id


def bundle_of(phone: Phone, device: str = "") -> bytes:
    entries = list({**phone.accepted, **phone.unsent}.values())
    return make_bundle(
        device or device_of(phone), phone.name, phone.log or "", "2026-03-07T10:00:00.000Z", entries
    )


def bring(laptop: Laptop, raw: bytes, role: str = "lead") -> Any:
    return hand_in(laptop.pit, read_bundle(raw), role)


def test_twice_is_harmless_and_the_phone_may_still_exchange(laptop: Laptop) -> None:
    ivo = laptop.join("Ivo")
    ids = [ivo.note(f"note {number}") for number in range(5)]
    raw = bundle_of(ivo)
    first, second = bring(laptop, raw), bring(laptop, raw)
    assert (first.person, first.new, first.known, first.refused) == ("Ivo", 5, 0, [])
    assert (second.new, second.known, second.receipt) == (0, 5, first.receipt)
    ivo.exchange()
    assert ids == [record["id"] for record in laptop.records() if record["kind"] == "note"]
    stored = next(record for record in laptop.records() if record["id"] == ids[0])
    assert (
        (stored["device"], stored["person"]) == (device_of(ivo), "Ivo")
        and "offset" not in stored
        and "origin" not in stored
    )


def test_out_of_order_and_overlapping(laptop: Laptop) -> None:
    ivo = laptop.join("Ivo")
    early = [ivo.note() for _ in range(3)]
    first = bundle_of(ivo)
    late = [ivo.note() for _ in range(3)]
    bring(laptop, bundle_of(ivo))
    assert bring(laptop, first).known == 3
    assert sorted(
        record["id"] for record in laptop.records() if record["kind"] == "note"
    ) == sorted(early + late)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda raw: raw.replace(b"looked", b"looted"),
        lambda raw: raw[:-40],
        lambda raw: raw[: len(raw) // 2],
        lambda raw: b"",
        lambda raw: raw.replace(b'"version": 1', b'"version": 2'),
        lambda raw: raw.replace(b'"bundle"', b'"parcel"'),
        lambda raw: b"[1, 2]",
        lambda raw: b"\xff\xfe" + raw,
        lambda raw: b"[" * 100_000,
        lambda raw: raw.replace(b'"note"', b'"fault"'),
    ],
    ids=[
        "changed",
        "cut end",
        "cut half",
        "empty",
        "version",
        "kind of file",
        "list",
        "binary",
        "deep",
        "kind of entry",
    ],
)
def test_a_changed_or_cut_file_stores_nothing(laptop: Laptop, spoil: Any) -> None:
    ivo = laptop.join("Ivo")
    ivo.note()
    raw = bundle_of(ivo)
    before = laptop.records()
    with pytest.raises(BadInput) as said:
        bring(laptop, spoil(raw))
    assert "phone" in said.value.sentence and laptop.records() == before


def test_no_more_than_its_device_and_its_bringer_may(laptop: Laptop) -> None:
    """A file is no signature: a crew member who brings the captain's file brings no more than crew
    could write."""
    captain = laptop.join("Ada", "captain")
    fault = captain.make("fault", part=CHAIN, symptom="slack", grade="stop")
    captain.make(
        "fault_move",
        fault=fault,
        to="deferred",
        why="holds",
        until="fjord/9/1",
        restriction="no climb",
    )
    raw = bundle_of(captain)
    assert len(bring(laptop, raw, "crew").refused) == 1
    assert bring(laptop, raw, "lead").refused == []


@pytest.mark.parametrize("withdrawn", [False, True])
def test_a_device_that_nobody_knows_is_unverified(laptop: Laptop, withdrawn: bool) -> None:
    ivo = laptop.join("Ivo")
    ivo.note()
    device = device_of(ivo)
    if withdrawn:
        laptop.pit.roster.withdraw(device)
    raw = bundle_of(ivo, device if withdrawn else "0123456789abcdef")
    done = bring(laptop, raw)
    stored = laptop.records()[-1]
    assert (done.new, stored["person"], stored["origin"]["proven"]) == (1, "Ivo", False)


@needs_node
def test_the_phone_and_the_laptop_agree_on_hash_and_receipt() -> None:
    """Through the phone's own modules: 1e-7, 1e+21, 12 for 12.0, letters beyond ASCII, half a
    letter, separators, control characters."""
    made = run(
        """
      const [{ canonical }, { sha256Hex, hmacHex }, { receiptOf }] = await Promise.all(
        ["canonical", "sha256", "receipt"].map((name) => js(`lib/${name}.js`)));
      const entries = [{ n: [1e-7, 1e21, 12.0, -0.5, 1 / 3, 123456789012345680000, 5e-324, -0], z: true, a: null, ...given }];
      const rest = { pitcrew: "bundle", version: 1, device: "a", person: "Åse \\u2028\\u0007\\u007f", log: null, made_at: "x", entries };
      const whole = { ...rest, proof: hmacHex(sha256Hex("a token"), canonical(rest)) };
      const sha256 = sha256Hex(canonical(whole));
      return { text: JSON.stringify({ ...whole, sha256 }), receipt: receiptOf(sha256) };
    """,
        {"ä": "漢🤖", "cut": "\ud83d", "Z": '"\\\n\t', "10": 1, "9": 2},
    )
    bundle = read_bundle(made["text"].encode())
    assert (
        bundle.person == "Åse \u2028\u0007\u007f"
        and receipt_of(bundle.sha256).replace("-", "") == made["receipt"]
    )
    key = hash_of("a token").encode()  # RFC 2104 by Python's own module
    assert (
        bundle.proof
        == hmac.new(key, bundle.text.encode("utf-8", "surrogatepass"), hashlib.sha256).hexdigest()
    )


@pytest.mark.parametrize(("token", "origin"), [("own", False), ("", True), ("another's", True)])
def test_a_file_is_a_devices_own_by_the_proof_of_its_token(
    laptop: Laptop, token: str, origin: bool
) -> None:
    """Device ids stand in every entry, so naming one proves nothing; a lead who brings the file
    vouches for it instead."""
    ivo, mira = laptop.join("Ivo"), laptop.join("Mira")
    ivo.note()
    key = {"own": ivo.token, "": "", "another's": mira.token}[token]
    raw = make_bundle(
        device_of(ivo), "Ivo", "", "2026-03-07T10:00:00Z", list(ivo.unsent.values()), key
    )
    bring(laptop, raw, "crew")
    assert ("origin" in laptop.records()[-1]) is origin


def test_where_something_is_refused_there_is_no_receipt(laptop: Laptop) -> None:
    """The phone would take a receipt for all of it; so it keeps all, and a later exchange says
    which was refused."""
    ivo = laptop.join("Ivo")
    ivo.note()
    ivo.make("reading", check="no-such-check", part=CHAIN)
    done = bring(laptop, bundle_of(ivo))
    assert (done.new, len(done.refused), done.receipt) == (
        1,
        1,
        "",
    ) and "no receipt yet" in sentence_of(done)


@pytest.mark.parametrize(
    ("unknown", "stranger", "taken"), [(True, "crew", 0), (True, "lead", 1), (False, "lead", 0)]
)
def test_a_lost_laptops_match_list_comes_with_a_rebuild_alone(
    laptop: Laptop, unknown: bool, stranger: str, taken: int
) -> None:
    """No phone may write one; whoever rebuilds at the laptop decides to trust the file, unless its
    device was withdrawn."""
    ivo = laptop.join("Ivo")
    device = "0123456789abcdef" if unknown else device_of(ivo)
    laptop.pit.roster.withdraw(device_of(ivo))
    item = {
        "id": "0195d1a2-0000-7000-8000-000000000001",
        "kind": "match_run",
        "at": "2026-03-07T08:00:00.000Z",
        "device": "laptop",
        "person": "laptop",
        "match": "fjord/Q1/1",
        "body": {"planned": "2026-03-07T11:00:00Z", "ours": "red 1"},
        "shape": 1,
        "origin": {"log": "0" * 32, "seq": 2, "seal": "f" * 64},
    }
    bundle = read_bundle(make_bundle(device, "Ivo", "0" * 32, "2026-03-07T10:00:00Z", [item]))
    done = hand_in(laptop.pit, bundle, "lead", stranger)
    assert (done.new, len(done.refused)) == (taken, 1 - taken)
    assert all("may not write a change of the schedule" in item["error"] for item in done.refused)


def test_what_only_the_lost_laptop_can_have_written_holds_no_receipt_back(
    laptop: Laptop, tmp_path: Path, clock: Hands
) -> None:
    """A phone read its laptop's signatures; another laptop cannot prove them, and the phone has
    nothing to do about it."""
    ivo = laptop.join("Ivo")
    ivo.note()
    laptop.pit.record(
        "clearance", {"decision": "cleared", "seen_seq": 1}, Author("phone", "Ada", "captain")
    )
    ivo.exchange()
    ivo.note("later")
    kept = [relayed(record, ivo.log or "") for record in ivo.replica]
    other = Laptop(make_world(tmp_path / "other"), clock)
    done = bring(
        other,
        make_bundle(
            "0195", "Ivo", ivo.log or "", "2026-03-07T10:00:00Z", [*kept, *ivo.unsent.values()]
        ),
    )
    other.stop()
    assert [record["kind"] for record in ivo.replica] == [
        "definitions",
        "access",
        "clearance",
        "note",
    ]
    assert (done.new, done.refused, done.unproven) == (
        3,
        [],
        2,
    ), "the signature is history there, and never counts"
    assert done.receipt and "left out: nothing proves them here" in sentence_of(done)


def pages(laptop: Laptop, name: str) -> tuple[FlaskClient, dict[str, str]]:
    """A client that joined, with its bearer header."""
    phone = laptop.join(name, "lead")
    return laptop.client(), {"Authorization": f"Bearer {phone.token}"}


def test_the_file_over_http(laptop: Laptop) -> None:
    ivo = laptop.join("Ivo")
    ivo.note()
    client, bearer = pages(laptop, "Ada")
    answer = client.post("/api/hand-in", data=bundle_of(ivo), headers=bearer)
    assert (answer.status_code, answer.get_json()["new"]) == (200, 1)
    assert client.post("/api/hand-in", data=b"{}", headers=bearer).status_code == 400


def seen(frame: bytes, chance: random.Random) -> bytes:
    """A code as a camera sees it: tilted by up to 4 degrees, a little blurred, noisy, in a larger
    picture."""
    import segno

    out = BytesIO()
    segno.make(frame, error="m", mode="byte", micro=False).save(out, kind="png", scale=5, border=4)
    image = (
        Image.open(out)
        .convert("L")
        .rotate(chance.uniform(-4, 4), expand=True, fillcolor=255)
        .filter(ImageFilter.GaussianBlur(0.8))
    )
    picture = Image.new("L", (image.width + 80, image.height + 40), 90)
    picture.paste(image, (chance.randrange(60), chance.randrange(30)))
    noise = Image.frombytes(
        "L", picture.size, bytes(chance.choices(range(118, 138), k=picture.width * picture.height))
    )
    out = BytesIO()
    Image.blend(picture, noise, 0.15).save(out, "PNG")
    return out.getvalue()


def test_codes_before_a_camera_that_loses_every_third(laptop: Laptop) -> None:
    """Each frame through a synthetic camera; 30 % lost; shown on the page's own door until the
    receipt comes."""
    pytest.importorskip("zxingcpp", reason="zxing-cpp reads the codes; it is one of the test tools")
    ivo = laptop.join("Ivo", seed=3)
    for number in range(30):
        ivo.make(
            "fault",
            part=CHAIN,
            symptom=f"slack {number} {random.Random(number).randbytes(6).hex()}",
            grade="watch",
        )
    raw = bundle_of(ivo)
    sender, chance = Sender(raw, 250), random.Random(7)
    client, bearer = pages(laptop, "Ada")
    shown, answer = 0, {"done": None}
    while answer["done"] is None:
        assert shown < 4 * sender.k
        if chance.random() >= 0.3:
            answer = client.post(
                "/api/frames", data=seen(sender.frame(shown), chance), headers=bearer
            ).get_json()
        shown += 1
    assert (answer["done"]["new"], answer["known"], answer["wanted"]) == (30, sender.k, sender.k)
    assert answer["done"]["receipt"] == receipt_of(json.loads(raw)["sha256"])
    again = client.post(
        "/api/frames", data=seen(sender.frame(0), chance), headers=bearer
    ).get_json()
    assert again["done"] == answer["done"], "a code seen again after the end tells the same"


def test_grey_values_as_the_page_sends_them() -> None:
    pytest.importorskip("zxingcpp", reason="zxing-cpp reads the codes; it is one of the test tools")
    frame = Sender(b"measured", 40).frame(0)
    image = Image.open(BytesIO(seen(frame, random.Random(1)))).convert("L")
    assert codes_in(image.tobytes(), image.width, image.height) == [frame]
    for width, height in ((10, 10), (-1, 5), (10**6, 10**6)):
        with pytest.raises(BadInput):
            codes_in(image.tobytes(), width, height)
    with pytest.raises(BadInput):
        codes_in(b"no picture")
