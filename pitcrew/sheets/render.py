"""The print process: HTML on stdin, PDF on stdout. Run as `python -m pitcrew.sheets.render` by
`pdf.py` and by no one else.

It stands alone because the libraries behind WeasyPrint may be missing (OSError), crash without a
font, or take too long.
"""

import os
import sys
from typing import BinaryIO

LIBRARY_MISSING = 3


def main() -> int:
    """Render stdin; 0 when the PDF was written, else a code and one line on stderr."""
    html = sys.stdin.buffer.read().decode("utf-8")
    out = _own_stdout()
    try:
        import weasyprint  # noqa: F401 -- whether it can be loaded is what is asked here
    except (ImportError, OSError) as error:
        print(str(error).splitlines()[0], file=sys.stderr)
        return LIBRARY_MISSING
    with out:
        out.write(rendered(html))
    return 0


def rendered(html: str) -> bytes:
    """The PDF of a page, in this process; nothing is fetched for it, and only `data:` addresses are
    read."""
    from weasyprint import HTML
    from weasyprint.urls import URLFetcher

    document = HTML(
        string=html, base_url="about:blank", url_fetcher=URLFetcher(allowed_protocols=("data",))
    )
    return document.write_pdf(pdf_tags=True)


def _own_stdout() -> BinaryIO:
    """Standard output only for the PDF: what libraries print goes to stderr instead."""
    kept = os.dup(1)
    os.dup2(2, 1)
    return os.fdopen(kept, "wb")


if __name__ == "__main__":
    raise SystemExit(main())
