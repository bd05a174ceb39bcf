"""A real server process for tests, on a port of its own, and commands beside it."""

import http.client
import json
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from pitcrew.base.clock import format_instant, system_clock
from pitcrew.base.entries import new_id
from pitcrew.cli.dispatch import run_command

PATIENCE = 120


def free_port() -> int:
    """A port that no one listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def pitcrew(*arguments: str) -> subprocess.CompletedProcess[str]:
    """A command, to its end; the caller looks at its exit code."""
    command = [sys.executable, "-m", "pitcrew", *arguments]
    return subprocess.run(
        command,
        capture_output=True,
        text=True,
        check=False,
        stdin=subprocess.DEVNULL,
        timeout=PATIENCE,
    )


def note(text: str, **more: object) -> dict[str, Any]:
    """An entry as a phone makes one."""
    now = system_clock()
    return {
        "id": new_id(now),
        "kind": "note",
        "at": format_instant(now),
        "body": {"text": text, **more},
    }


class Server:
    """`pitcrew serve` on a folder, answering once it is made; in a `with` it is left by SIGTERM
    unless it ended before."""

    def __init__(self, folder: Path, *options: str, port: int | None = None) -> None:
        self.folder, self.port = folder, port or free_port()
        self._output = folder.with_name(f"{folder.name}.out")
        ports = ["--port", str(self.port), "--secure-port", "0"]
        command = [
            sys.executable,
            "-X",
            "faulthandler",
            "-m",
            "pitcrew",
            "serve",
            str(folder),
            *ports,
            *options,
        ]
        with self._output.open("wb") as output:
            self.process = subprocess.Popen(
                command, stdout=output, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL
            )
        self.wait_until(self.answers)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.process.poll() is not None:
            return
        try:
            self.stop()
        except subprocess.TimeoutExpired:
            self.kill()

    def stop(self, how: signal.Signals = signal.SIGTERM) -> int:
        """Ask it to end; its exit code."""
        self.process.send_signal(how)
        return self.process.wait(PATIENCE)

    def kill(self) -> None:
        """Pull the plug."""
        self.process.kill()
        self.process.wait()

    def answers(self) -> bool:
        try:
            return self.call("GET", "/healthz")[0] == 200
        except OSError:
            return False

    def call(
        self, method: str, path: str, body: object = None, token: str = ""
    ) -> tuple[int, dict[str, Any]]:
        """One request: the status and the JSON answer."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        headers = {"Content-Type": "application/json"} | (
            {"Authorization": f"Bearer {token}"} if token else {}
        )
        try:
            content = body if body is None or isinstance(body, bytes) else json.dumps(body)
            connection.request(method, path, content, headers)
            answer = connection.getresponse()
            return answer.status, json.loads(answer.read())
        finally:
            connection.close()

    def join(self, name: str = "Ada", role: str = "crew") -> str:
        """A new device of a person; its token."""
        code = run_command(self.folder, "code", {"role": role})["code"]
        status, answer = self.call(
            "POST", "/api/join", {"code": code, "name": name, "device": "test"}
        )
        assert status == 200, answer
        return answer["token"]

    def exchange(self, token: str, entries: list[dict[str, Any]]) -> dict[str, Any]:
        """Hand over entries as a phone that knows nothing; the answer holds the whole log."""
        status, answer = self.call(
            "POST",
            "/api/entries",
            {"log": None, "after": 0, "sent_at": None, "entries": entries},
            token,
        )
        assert status == 200, answer
        return answer

    def wait_until(self, true: Callable[[], bool]) -> None:
        """Wait for something that another process does."""
        end = time.monotonic() + PATIENCE
        while not true():
            assert self.process.poll() is None, f"the server stopped:\n{self._output.read_text()}"
            if time.monotonic() > end:
                self.process.send_signal(
                    signal.SIGABRT
                )  # it then says where each of its threads stands
                self.process.wait()
                raise AssertionError(f"it did not happen:\n{self._output.read_text()}")
            time.sleep(0.05)
