"""Photos: whole or in parts, made again without metadata, refused where they are none, never
blocking anything."""

import hashlib
from io import BytesIO

import pytest
from flask import Flask
from PIL import Image
from werkzeug.test import TestResponse

from pitcrew.pit.pit import Pit
from tests.web.conftest import CHAIN, Client, entry, words

ID = "0195d1a2-0000-7000-8000-000000000001"
PLACE = "N59.91 E10.75"


def jpeg(width: int = 640, height: int = 480, orientation: int = 1, kind: str = "JPEG") -> bytes:
    """A picture, its left half red, with a place and an orientation in its metadata."""
    image = Image.new("RGB", (width, height), "white")
    image.paste("red", (0, 0, width // 2, height))
    notes = Image.Exif()
    notes[0x0112], notes[0x010E] = orientation, PLACE
    out = BytesIO()
    image.save(out, kind, exif=notes)
    return out.getvalue()


def put(
    client: Client, raw: bytes, *, photo: str = ID, place: str = "", query: str = ""
) -> TestResponse:
    headers = client.bearer | ({"Content-Range": place} if place else {})
    return client.flask.put(f"/api/photos/{photo}{query}", data=raw, headers=headers)


def held(client: Client, photo: str = ID) -> int:
    return int(client.flask.head(f"/api/photos/{photo}", headers=client.bearer).headers["X-Held"])


def stored(client: Client, photo: str = ID) -> Image.Image:
    answer = client.flask.get(f"/photos/{photo}")
    assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
    return Image.open(BytesIO(answer.data))


def test_a_whole_photo_comes_back_without_its_metadata(pit: Pit, crew: Client) -> None:
    raw = jpeg()
    assert PLACE.encode() in raw
    answer = put(crew, raw)
    assert (answer.status_code, answer.get_json()["received"]) == (
        200,
        hashlib.sha256(raw).hexdigest(),
    )
    kept = crew.flask.get(f"/photos/{ID}").data
    assert hashlib.sha256(kept).hexdigest() == answer.get_json()["stored"]
    assert PLACE.encode() not in kept and not dict(stored(crew).getexif())
    assert [path.suffix for path in sorted((pit.folder / "photos").iterdir())] == [".jpg", ".json"]


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_kinds_that_phones_make(crew: Client, kind: str) -> None:
    assert put(crew, jpeg(kind=kind)).status_code == 200
    assert stored(crew).format == "JPEG"


def test_it_stands_upright_and_is_at_most_2000_pixels_a_side(crew: Client) -> None:
    """Orientation 6 of Exif 2.32: the 0th row is the right-hand side, so it is turned a quarter
    clockwise."""
    put(crew, jpeg(3000, 1500, orientation=6))
    image = stored(crew)
    assert image.size == (1000, 2000)
    assert image.getpixel((500, 100))[1] < 60 and image.getpixel((500, 1900))[1] > 200  # type: ignore[index]


def test_in_parts_with_the_middle_sent_twice(crew: Client) -> None:
    """A link that breaks in the middle of a photo: the phone asks how much is here and goes on from
    there."""
    raw = jpeg()
    cut, end = len(raw) // 3, len(raw)
    assert held(crew) == 0
    first = put(crew, raw[:cut], place=f"bytes 0-{cut - 1}/{end}")
    assert (first.status_code, first.get_json()["held"], held(crew)) == (202, cut, cut)
    again = put(crew, raw[cut - 5 : 2 * cut], place=f"bytes {cut - 5}-{2 * cut - 1}/{end}")
    assert (again.status_code, held(crew)) == (202, 2 * cut)
    last = put(crew, raw[2 * cut :], query=f"?offset={2 * cut}")
    assert (last.status_code, last.get_json()["received"]) == (200, hashlib.sha256(raw).hexdigest())
    assert held(crew) == end


def test_a_part_that_does_not_join_on(crew: Client) -> None:
    answer = put(crew, b"x" * 10, query="?offset=50&total=100")
    assert answer.status_code == 409 and "Send from 0 on" in answer.get_json()["error"]


def test_the_same_again_is_harmless_and_another_under_its_id_is_not_taken(crew: Client) -> None:
    first = put(crew, jpeg()).get_json()
    assert put(crew, jpeg()).get_json()["stored"] == first["stored"]
    assert put(crew, jpeg(320, 240)).status_code == 409
    assert stored(crew).size == (640, 480)


@pytest.mark.parametrize(
    "raw",
    [
        b"<script>alert(1)</script>",
        b"GIF89a" + b"\0" * 40,
        b"%PDF-1.7 nothing",
        jpeg()[:700],
        jpeg(kind="PNG")[:60],
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
    ],
    ids=["text", "gif", "pdf", "torn jpeg", "torn png", "svg"],
)
def test_what_is_no_photo_is_refused_and_leaves_nothing(pit: Pit, crew: Client, raw: bytes) -> None:
    answer = put(crew, raw)
    assert answer.status_code == 400 and "JPEG" in answer.get_json()["error"]
    assert list((pit.folder / "photos").iterdir()) == []
    assert put(crew, jpeg()).status_code == 200


@pytest.mark.parametrize(("width", "height"), [(8000, 8000), (13_500, 13_500)])
def test_few_bytes_that_would_open_into_very_many_are_refused(
    crew: Client, width: int, height: int
) -> None:
    out = BytesIO()
    Image.new("1", (width, height)).save(out, "PNG")
    assert put(crew, out.getvalue()).status_code == 400


@pytest.mark.parametrize(
    ("query", "place"),
    [
        ("?offset=0&total=9000000", ""),
        ("?offset=-1&total=20", ""),
        ("?offset=a&total=20", ""),
        ("", "bytes 0-3/20"),
        ("", "nonsense"),
        ("?offset=15&total=20", ""),
    ],
)
def test_parts_that_cannot_be(crew: Client, query: str, place: str) -> None:
    assert put(crew, b"0123456789", query=query, place=place).status_code == 400


def test_ids_are_uuids_and_nothing_else(crew: Client) -> None:
    for photo in ("..%2f..%2fpitcrew", "0195D1A2-0000-7000-8000-000000000001", "x"):
        assert put(crew, jpeg(), photo=photo).status_code in (400, 404)
        assert crew.flask.get(f"/photos/{photo}").status_code in (400, 404)


def test_only_members(app: Flask, crew: Client) -> None:
    put(crew, jpeg())
    stranger = app.test_client()
    assert stranger.put(f"/api/photos/{ID}", data=jpeg()).status_code == 401
    assert stranger.get(f"/photos/{ID}").status_code == 302


def test_an_entry_does_not_wait_for_its_photo(pit: Pit, crew: Client) -> None:
    fault = entry(
        pit, "fault", {"part": CHAIN, "symptom": "Plate bent", "grade": "watch", "photos": [ID]}
    )
    assert crew.exchange([fault]).get_json()["refused"] == []
    answer = crew.flask.get(f"/photos/{ID}")
    assert answer.status_code == 404 and "not come over yet" in words(answer.text)


def test_the_page_of_a_fault_shows_its_photos_and_says_which_are_still_to_come(
    pit: Pit, crew: Client
) -> None:
    """One that the fault names, one that a note adds later, one not here yet, and one that is no
    photo's id at all."""
    put(crew, jpeg())
    fault = entry(
        pit,
        "fault",
        {"part": CHAIN, "symptom": "bent", "grade": "watch", "photos": [ID, "../secrets/pit.json"]},
    )
    later = ID[:-1] + "2"
    crew.exchange(
        [
            fault,
            entry(pit, "note", {"text": "Photo: bent", "fault": fault["id"], "photos": [later]}),
        ]
    )
    page = crew.get(f"/faults/{fault['id']}")
    assert page.count(f'src="/photos/{ID}"') == 1 and later not in page
    assert "2 photos have not come over yet" in words(page)
    put(crew, jpeg(), photo=later)
    page = crew.get(f"/faults/{fault['id']}")
    assert f'src="/photos/{later}"' in page and "1 photo has not come over yet" in words(page)
