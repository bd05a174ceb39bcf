"""The server: hypercorn in one process, WSGI mode, with our own thread pool (asyncio's own has 6
threads on two cores).

Plain http on one port (this laptop, and the help page for phones that do not trust the pit yet),
https with the pit's own certificate on another. SIGTERM and SIGINT finish what is under way. One
process holds everything, so a kill leaves nothing behind.
"""

import asyncio
import os
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from ssl import SSLContext
from typing import Any

from flask import Flask

from pitcrew.base.errors import Conflict

THREADS = 32
READ_TIMEOUT = 15
GRACE = 5
BACKLOG = 100
LARGEST_BODY = 8 * 1024 * 1024
PORT = 8765
LOOK_EVERY = 15
"""Seconds between two looks at the laptop's addresses."""


@dataclass(frozen=True)
class Secure:
    """The https side: its socket, chain and key, and what to call (in a thread) to renew them; it
    returns whether they changed."""

    listener: socket.socket
    chain: Path
    key: Path
    renew: Callable[[], bool] = lambda: False


def claim(port: int, option: str = "--port") -> socket.socket:
    """A socket that listens on `port`, taken for good: of two servers that start at once only one
    gets it. Raises Conflict."""
    listener = socket.socket()
    try:
        if os.name == "posix":  # elsewhere the option would let two servers share the port
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        listener.bind(("0.0.0.0", port))
        listener.listen(BACKLOG)
    except OSError as error:
        listener.close()
        reason = (error.strerror or "not available").lower()
        raise Conflict(
            f"Port {port} cannot be used ({reason}). Choose another: {option} {port + 1}", option
        ) from None
    listener.setblocking(False)
    return listener


def serve(app: Flask, plain: socket.socket | None, secure: Secure | None = None) -> None:
    """Serve http on `plain`, https beside it, until SIGTERM or SIGINT; then finish what is under
    way in bounded time."""
    asyncio.run(_serve(app, plain, secure))


async def _serve(app: Flask, plain: socket.socket | None, secure: Secure | None) -> None:
    from hypercorn.asyncio import serve as run

    config = _config(plain, secure)
    loop = asyncio.get_running_loop()
    loop.set_default_executor(ThreadPoolExecutor(THREADS, thread_name_prefix="web"))
    stop = asyncio.Event()
    for name in (signal.SIGTERM, signal.SIGINT):
        try:
            loop.add_signal_handler(name, stop.set)
        except NotImplementedError:  # Windows
            signal.signal(name, lambda *_: loop.call_soon_threadsafe(stop.set))
    watcher = loop.create_task(_watch(config.contexts, secure)) if secure else None
    await run(_with_a_chunk(app), config, shutdown_trigger=stop.wait, mode="wsgi")
    if watcher:
        watcher.cancel()
    _bound_the_exit()


def _with_a_chunk(app: Flask) -> Callable[..., Iterator[bytes]]:
    """hypercorn begins an answer with its first chunk, so one without a body (304, to HEAD) gets an
    empty chunk; else it fails."""

    def run(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterator[bytes]:
        body = app(environ, start_response)
        try:
            yield b""
            yield from body
        finally:
            getattr(body, "close", lambda: None)()

    return run


def _config(plain: socket.socket | None, secure: Secure | None):
    from hypercorn.config import Config, Sockets

    class ClaimedConfig(Config):
        """Serves on sockets claimed earlier, and remembers its TLS contexts: a renewed
        certificate serves the next handshake."""

        contexts: list[SSLContext]

        def create_sockets(self) -> Sockets:
            return Sockets([secure.listener] if secure else [], [plain] if plain else [], [])

        def create_ssl_context(self) -> SSLContext | None:
            context = super().create_ssl_context()
            if context is not None:
                self.contexts.append(context)
            return context

    config = ClaimedConfig()
    config.contexts = []
    if secure:
        config.certfile, config.keyfile = str(secure.chain), str(secure.key)
    config.read_timeout, config.keep_alive_timeout, config.graceful_timeout = (
        READ_TIMEOUT,
        30,
        GRACE,
    )
    config.wsgi_max_body_size, config.h11_max_incomplete_size = LARGEST_BODY, 32 * 1024
    config.accesslog, config.errorlog, config.loglevel = None, "-", "WARNING"
    config.include_server_header = False
    return config


async def _watch(contexts: list[SSLContext], secure: Secure) -> None:
    """Renew the certificate when the laptop's addresses change, without a restart."""
    while True:
        await asyncio.sleep(LOOK_EVERY)
        if await asyncio.to_thread(secure.renew):
            for context in contexts:
                context.load_cert_chain(secure.chain, secure.key)


def _bound_the_exit() -> None:
    """A silent TLS client may hold the loop's end for 30 s: every acknowledged entry is on disk, so
    leave after GRACE."""
    timer = threading.Timer(GRACE, os._exit, args=(0,))
    timer.daemon = True
    timer.start()
