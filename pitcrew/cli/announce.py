"""The pit's `.local` name on every network that the laptop is on, announced by multicast DNS (RFC
6762).

Interfaces come and go (a phone is tethered, Wi-Fi is left): `refresh` is called with the current
addresses. If port 5353 cannot be used, `report` says so; the numeric addresses always work.
"""

import socket
from typing import Any

SERVICE = "_https._tcp.local."


class Announcer:
    """Announces one host name with its port. Call `refresh` with the current addresses, `close`
    when done."""

    def __init__(self, host: str, port: int) -> None:
        self.report = ""
        self._host, self._port = host, port
        self._zeroconf: Any = None
        self._addresses: tuple[str, ...] = ()

    def refresh(self, addresses: list[str]) -> None:
        """Announce the name at these IPv4 addresses; nothing is sent when they are those of the
        last call."""
        wanted = tuple(sorted(addresses))
        if wanted == self._addresses:
            return
        self._addresses = wanted
        try:
            self._announce()
            self.report = ""
        except (
            OSError,
            RuntimeError,
        ) as error:  # zeroconf raises both where a port or interface is not to be had
            self.report = (
                f"The name {self._host} cannot be announced here ({error}). Use the numeric"
                " address."
            )

    def close(self) -> None:
        """Take the name back."""
        if self._zeroconf is not None:
            self._zeroconf.close()
            self._zeroconf = None

    def _announce(self) -> None:
        from zeroconf import IPVersion, ServiceInfo, Zeroconf

        if self._zeroconf is None:
            self._zeroconf = Zeroconf(ip_version=IPVersion.V4Only)
        else:
            self._zeroconf.update_interfaces()
            self._zeroconf.unregister_all_services()
        if self._addresses:
            name = self._host.removesuffix(".local")
            packed = [socket.inet_aton(address) for address in self._addresses]
            self._zeroconf.register_service(
                ServiceInfo(
                    SERVICE,
                    f"{name}.{SERVICE}",
                    port=self._port,
                    addresses=packed,
                    server=f"{self._host}.",
                ),
                allow_name_change=False,
                cooperating_responders=True,
            )
