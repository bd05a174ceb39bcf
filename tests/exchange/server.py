"""A real server process for tests, on a port of its own."""

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

from pitcrew.clock import format_instant, system_clock
from pitcrew.entries import new_id

PATIENCE = 120


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Server:
    """`pitcrew serve` on a folder, as a context manager; left by SIGTERM, or by `kill` before."""

    def __init__(self, folder: Path, *options: str, port: int | None = None) -> None:
        self.folder, self.port = folder, port or free_port()
        self._options = options
        self._output = folder.with_name(f"{folder.name}.out")
        self.token = ""

    def __enter__(self) -> Self:
        ports = ["--port", str(self.port), "--secure-port", "0"]
        command = [sys.executable, "-X", "faulthandler", "-m", "pitcrew", "serve", str(self.folder), *ports, *self._options]
        with self._output.open("wb") as output:
            self.process = subprocess.Popen(command, stdout=output, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL)
        self.wait_until(self.answers)
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.process.terminate()
        try:
            self.process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            self.kill()

    def kill(self) -> None:
        """Pull the plug."""
        self.process.kill()
        self.process.wait()

    def answers(self) -> bool:
        try:
            return self.call("GET", "/healthz")[0] == 200
        except OSError:
            return False

    def call(self, method: str, path: str, body: object = None, token: str = "") -> tuple[int, dict[str, Any]]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        headers = {"Content-Type": "application/json"} | ({"Authorization": f"Bearer {token}"} if token else {})
        try:
            content = body if body is None or isinstance(body, bytes) else json.dumps(body)
            connection.request(method, path, content, headers)
            answer = connection.getresponse()
            return answer.status, json.loads(answer.read())
        finally:
            connection.close()

    def command(self, name: str, *arguments: str) -> str:
        """A command beside the running server."""
        whole = [sys.executable, "-m", "pitcrew", name, str(self.folder), *arguments]
        return subprocess.run(whole, capture_output=True, text=True, check=True).stdout

    def join(self, name: str = "Ivo", role: str = "crew") -> str:
        code = self.command("code", "--role", role).split()[0]
        return self.call("POST", "/api/join", {"code": code, "name": name, "device": "test"})[1]["token"]

    def note(self, text: str, **more: object) -> None:
        """Hand over one note."""
        self.token = self.token or self.join()
        now = system_clock()
        entry = {"id": new_id(now), "kind": "note", "at": format_instant(now), "body": {"text": text, **more}, "shape": 1}
        status, answer = self.call("POST", "/api/entries", {"log": None, "after": 0, "sent_at": None, "entries": [entry]}, self.token)
        assert status == 200 and answer["accepted"], answer

    def wait_until(self, true: Callable[[], bool]) -> None:
        """Wait for something that another process does."""
        end = time.monotonic() + PATIENCE
        while not true():
            assert self.process.poll() is None, f"the server stopped:\n{self._output.read_text()}"
            if time.monotonic() > end:
                self.process.send_signal(signal.SIGABRT)  # it then says where each of its threads stands
                self.process.wait()
                raise AssertionError(f"it did not happen:\n{self._output.read_text()}")
            time.sleep(0.05)
