"""Starting a server for a pit folder: lock, pit, certificates, application, and what the terminal
shows."""

import gc
import sys
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from socket import socket
from threading import Timer
from typing import Any

import click

from pitcrew.base.clock import format_instant, system_clock
from pitcrew.base.errors import BadInput, Conflict
from pitcrew.cli.announce import Announcer
from pitcrew.cli.serve import PORT, Secure, claim, serve
from pitcrew.domain.patterns.memory import Memory
from pitcrew.domain.patterns.record import Scope
from pitcrew.domain.patterns.report import report
from pitcrew.exchange.hub import Hub
from pitcrew.exchange.hubphotos import HubPhotos
from pitcrew.exchange.replica import Follower
from pitcrew.pit.addresses import addresses
from pitcrew.pit.commands import make_code
from pitcrew.pit.folder import pit_host, pit_keys
from pitcrew.pit.photos import PhotoStore
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.pit.tls import CertificateFiles, ensure_leaf
from pitcrew.storage.lock import FolderLock

SECURE_PORT = 8443
WARM_UP_AFTER = 5.0
"""Seconds after the start: the first answers come first."""


@dataclass(frozen=True)
class Options:
    """How to serve: ports (None: the usual one, 0 for https: none), a certificate of one's own, the
    browser, and a hub to follow."""

    port: int | None = None
    secure_port: int | None = None
    cert: Path | None = None
    key: Path | None = None
    store: str | None = None
    open_browser: bool = False
    hub: str | None = None
    hub_token: str | None = None


def start(folder: Path, options: Options) -> None:
    """Serve a folder until stopped. Raises Missing, Damaged, Locked and Conflict with the way
    out."""
    pit_keys(folder)
    if (options.cert is None) != (options.key is None):
        raise BadInput("--cert and --key go together: give both or none.", "--cert")
    hub = Hub(options.hub, options.hub_token or "", folder) if options.hub else None
    port = options.port or PORT
    scheme = "https" if options.cert else "http"
    info = {"port": port, "scheme": scheme, "started": format_instant(system_clock())}
    with FolderLock(folder, info) as lock, claim(port) as listener:
        pit = open_pit(folder, store=options.store)
        follower = (
            Follower(
                pit,
                hub.exchange,
                click.echo,
                HubPhotos(pit, PhotoStore(folder, pit.clock), hub.ask),
            )
            if hub
            else None
        )
        rest = pit.continuity.keep_by_the_minute()
        try:
            if follower:
                follower.start()
            _serve_pit(pit, listener, options, lock.secret)
        finally:
            if follower:
                follower.close()
            rest()
            pit.close()


def _serve_pit(pit: Pit, listener: socket, options: Options, secret: str) -> None:
    from pitcrew.web.app import create_app

    port = listener.getsockname()[1]
    scheme = "https" if options.cert else "http"
    secure, announcer, remarks = _secure_side(pit, options)
    origin = (
        f"https://{pit_host(pit.folder)}:{secure.listener.getsockname()[1]}"
        if announcer and secure
        else ""
    )
    app = create_app(pit, hand_over_secret=secret, origin=origin, port=0 if options.cert else port)
    laptop = f"{scheme}://localhost:{port}/join#{make_code(pit, 'lead')['code']}"
    click.echo("\n".join(_greeting(pit, port, scheme, laptop, remarks)))
    sys.stdout.flush()
    if options.open_browser:
        _later(1.0, webbrowser.open, laptop)
    _later(WARM_UP_AFTER, warm_up, pit, app.extensions["patterns"])
    gc.freeze()  # what is here now stays: neither requests nor the end wait for a search through it
    try:
        if options.cert and options.key:
            serve(app, None, Secure(listener, options.cert, options.key))
        else:
            serve(app, listener, secure)
    finally:
        if announcer:
            announcer.close()


def warm_up(pit: Pit, memory: Memory) -> None:
    """Work out the patterns once, so that the first look at them does not wait for scipy's import
    and the judging of old readings."""
    with (
        suppress(Exception),
        memory.looking(pit) as record,
    ):  # what fails here fails again, and says so, when someone looks
        report(record, Scope())


def _later(seconds: float, action: Callable[..., Any], *arguments: Any) -> None:
    timer = Timer(seconds, action, args=arguments)
    timer.daemon = True
    timer.start()


def _secure_side(pit: Pit, options: Options) -> tuple[Secure | None, Announcer | None, list[str]]:
    """The pit's own https with its name announced, or why there is none."""
    port = SECURE_PORT if options.secure_port is None else options.secure_port
    if options.cert or not port:
        return None, None, []
    files, host = CertificateFiles(pit.folder), pit_host(pit.folder)
    if not files.intermediate_key.exists():
        return (
            None,
            None,
            [
                "This pit has no certificates, so phones cannot keep the app. Make them with:"
                " pitcrew certificates FOLDER"
            ],
        )
    try:
        listener = claim(port, "--secure-port")
    except Conflict as error:
        return (
            None,
            None,
            [f"{error.sentence} Until then there is no https, and phones cannot keep the app."],
        )
    announcer = Announcer(host, port)

    def renew() -> bool:
        found = addresses()
        announcer.refresh(found)
        return ensure_leaf(files, host, found, pit.clock())

    renew()
    remarks = [
        f"As an app on phones:          https://{host}:{port}  (first open the help page below)",
        announcer.report,
    ]
    return (
        Secure(listener, files.chain, files.leaf_key, renew),
        announcer,
        [remark for remark in remarks if remark],
    )


def _greeting(pit: Pit, port: int, scheme: str, laptop: str, remarks: list[str]) -> list[str]:
    crew = make_code(pit, "crew")
    lines = [*pit.journal.report, *(mistake.sentence for mistake in pit.definitions.mistakes[:5])]
    if len(pit.definitions.mistakes) > 5:
        lines.append(
            f"… and {len(pit.definitions.mistakes) - 5} more mistakes: pitcrew mistakes"
            f" {pit.folder}"
        )
    lines += ["", f"pitcrew serves {pit.folder}", f"On this laptop, as pit lead:  {laptop}"]
    reached = [f"{scheme}://{address}:{port}" for address in addresses()]
    lines += [f"On a phone, as crew:          {address}/join#{crew['code']}" for address in reached]
    lines += [
        *remarks,
        *(f"Help page for phones:         {address}/help" for address in reached[:1]),
    ]
    if not reached:
        lines.append("No network interface is up: phones cannot reach this laptop yet.")
    lines += [
        f"Join code for the crew:       {crew['code']}  (good for {crew['minutes']} min; another"
        f" with: pitcrew code {pit.folder})"
    ]
    if reached:
        lines += ["", _qr(f"{reached[0]}/join#{crew['code']}")]
    return [*lines, "Stop with Ctrl+C.", ""]


def _qr(text: str) -> str:
    """A QR code as text for the terminal."""
    import io

    import segno

    out = io.StringIO()
    segno.make(text, error="l", micro=False).terminal(out, compact=True, border=2)
    return out.getvalue()
