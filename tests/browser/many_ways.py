"""A laptop on networks that this machine does not have, serving the app on https at its lasting
name."""

import subprocess
import sys
from functools import cached_property
from pathlib import Path

from pitcrew.pit.folder import pit_host
from tests.browser.laptop import Laptop
from tests.server import free_port

SHOP, TETHER, UNTOLD = "192.168.7.20", "172.20.10.2", "10.0.0.7"
SERVE = f"""
import pitcrew.cli.start, pitcrew.pit.addresses, pitcrew.cli.main
pitcrew.cli.start.addresses = lambda: {[SHOP, TETHER, UNTOLD]!r}
pitcrew.pit.addresses.addresses = lambda: {[SHOP, TETHER]!r}
pitcrew.cli.main.main()
"""
"""Its certificate names three addresses, it tells phones of two."""


class ManyWays(Laptop):
    """Serves the app on https at its lasting name."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.secure_port = free_port()

    def started(self, command: list[str]) -> "subprocess.Popen[bytes]":
        told = [*command[3:-1], str(self.secure_port)]
        return subprocess.Popen(
            [sys.executable, "-c", SERVE, *told],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            stdin=subprocess.DEVNULL,
        )

    @cached_property
    def host(self) -> str:
        return pit_host(self.folder)

    @property
    def url(self) -> str:
        return f"https://{self.host}:{self.secure_port}"
