"""A second laptop as a copy of the first: both ends hold everything, the hub's numbers stay, and
the hub may come and go."""

import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from werkzeug.serving import WSGIRequestHandler, make_server

from pitcrew.base.errors import BadInput, Missing
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.now.view import PitView
from pitcrew.exchange.hub import Hub
from pitcrew.exchange.replica import Follower
from pitcrew.pit.folder import pit_host
from pitcrew.pit.intake import Author
from pitcrew.pit.tls import CertificateFiles, ensure_leaf, root_der
from pitcrew.storage.opening import read_records
from tests.exchange.conftest import CHAIN, Hands, Laptop
from tests.server import Server, free_port, note, pitcrew
from tests.world import make_world


@pytest.fixture
def copy(tmp_path: Path, clock: Hands) -> Iterator[Laptop]:
    made = Laptop(make_world(tmp_path / "second"), clock)
    yield made
    made.stop()


def way(hub: Laptop, role: str = "lead") -> Callable[[dict[str, Any]], tuple[int, dict[str, Any]]]:
    return hub.join("Second laptop", role).post


def made(laptop: Laptop) -> set[str]:
    """Everything but what each laptop noted of its own files."""
    return {record["id"] for record in laptop.records() if record["kind"] != "definitions"}


def test_each_ends_up_with_what_the_other_has(laptop: Laptop, copy: Laptop) -> None:
    here, there = laptop.join("Ivo", seed=1), copy.join("Mira", seed=2)
    for number in range(150):
        here.note(str(number))
        there.note(str(number))
    here.exchange()
    there.exchange()
    follower = Follower(copy.pit, way(laptop), lambda said: None)
    assert follower.once().startswith(
        f"In step with the hub at entry {laptop.pit.journal.head()[0]}"
    )
    assert made(copy) == made(laptop) and len(made(laptop)) == 300 + 3, "with who joined where"
    for laptop_ in (laptop, copy):
        assert len(set(laptop_.ids())) == len(laptop_.ids())
    by_id = {record["id"]: record for record in laptop.records()}
    for record in copy.records():
        if record["person"] == "Ivo":
            assert (record["origin"]["seq"], record["origin"]["seal"]) == (
                by_id[record["id"]]["seq"],
                by_id[record["id"]]["seal"],
            )


def test_again_changes_nothing_and_goes_on_from_where_it_was(laptop: Laptop, copy: Laptop) -> None:
    there, post = copy.join("Mira"), way(laptop)
    there.note()
    there.exchange()
    Follower(copy.pit, post, lambda said: None).once()
    before = (laptop.records(), copy.records())
    Follower(copy.pit, post, lambda said: None).once()
    assert (laptop.records(), copy.records()) == before
    there.note("later")
    there.exchange()
    copy.restart()
    Follower(copy.pit, post, lambda said: None).once()
    assert made(copy) == made(laptop)


def test_an_answer_that_is_lost_is_made_good(laptop: Laptop, copy: Laptop) -> None:
    there, post = copy.join("Mira"), way(laptop)
    there.note()
    there.exchange()

    def lost(body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
        post(body)
        raise OSError("the cable was pulled")

    with pytest.raises(OSError):
        Follower(copy.pit, lost, lambda said: None).once()
    Follower(copy.pit, post, lambda said: None).once()
    assert made(copy) == made(laptop) and len(set(laptop.ids())) == len(laptop.ids())


def test_a_clearance_of_the_hub_never_counts_on_the_copy(
    laptop: Laptop, copy: Laptop, clock: Hands
) -> None:
    laptop.pit.record(
        "clearance", {"decision": "cleared", "seen_seq": 1}, Author("phone", "Ada", "captain")
    )
    Follower(copy.pit, way(laptop), lambda said: None).once()
    with copy.pit.reading() as state:
        assert len(state.clearances) == 1
        assert PitView(Moment(copy.pit.definitions, state, clock(), None)).clearance.state == "none"


def test_a_hub_restored_from_an_older_copy_gets_everything_back(
    laptop: Laptop, copy: Laptop
) -> None:
    ivo, post = laptop.join("Ivo", seed=1), way(laptop)
    backup = laptop.copy("backup")
    ivo.make("fault", part=CHAIN, symptom="slack", grade="watch")
    ivo.note()
    ivo.exchange()
    Follower(copy.pit, post, lambda said: None).once()
    lost = made(laptop)
    laptop.restore(backup)
    Follower(copy.pit, post, lambda said: None).once()
    assert lost <= made(laptop) and made(copy) == made(laptop)


def test_a_hub_that_refuses_is_said_and_loses_nothing(laptop: Laptop, copy: Laptop) -> None:
    there = copy.join("Mira")
    there.note()
    there.exchange()
    before = copy.records()
    assert (
        "401"
        in Follower(copy.pit, lambda body: (401, {"error": "join again"}), lambda said: None).once()
    )
    assert copy.records() == before


@pytest.mark.parametrize(
    ("url", "token"), [("ftp://x", "t"), ("pit.local", "t"), ("https://pit.local:8443", "")]
)
def test_a_wrong_address_is_said(tmp_path: Path, url: str, token: str) -> None:
    with pytest.raises(BadInput, match="--hub"):
        Hub(url, token, tmp_path)


def test_a_hub_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(Missing, match=r"does not answer .* /ca\.crt"):
        Hub(f"http://127.0.0.1:{free_port()}", "K7MQ-4RTX", tmp_path)


@pytest.mark.parametrize(
    "content", [b"", b"junk", b"-----BEGIN CERTIFICATE-----\nx\n", b"-----\xff"]
)
def test_a_damaged_certificate_of_the_hub_is_said(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "certificates").mkdir()
    (tmp_path / "certificates" / "hub.crt").write_bytes(content)
    with pytest.raises(BadInput, match=r"Save the hub's /ca\.crt"):
        Hub("https://127.0.0.1:8443", "t", tmp_path)


@pytest.mark.parametrize(
    ("answer", "wanted"),
    [
        (b"HTTP/1.1 200 OK\r\nContent-Length: 14\r\n\r\n<h1>hello</h1>", "is no pit"),
        (b"HTTP/1.1 200 OK\r\nContent-Length: 3\r\n\r\n[1]", "is no pit"),
        (b"HTTP/1.1 200 OK\r\nContent-Length: 99\r\n\r\n{", "does not answer"),
        (b"220 mail is here\r\n", "does not answer"),
    ],
)
def test_what_answers_but_is_no_pit_is_said(tmp_path: Path, answer: bytes, wanted: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:

        def once() -> None:
            caller, _ = other.accept()
            with caller:
                caller.recv(65_536)
                caller.sendall(answer)

        threading.Thread(target=once, daemon=True).start()
        with pytest.raises(Missing, match=wanted):
            Hub(f"http://127.0.0.1:{other.getsockname()[1]}", "K7MQ-4RTX", tmp_path)


def test_over_the_wire_with_a_join_code_that_is_kept_as_a_token(tmp_path: Path) -> None:
    """Two real servers on plain http; the second is started again without the code."""
    hub, second = make_world(tmp_path / "hub"), make_world(tmp_path / "second")
    with Server(hub) as first:
        code = pitcrew("code", str(hub), "--role", "lead").stdout.split()[0]
        there, mine = ["--hub", f"http://127.0.0.1:{first.port}"], first.join()
        first.exchange(mine, [note("at the hub")])
        with Server(second, *there, "--hub-token", code) as copy:
            copy.exchange(copy.join(), [note("at the copy")])
            copy.wait_until(lambda: {"at the hub", "at the copy"} <= texts(second))
            first.wait_until(lambda: "at the copy" in texts(hub))
        first.exchange(mine, [note("while it was away")])
        with Server(second, *there) as copy:
            copy.wait_until(lambda: "while it was away" in texts(second))


@pytest.mark.parametrize("form", ["der", "pem"])
def test_the_hubs_certificate_is_checked(laptop: Laptop, copy: Laptop, form: str) -> None:
    """With the hub's root beside its own, in either form, the copy trusts it; the same server is
    refused without."""
    files = CertificateFiles(laptop.folder)
    ensure_leaf(files, pit_host(laptop.folder), [], datetime.now(UTC))
    server_side = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server_side.load_cert_chain(files.chain, files.leaf_key)
    server = make_server(
        "127.0.0.1", 0, laptop.app, ssl_context=server_side, threaded=True, request_handler=Quiet
    )
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    address, token = f"https://localhost:{server.server_port}", laptop.join("Second", "lead").token
    hub = Hub(address, token, copy.folder)
    with pytest.raises(OSError, match="certificate verify failed"):
        hub.exchange({})
    kept = copy.folder / "certificates" / "hub.crt"
    kept.write_bytes(files.root.read_bytes() if form == "pem" else root_der(files))
    assert (
        Follower(copy.pit, Hub(address, token, copy.folder).exchange, lambda said: None)
        .once()
        .startswith("In step")
    )
    server.shutdown()
    thread.join()
    server.server_close()


class Quiet(WSGIRequestHandler):
    """Writes nothing on the terminal."""

    def log(self, *_: Any) -> None:
        """Quiet."""


def texts(folder: Path) -> set[str]:
    return {
        record["body"].get("text", "") for record in read_records(folder / "logbook.jsonl").records
    }
