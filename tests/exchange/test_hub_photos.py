"""Photos between a copy and its hub: both ways, in parts, never before an entry, and harmless to
repeat."""

import hashlib
import random
import threading
import time
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from pitcrew.exchange import hubphotos, replica
from pitcrew.exchange.hubphotos import HubPhotos
from pitcrew.exchange.replica import Follower
from pitcrew.pit.photos import Photo, PhotoPart, PhotoStore
from tests.exchange.conftest import CHAIN, Hands, Laptop, Phone
from tests.server import PATIENCE, Server, note, pitcrew
from tests.world import make_world

IDS = [f"0195d1a2-0000-7000-8000-00000000000{number}" for number in range(1, 5)]


@pytest.fixture
def copy(tmp_path: Path, clock: Hands) -> Iterator[Laptop]:
    made = Laptop(make_world(tmp_path / "second"), clock)
    yield made
    made.stop()


def jpeg(seed: int = 0, side: int = 400) -> bytes:
    """A picture that does not compress: about half a byte a pixel."""
    noise = Image.frombytes("L", (side, side), random.Random(seed).randbytes(side * side))
    out = BytesIO()
    noise.convert("RGB").save(out, "JPEG")
    return out.getvalue()


def take(laptop: Laptop, photo_id: str, raw: bytes) -> Photo:
    """A photo as a phone handed it over."""
    stored = PhotoStore(laptop.folder, laptop.clock).put(
        photo_id, PhotoPart(0, len(raw), raw), "phone", "Ivo"
    )
    assert stored
    return stored


def photos(laptop: Laptop) -> list[str]:
    return PhotoStore(laptop.folder, laptop.clock).ids()


class Way:
    """The copy's way to its hub, in one process. `fails` answers instead of the hub for so many
    requests of one method."""

    def __init__(self, hub: Laptop) -> None:
        self.phone: Phone = hub.join("Second laptop", "lead")
        self.asked: list[str] = []
        self.fails: dict[str, list[int]] = {}

    def ask(
        self, method: str, path: str, content: bytes | None, headers: dict[str, str]
    ) -> tuple[int, dict[str, str], bytes]:
        self.asked.append(method)
        if self.fails.get(method):
            status = self.fails[method].pop(0)
            if not status:
                raise OSError("the cable was pulled")
            return status, {}, b"{}"
        allowed = headers | {"Authorization": f"Bearer {self.phone.token}"}
        answer = self.phone.laptop.client().open(path, method=method, data=content, headers=allowed)
        return (
            answer.status_code,
            {name.lower(): value for name, value in answer.headers.items()},
            answer.data,
        )

    def photos(self, copy: Laptop) -> HubPhotos:
        """As after a start of the copy."""
        return HubPhotos(copy.pit, PhotoStore(copy.folder, copy.clock), self.ask)


def until_nothing_is_left(work: HubPhotos, log: str | None = "a") -> int:
    """One round; how many steps it took."""
    steps = 0
    while work.step(log):
        steps += 1
        assert steps < 100, "it goes round and round"
    return steps


def fault_with(laptop: Laptop, *names: str) -> str:
    """Logged at a laptop by a phone."""
    ivo = laptop.join("Ivo", seed=len(names))
    made = ivo.make("fault", part=CHAIN, symptom="slack", grade="watch", photos=list(names))
    ivo.exchange()
    return made


def test_a_photo_of_the_copy_reaches_the_hub_in_parts(laptop: Laptop, copy: Laptop) -> None:
    kept = take(copy, IDS[0], jpeg())
    way = Way(laptop)
    until_nothing_is_left(way.photos(copy))
    there = PhotoStore(laptop.folder, laptop.clock).find(IDS[0])
    assert there and there.received == kept.stored, "what the copy holds arrived, bit by bit"
    assert (
        way.asked.count("PUT")
        == -(-len((copy.folder / "photos" / f"{IDS[0]}.jpg").read_bytes()) // hubphotos.PART)
        > 1
    )


def test_a_photo_of_the_hub_that_an_entry_names_reaches_the_copy_in_parts(
    laptop: Laptop, copy: Laptop
) -> None:
    """One of the fault itself, one that a note adds, one of a correction; and one that the hub has
    no entry for stays there."""
    kept = [take(laptop, name, jpeg(number)) for number, name in enumerate(IDS)]
    fault = fault_with(laptop, IDS[0], "../secrets/pit.json")
    ivo = laptop.join("Ivo", "lead", seed=9)
    ivo.make("note", text="Photo: bent", fault=fault, photos=[IDS[1]])
    ivo.make(
        "correction",
        of=fault,
        why="another photo",
        body={"part": CHAIN, "symptom": "slack", "grade": "watch", "photos": [IDS[2]]},
    )
    ivo.exchange()
    Follower(copy.pit, laptop.join("Second", "lead").post, lambda said: None).once()
    way = Way(laptop)
    until_nothing_is_left(way.photos(copy))
    store = PhotoStore(copy.folder, copy.clock)
    assert [store.find(name).received for name in photos(copy)] == [
        item.stored for item in kept[:3]
    ]  # type: ignore[union-attr]
    assert way.asked.count("GET") > 3


def test_again_asks_little_and_changes_nothing(laptop: Laptop, copy: Laptop) -> None:
    take(copy, IDS[0], jpeg())
    way = Way(laptop)
    work = way.photos(copy)
    until_nothing_is_left(work)
    before = sorted((path.name, path.read_bytes()) for path in (laptop.folder / "photos").iterdir())
    way.asked.clear()
    assert until_nothing_is_left(work) == 0 and way.asked == []
    until_nothing_is_left(way.photos(copy))
    assert way.asked == ["HEAD"]
    assert (
        sorted((path.name, path.read_bytes()) for path in (laptop.folder / "photos").iterdir())
        == before
    )


@pytest.mark.parametrize("method", ["PUT", "GET"])
def test_a_link_that_breaks_in_the_middle_costs_one_part(
    laptop: Laptop, copy: Laptop, method: str
) -> None:
    """Also over a restart of the copy: nothing that arrived is sent again."""
    take(copy if method == "PUT" else laptop, IDS[0], jpeg())
    fault_with(copy, IDS[0])
    way = Way(laptop)
    work = way.photos(copy)
    assert work.step("a")
    parts = way.asked.count(method)
    way.fails[method] = [0]
    with pytest.raises(OSError, match="cable"):
        work.step("a")
    until_nothing_is_left(way.photos(copy))
    size = len(
        (copy.folder if method == "PUT" else laptop.folder)
        .joinpath("photos", f"{IDS[0]}.jpg")
        .read_bytes()
    )
    assert parts == 1 and way.asked.count(method) == 1 + -(-size // hubphotos.PART)
    assert photos(laptop) == photos(copy) == IDS[:1]


@pytest.mark.parametrize("status", [401, 409, 500, 503])
def test_one_that_does_not_get_through_now_stops_no_other(
    laptop: Laptop, copy: Laptop, status: int
) -> None:
    for number in (0, 1):
        take(copy, IDS[number], jpeg(number))
    way = Way(laptop)
    work = way.photos(copy)
    way.fails["PUT"] = [status]
    until_nothing_is_left(work)
    assert photos(laptop) == [IDS[1]]
    until_nothing_is_left(work)
    assert photos(laptop) == IDS[:2]


def test_what_is_new_here_goes_over_without_waiting_for_the_next_turn(
    laptop: Laptop,
    copy: Laptop,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """An entry, then its photo; the next turn would come in a day."""
    monkeypatch.setattr(replica, "EVERY", 86_400.0)
    way, in_step = Way(laptop), threading.Event()
    follower = Follower(copy.pit, way.phone.post, lambda said: in_step.set(), way.photos(copy))
    follower.start()
    assert in_step.wait(PATIENCE)
    fault = fault_with(copy, IDS[0])
    happens(lambda: fault in laptop.ids())
    take(copy, IDS[0], jpeg())
    happens(lambda: photos(laptop) == IDS[:1])
    follower.close()


def happens(true: Callable[[], bool]) -> None:
    """In another thread, sooner or later."""
    end = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.02)


def test_one_that_the_hub_refuses_for_good_is_left(laptop: Laptop, copy: Laptop) -> None:
    take(copy, IDS[0], jpeg())
    way = Way(laptop)
    work = way.photos(copy)
    way.fails["PUT"] = [400]
    until_nothing_is_left(work)
    assert until_nothing_is_left(work) == 0 and photos(copy) == IDS[:1]


def test_one_that_is_not_at_the_hub_yet_is_asked_for_again_later(
    laptop: Laptop, copy: Laptop
) -> None:
    """The phone that took it meets the hub days after its entry did."""
    fault_with(copy, *IDS[:2])
    take(laptop, IDS[1], jpeg())
    work = Way(laptop).photos(copy)
    until_nothing_is_left(work)
    assert photos(copy) == [IDS[1]]
    take(laptop, IDS[0], jpeg(1))
    until_nothing_is_left(work)
    assert photos(copy) == IDS[:2]


def test_a_hub_that_keeps_another_log_is_offered_all_again(laptop: Laptop, copy: Laptop) -> None:
    take(copy, IDS[0], jpeg())
    work = Way(laptop).photos(copy)
    until_nothing_is_left(work)
    for path in (laptop.folder / "photos").iterdir():
        path.unlink()
    until_nothing_is_left(work)
    assert photos(laptop) == []
    until_nothing_is_left(work, log="b")
    assert photos(laptop) == IDS[:1]


def test_the_phone_and_the_copy_may_send_the_same_photo_at_once(
    laptop: Laptop, copy: Laptop
) -> None:
    """The copy's was made again, so its bytes are others: the parts of one never join on to those
    of the other."""
    raw = jpeg()
    take(copy, IDS[0], raw)
    way = Way(laptop)
    work = way.photos(copy)
    path = f"/api/photos/{IDS[0]}?sha256={hashlib.sha256(raw).hexdigest()}"
    sent = way.ask("PUT", path, raw[:1000], {"Content-Range": f"bytes 0-999/{len(raw)}"})
    assert sent[0] == 202 and work.step("a")
    assert way.ask("HEAD", path, None, {})[1]["x-held"] == "1000"
    until_nothing_is_left(work)
    assert "x-stored" in way.ask("HEAD", path, None, {})[1], (
        "the phone is told that it need not go on"
    )
    assert not list((laptop.folder / "photos").glob("*.part"))


def test_entries_go_first(laptop: Laptop, copy: Laptop) -> None:
    """While a photo is on its way part by part, what is noted at the copy waits for one part at
    most."""
    take(copy, IDS[0], jpeg(side=700))
    way = Way(laptop)
    follower = Follower(copy.pit, way.phone.post, lambda said: None, way.photos(copy))
    assert follower.turn()[1]
    mira = copy.join("Mira", seed=3)
    noted = mira.note("while a photo is on its way")
    mira.exchange()
    assert follower.turn()[1] and noted in laptop.ids() and photos(laptop) == []


def test_entries_pass_where_photos_fail(laptop: Laptop, copy: Laptop) -> None:
    take(copy, IDS[0], jpeg())
    way = Way(laptop)
    way.fails["HEAD"] = [0] * 5
    follower = Follower(copy.pit, way.phone.post, lambda said: None, way.photos(copy))
    mira = copy.join("Mira", seed=3)
    for number in range(3):
        noted = mira.note(str(number))
        mira.exchange()
        said, again = follower.turn()
        assert (
            noted in laptop.ids() and "does not answer (the cable was pulled)" in said and not again
        )


def test_over_the_wire(tmp_path: Path, clock: Hands) -> None:
    """Two real servers: what a phone hands to the one is on both."""
    folders = [make_world(tmp_path / name) for name in ("hub", "second")]
    stores = [PhotoStore(folder, clock) for folder in folders]
    with Server(folders[0]) as hub:
        code = pitcrew("code", str(folders[0]), "--role", "lead").stdout.split()[0]
        with Server(
            folders[1], "--hub", f"http://127.0.0.1:{hub.port}", "--hub-token", code
        ) as second:
            for number, server in enumerate((hub, second)):
                token = server.join()
                server.exchange(token, [note("Photo: bent", photos=[IDS[number]])])
                assert (
                    server.call("PUT", f"/api/photos/{IDS[number]}", jpeg(number), token)[0] == 200
                )
            second.wait_until(lambda: [store.ids() for store in stores] == [IDS[:2]] * 2)
