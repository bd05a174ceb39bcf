"""HTML to PDF in a process of its own, with a time limit and no network: whatever goes wrong there
is one sentence here."""

import subprocess
import sys
from pathlib import Path

from pitcrew.base.errors import BadInput, PitcrewError
from pitcrew.sheets.render import LIBRARY_MISSING

PATIENCE = 60.0
LIBRARIES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
PRINTER = (sys.executable, "-m", "pitcrew.sheets.render")


class NoPrinter(PitcrewError):
    """The PDF could not be made on this laptop; the print view in the browser shows the same
    sheet."""


def render_pdf(
    html: str, *, timeout: float = PATIENCE, printer: tuple[str, ...] = PRINTER
) -> bytes:
    """The PDF of a page that needs nothing from elsewhere (only `data:` addresses are read).
    `timeout` in seconds.

    Raises NoPrinter where the libraries or fonts are missing, the print process fails, or takes
    longer than `timeout`.
    """
    try:
        done = subprocess.run(
            printer, input=html.encode(), capture_output=True, timeout=timeout, check=False
        )
    except subprocess.TimeoutExpired:
        raise _no_printer(f"it took longer than {timeout:g} s") from None
    except OSError as error:
        raise _no_printer(f"the print process did not start, {error.strerror}") from None
    if done.returncode == 0 and done.stdout.startswith(b"%PDF-"):
        return done.stdout
    raise _no_printer(_reason(done))


def write_pdf(html: str, output: Path) -> None:
    """Write the PDF of a page to a file. Raises NoPrinter, and BadInput where the file cannot be
    written."""
    content = render_pdf(html)
    try:
        output.write_bytes(content)
    except OSError as error:
        raise BadInput(
            f"{output} cannot be written ({error.strerror}). Name another file.", "--output"
        ) from None


def _reason(done: "subprocess.CompletedProcess[bytes]") -> str:
    lines = done.stderr.decode(errors="replace").strip().splitlines()
    last = lines[-1].rstrip(".") if lines else "no message"
    if done.returncode == LIBRARY_MISSING:
        return f"a library is missing, {last}; on Debian and Ubuntu: apt install {LIBRARIES}"
    if done.returncode < 0:
        return (
            f"it crashed (signal {-done.returncode}), as without any font; on Debian and Ubuntu:"
            " apt install fonts-dejavu-core"
        )
    return f"the print process failed, {last}"


def _no_printer(reason: str) -> NoPrinter:
    return NoPrinter(
        f"The PDF could not be made here: {reason}. Use the print view in the browser instead."
    )
