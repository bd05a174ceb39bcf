"""A real server process: it answers, stops politely, dies without losing anything, and commands
work beside it."""

import http.client
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.server import PATIENCE, Server, free_port, note, pitcrew
from tests.world import make_world

SILENCE = 1.0
"""Seconds without another byte after which an answer has ended on a connection that is kept
open."""


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    with Server(make_world(tmp_path / "pit")) as started:
        yield started


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One for all that only talk to it: that it lives on is what they try."""
    with Server(make_world(tmp_path_factory.mktemp("standing") / "pit")) as started:
        yield started


def test_what_was_acknowledged_is_there_after_a_kill(server: Server) -> None:
    token = server.join()
    acknowledged = server.exchange(token, [note(f"n {number}") for number in range(20)])["accepted"]
    server.kill()
    with Server(server.folder) as again:
        held = {record["id"]: record["seq"] for record in again.exchange(token, [])["entries"]}
    assert len(acknowledged) == 20
    assert {item["id"]: item["seq"] for item in acknowledged}.items() <= held.items()


def test_a_polite_stop_ends_well_and_frees_port_and_folder(server: Server) -> None:
    assert server.stop() == 0
    again = Server(server.folder, port=server.port)
    assert again.stop(signal.SIGINT) == 0


def test_of_two_servers_that_start_at_once_one_gets_the_port(tmp_path: Path) -> None:
    """The other says so in a sentence; where only https is taken, it serves without."""
    ports = [free_port(), free_port(), free_port()]
    folders = [make_world(tmp_path / "one"), tmp_path / "two", tmp_path / "three"]
    assert pitcrew("certificates", str(folders[0])).returncode == 0
    for folder in folders[1:]:
        shutil.copytree(folders[0], folder)
    chosen = [(ports[0], ports[2]), (ports[0], ports[2]), (ports[1], ports[2])]
    started = [
        subprocess.Popen(
            [
                sys.executable,
                "-m",
                "pitcrew",
                "serve",
                str(folder),
                "--port",
                str(port),
                "--secure-port",
                str(secure),
            ],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            stdin=subprocess.DEVNULL,
        )
        for folder, (port, secure) in zip(folders, chosen, strict=True)
    ]
    try:
        wait_until(lambda: any(process.poll() is not None for process in started[:2]))
        wait_until(lambda: all(is_served(port) for port in ports[:2]))
    finally:
        for process in started:
            process.send_signal(signal.SIGTERM)
        said = [process.communicate(timeout=PATIENCE)[0] for process in started]
    assert not any("Traceback" in text for text in said), said
    assert (
        sorted(process.returncode == 0 for process in started[:2]) == [False, True]
        and started[2].returncode == 0
    )
    assert sum(f"Port {ports[0]} cannot be used" in text for text in said) == 1
    assert (
        sum(
            f"Port {ports[2]} cannot be used" in text and "Until then there is no https" in text
            for text in said
        )
        == 1
    )


def is_served(port: int) -> bool:
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/healthz", timeout=PATIENCE) as answer:
            return answer.status == 200
    except OSError:
        return False


def wait_until(true: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end and not true():
        time.sleep(0.05)


def test_an_answer_without_a_body_arrives(standing: Server) -> None:
    """HEAD, and a file that the browser has already (304)."""
    connection = http.client.HTTPConnection("127.0.0.1", standing.port, timeout=PATIENCE)
    connection.request("HEAD", "/healthz")
    head = connection.getresponse()
    assert (head.status, head.read()) == (200, b"")
    connection.request("GET", "/static/any/css/base.css")
    first = connection.getresponse()
    first.read()
    connection.request(
        "GET", "/static/any/css/base.css", headers={"If-None-Match": first.headers["ETag"]}
    )
    again = connection.getresponse()
    assert (first.status, again.status, again.read()) == (200, 304, b"")
    connection.close()


def test_a_second_server_names_the_first(standing: Server) -> None:
    second = pitcrew("serve", str(standing.folder), "--port", str(free_port()))
    assert second.returncode == 1
    assert f"process {standing.process.pid}" in second.stderr
    assert f"http://localhost:{standing.port}" in second.stderr
    assert "Traceback" not in second.stderr


def test_a_port_in_use_names_another(standing: Server, tmp_path: Path) -> None:
    other = pitcrew("serve", str(make_world(tmp_path / "other")), "--port", str(standing.port))
    assert other.returncode == 1
    assert f"--port {standing.port + 1}" in other.stderr


def test_commands_work_beside_the_server(standing: Server, tmp_path: Path) -> None:
    matches = tmp_path / "matches.csv"
    matches.write_text("match,time,red 1,red 2,blue 1,blue 2\n1,2026-03-07 10:20,12,7,9,4\n")
    first = pitcrew("import-schedule", str(standing.folder), str(matches))
    assert (first.returncode, first.stdout) == (
        0,
        "1 match read, 1 new or changed.\n",
    ), first.stderr
    again = pitcrew("import-schedule", str(standing.folder), str(matches))
    assert again.stdout == "1 match read, 0 new or changed.\n"
    assert pitcrew("verify", str(standing.folder)).returncode == 0
    assert "joins as mentor" in pitcrew("code", str(standing.folder), "--role", "mentor").stdout
    kinds = [record["kind"] for record in standing.exchange(standing.join(), [])["entries"]]
    assert kinds.count("match_run") == 1


def test_nobody_else_may_hand_over(standing: Server) -> None:
    status, answer = standing.call("POST", "/hand-over/code", {"role": "lead"})
    assert status == 403
    assert set(answer) == {"error", "field", "status"}


def test_slow_and_silent_clients_do_not_stop_the_others(standing: Server) -> None:
    """Forty connections that say nothing, or half a request, while a good client is answered."""
    silent = [socket.create_connection(("127.0.0.1", standing.port)) for _ in range(40)]
    for number, client in enumerate(silent):
        if number % 2:
            client.sendall(
                b"POST /api/entries HTTP/1.1\r\nHost: x\r\nContent-Length: 1000\r\n\r\n{"
            )
    try:
        assert standing.call("GET", "/healthz")[0] == 200
    finally:
        for client in silent:
            client.close()


def test_a_large_body_is_refused_and_the_server_lives(standing: Server) -> None:
    token = standing.join()
    status, answer = standing.call(
        "POST", "/api/entries", {"entries": [note("x" * 3000) for _ in range(120)]}, token
    )
    assert status == 413
    assert "Send half" in answer["error"]
    assert standing.call("GET", "/healthz")[0] == 200


def test_one_process_holds_everything(standing: Server) -> None:
    children = Path(f"/proc/{standing.process.pid}/task/{standing.process.pid}/children")
    if not children.exists():
        pytest.skip("this system does not list child processes in /proc")
    assert children.read_text().split() == []
    assert os.path.exists(standing.folder / "server.lock")


def said_to(server: Server, request: bytes) -> bytes:
    """What the server answers to these very bytes, up to its end or, once something came, a moment
    of silence."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=PATIENCE) as client:
        client.sendall(request)
        client.shutdown(socket.SHUT_WR)
        answer = b""
        with suppress(TimeoutError):
            while piece := client.recv(65536):
                answer += piece
                client.settimeout(SILENCE)
    return answer


@pytest.mark.parametrize(
    "head",
    [
        b"Content-Length: 2\r\nContent-Length: 40\r\n",
        b"Content-Length: -1\r\n",
        b"Content-Length: 0x10\r\n",
        b"Content-Length: 99999999999999999999\r\n",
        b"Content-Length: 4\r\nTransfer-Encoding: chunked\r\n",
        b"Transfer-Encoding: chunked, identity\r\n",
        b"Content-Length: 10\r\n",
    ],
)
def test_a_length_that_lies_smuggles_nothing_in(standing: Server, head: bytes) -> None:
    """Two lengths, no number, more than comes, or two framings: never a second request out of what
    follows, and the server lives."""
    hidden = b"GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n"
    answer = said_to(
        standing, b"POST /api/entries HTTP/1.1\r\nHost: x\r\n" + head + b"\r\n0\r\n\r\n" + hidden
    )
    assert b" 200 " not in answer.split(b"\r\n\r\n", 1)[0] and b"Traceback" not in answer
    assert standing.call("GET", "/healthz")[0] == 200


@pytest.mark.parametrize(
    "request_",
    [
        (
            b"GET /now HTTP/1.1\r\nHost: x\r\nConnection: Upgrade\r\nUpgrade:"
            b" websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key:"
            b" dGhlIHNhbXBsZSBub25jZQ==\r\nOrigin: https://evil.example\r\n\r\n"
        ),
        b"CONNECT evil.example:443 HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n",
        b"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n",
        (
            b"TRACE /now HTTP/1.1\r\nHost: x\r\nCookie: pitcrew=secret-cookie\r\nConnection:"
            b" close\r\n\r\n"
        ),
        b"GET /now HTTP/1.1\r\nHost: x\r\nHost: y\r\n\r\n",
        b"GET /../../etc/passwd HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n",
        b"GET /now HTTP/1.1\r\nHost: a b\r\nX: " + b"a" * 70_000 + b"\r\n\r\n",
    ],
)
def test_a_strange_request_gets_nothing_and_the_server_lives(
    standing: Server, request_: bytes
) -> None:
    answer = said_to(standing, request_)
    first = answer.split(b"\r\n", 1)[0]
    assert not first or first.split(b" ")[1] in (
        b"302",
        b"400",
        b"403",
        b"404",
        b"405",
        b"426",
        b"431",
    ), first
    assert b"secret-cookie" not in answer and b"root:" not in answer and b"Traceback" not in answer
    assert standing.call("GET", "/healthz")[0] == 200
