"""Codes in pictures of the laptop's camera, by zxing-cpp (an optional extra)."""

from importlib.util import find_spec
from io import BytesIO
from typing import Any

from pitcrew.base.errors import BadInput, Missing

MOST_PIXELS = 4_000_000
LACKING = (
    "Reading codes with the camera needs one more library here: in pitcrew's own folder,"
    " .venv/bin/pip install -e '.[camera]', then start the server again. The phone's file does the"
    " same without it."
)


def can_read() -> bool:
    """Whether the library that reads codes is installed."""
    return find_spec("zxingcpp") is not None


def codes_in(picture: bytes, width: int = 0, height: int = 0) -> list[bytes]:
    """The bytes of every QR code in a picture: grey values row by row, or (`width` 0) a PNG or JPEG
    file.

    Raises BadInput for what is no picture and Missing where the library is not installed.
    """
    if not can_read():
        raise Missing(LACKING)
    import zxingcpp

    image = _grey(picture, width, height) if width else _opened(picture)
    found = zxingcpp.read_barcodes(image, formats=zxingcpp.barcode_formats_from_str("QRCode"))
    return [bytes(code.bytes) for code in found]


def _grey(picture: bytes, width: int, height: int) -> Any:
    from PIL import Image

    if width < 1 or height < 1 or width * height > MOST_PIXELS or len(picture) != width * height:
        raise BadInput(
            f"{len(picture)} bytes arrived for {width} × {height} grey values. Reload the page.",
            "width",
        )
    return Image.frombytes("L", (width, height), picture)


def _opened(picture: bytes) -> Any:
    from PIL import Image

    try:
        with Image.open(BytesIO(picture), formats=("PNG", "JPEG")) as found:
            if found.width * found.height > MOST_PIXELS:
                raise BadInput(
                    f"The picture has {found.width} × {found.height} pixels; 1280 × 720 is enough.",
                    "width",
                )
            return found.convert("L")
    except (
        OSError,
        ValueError,
        SyntaxError,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
    ):
        raise BadInput(
            "This is not a picture that can be opened. Wanted: PNG, JPEG or grey values.", "body"
        ) from None
