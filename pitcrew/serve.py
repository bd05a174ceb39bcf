"""The server: hypercorn in one process, WSGI mode, with our own thread pool (asyncio's own has 6 threads on two cores).

SIGTERM and SIGINT finish what is under way. One process holds everything, so a kill leaves nothing behind.
"""

import asyncio
import os
import signal
import socket
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from flask import Flask

from pitcrew.errors import Conflict

THREADS = 32
READ_TIMEOUT = 15
GRACE = 5
LARGEST_BODY = 8 * 1024 * 1024
PORT = 8765


@dataclass(frozen=True)
class Listening:
    """Where a server listens: the port, and the addresses at which phones on the same network reach it."""

    port: int
    addresses: list[str]
    scheme: str


def addresses() -> list[str]:
    """The IPv4 addresses of this laptop's interfaces, loopback left out."""
    import ifaddr

    found = [ip.ip for adapter in ifaddr.get_adapters() for ip in adapter.ips if ip.is_IPv4]
    return sorted(str(ip) for ip in found if not str(ip).startswith("127."))


def check_port(port: int) -> None:
    """Raise Conflict with the way out when the port cannot be listened on."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("0.0.0.0", port))
        except OSError as error:
            reason = error.strerror or "not available"
            raise Conflict(f"Port {port} cannot be used ({reason.lower()}). Choose another: --port {port + 1}", "--port") from None


def serve(app: Flask, port: int, cert: Path | None = None, key: Path | None = None) -> None:
    """Serve until SIGTERM or SIGINT; then finish what is under way within a bounded time and return."""
    asyncio.run(_serve(app, port, cert, key))


async def _serve(app: Flask, port: int, cert: Path | None, key: Path | None) -> None:
    from hypercorn.asyncio import serve as run
    from hypercorn.config import Config

    config = Config()
    config.bind = [f"0.0.0.0:{port}"]
    config.read_timeout = READ_TIMEOUT
    config.keep_alive_timeout = 30
    config.graceful_timeout = GRACE
    config.wsgi_max_body_size = LARGEST_BODY
    config.h11_max_incomplete_size = 32 * 1024
    config.accesslog = None
    config.errorlog = "-"
    config.loglevel = "WARNING"
    config.include_server_header = False
    if cert and key:
        config.certfile, config.keyfile = str(cert), str(key)
    loop = asyncio.get_running_loop()
    loop.set_default_executor(ThreadPoolExecutor(THREADS, thread_name_prefix="web"))
    stop = asyncio.Event()
    for name in (signal.SIGTERM, signal.SIGINT):
        try:
            loop.add_signal_handler(name, stop.set)
        except NotImplementedError:  # Windows
            signal.signal(name, lambda *_: loop.call_soon_threadsafe(stop.set))
    await run(app, config, shutdown_trigger=stop.wait, mode="wsgi")
    _bound_the_exit()


def _bound_the_exit() -> None:
    """A silent TLS client may hold the loop's end for 30 s: every acknowledged entry is on disk, so leave after GRACE."""
    timer = threading.Timer(GRACE, os._exit, args=(0,))
    timer.daemon = True
    timer.start()
