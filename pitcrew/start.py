"""Starting a server for a pit folder: lock, pit, application, and what the terminal shows."""

import sys
import webbrowser
from pathlib import Path
from threading import Timer

import click

from pitcrew.clock import format_instant, system_clock
from pitcrew.commands import make_code
from pitcrew.errors import BadInput
from pitcrew.folder import pit_keys
from pitcrew.pit import Pit, open_pit
from pitcrew.serve import PORT, addresses, check_port, serve
from pitcrew.storage.lock import FolderLock


def start(
    folder: Path, port: int | None, *, cert: Path | None = None, key: Path | None = None, store: str | None = None, open_browser: bool
) -> None:
    """Serve a folder until stopped. Raises Missing, Damaged, Locked and Conflict with the way out."""
    pit_keys(folder)
    if (cert is None) != (key is None):
        raise BadInput("--cert and --key go together: give both or none.", "--cert")
    chosen = port or PORT
    scheme = "https" if cert else "http"
    info = {"port": chosen, "scheme": scheme, "started": format_instant(system_clock())}
    with FolderLock(folder, info) as lock:
        check_port(chosen)
        pit = open_pit(folder, store=store)
        try:
            _serve_pit(pit, chosen, scheme, cert, key, lock.secret, open_browser)
        finally:
            pit.close()


def _serve_pit(pit: Pit, port: int, scheme: str, cert: Path | None, key: Path | None, secret: str, open_browser: bool) -> None:
    from pitcrew.web.app import create_app

    app = create_app(pit, hand_over_secret=secret)
    laptop = f"{scheme}://localhost:{port}/join#{make_code(pit, 'lead')['code']}"
    click.echo("\n".join(_greeting(pit, port, scheme, laptop)))
    sys.stdout.flush()
    if open_browser:
        opener = Timer(1.0, webbrowser.open, args=(laptop,))
        opener.daemon = True
        opener.start()
    serve(app, port, cert, key)


def _greeting(pit: Pit, port: int, scheme: str, laptop: str) -> list[str]:
    crew = make_code(pit, "crew")
    lines = [*pit.journal.report, *(mistake.sentence for mistake in pit.definitions.mistakes[:5])]
    if len(pit.definitions.mistakes) > 5:
        lines.append(f"… and {len(pit.definitions.mistakes) - 5} more mistakes: pitcrew mistakes {pit.folder}")
    lines += ["", f"pitcrew serves {pit.folder}", f"On this laptop, as pit lead:  {laptop}"]
    reached = [f"{scheme}://{address}:{port}/join#{crew['code']}" for address in addresses()]
    lines += [f"On a phone, as crew:          {address}" for address in reached]
    if not reached:
        lines.append("No network interface is up: phones cannot reach this laptop yet.")
    lines += [f"Join code for the crew:       {crew['code']}  (good for {crew['minutes']} min; another with: pitcrew code {pit.folder})"]
    if reached:
        lines += ["", _qr(reached[0])]
    return [*lines, "Stop with Ctrl+C.", ""]


def _qr(text: str) -> str:
    """A QR code as text for the terminal."""
    import io

    import segno

    out = io.StringIO()
    segno.make(text, error="l", micro=False).terminal(out, compact=True, border=2)
    return out.getvalue()
