"""A pit laptop for browser tests: a real server process over a small pit folder, that can be
killed, restarted and emptied."""

import json
import signal
import subprocess
import sys
import time
import urllib.request
from collections import Counter
from datetime import timedelta
from pathlib import Path
from typing import Any

from pitcrew.base.clock import system_clock
from pitcrew.cli.dispatch import run_command
from pitcrew.pit.pit import open_pit
from tests.server import free_port
from tests.world import make_world

PATIENCE = 90.0
SLACK = "chain-slack@lift.chain.left"
SCHEDULE = "match,date,time,red 1,red 2,blue 1,blue 2\n12,{day},{time},12,8,21,30\n"


class Laptop:
    """One pit folder and the server over it."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, free_port()
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def make(self) -> "Laptop":
        """The folder with one chain, and a match of ours in three hours."""
        from pitcrew.base.clock import zone
        from pitcrew.pit.commands import import_schedule

        make_world(self.folder)
        start = system_clock().astimezone(zone("Europe/Oslo")) + timedelta(hours=3)
        pit = open_pit(self.folder)
        import_schedule(
            pit, SCHEDULE.format(day=start.strftime("%Y-%m-%d"), time=start.strftime("%H:%M"))
        )
        pit.close()
        return self

    def start(self) -> "Laptop":
        """Serve; returns once it answers."""
        command = [
            sys.executable,
            "-m",
            "pitcrew",
            "serve",
            str(self.folder),
            "--port",
            str(self.port),
            "--secure-port",
            "0",
        ]
        self.process = self.started(command)
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            try:
                self.health()
                return self
            except OSError:
                time.sleep(0.05)
        self.kill()
        raise AssertionError("the server did not answer")

    def started(self, command: list[str]) -> "subprocess.Popen[bytes]":
        """The server process."""
        return subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL
        )

    def kill(self) -> None:
        """As a pulled plug: SIGKILL."""
        if self.process:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()
            self.process = None

    def freeze(self) -> None:
        """As a network that leads nowhere: connections are taken, and nothing is ever answered."""
        assert self.process
        self.process.send_signal(signal.SIGSTOP)

    def thaw(self) -> None:
        """Answer again, what was asked meanwhile included."""
        assert self.process
        self.process.send_signal(signal.SIGCONT)

    def health(self) -> dict[str, Any]:
        """What `/healthz` answers."""
        with urllib.request.urlopen(f"http://127.0.0.1:{self.port}/healthz", timeout=2) as answer:
            return json.load(answer)

    def code(self, role: str = "crew") -> str:
        """A join code."""
        return run_command(self.folder, "code", {"role": role})["code"]

    def records(self) -> list[dict[str, Any]]:
        """The logbook's entries, as the file holds them."""
        from pitcrew.pit.pit import glance

        return glance(self.folder).records

    def times(self, entries: list[dict[str, Any]]) -> list[int]:
        """How often each of these entries is in the logbook."""
        count = Counter(record["id"] for record in self.records())
        return [count[entry["id"]] for entry in entries]
