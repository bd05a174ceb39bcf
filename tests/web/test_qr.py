"""The phone's QR encoder against two others: the same modules as segno's, and read by zxing-cpp."""

import base64
import random

import pytest
import segno

from tests.web.node import needs_node, run

ENCODE = """
  const { encode } = await js("lib/qr.js");
  return given.map(({ data, version, level, mask }) => {
    const bytes = Uint8Array.from(atob(data), (letter) => letter.charCodeAt(0));
    const { size, dark } = encode(bytes, { version, level, mask });
    return { size, dark: Array.from(dark).join("") };
  });
"""
ROOM = """
  const { capacity } = await js("lib/qr.js");
  return given.map(({ version, level }) => capacity(version, level));
"""
CAPACITY = {
    "10L": 271,
    "10M": 213,
    "15L": 520,
    "15M": 412,
    "20L": 858,
    "20M": 666,
    "25L": 1273,
    "25M": 997,
}
"""Bytes in byte mode, found by encoding with segno 1.6 (ISO/IEC 18004, table 7, says the same)."""


def cases() -> list[dict]:
    """Full codes of every version and level, by what the phone's encoder says that they hold; segno
    takes not a byte more."""
    chance = random.Random(18004)
    kinds = [{"version": version, "level": level} for version in range(1, 26) for level in "LM"]
    found = []
    for kind, most in zip(kinds, run(ROOM, kinds), strict=True):
        with pytest.raises(segno.DataOverflowError):
            by_segno(**kind, data=bytes(most + 1), mask=0)
        data = chance.randbytes(most)
        found += [{**kind, "data": data, "mask": mask} for mask in chance.sample(range(8), 2)]
    return found


def by_segno(version: int, level: str, data: bytes, mask: int) -> segno.QRCode:
    return segno.make(
        data,
        version=version,
        error=level.lower(),
        mode="byte",
        boost_error=False,
        mask=mask,
        micro=False,
    )


@needs_node
def test_modules_are_those_of_another_encoder() -> None:
    """All versions and levels, random masks, every module equal; full codes, since segno 1.6 pads
    with one codeword more than ISO/IEC 18004, 7.4.10 asks for where the stream ends on a
    codeword."""
    wanted = cases()
    assert len(wanted) == 100
    found = run(
        ENCODE, [case | {"data": base64.b64encode(case["data"]).decode()} for case in wanted]
    )
    for case, code in zip(wanted, found, strict=True):
        version, level, length = case["version"], case["level"], len(case["data"])
        modules = "".join(str(module & 1) for row in by_segno(**case).matrix for module in row)
        assert code["size"] == 17 + 4 * version
        assert code["dark"] == modules, f"{version}-{level}, {length} bytes, mask {case['mask']}"
        assert length == CAPACITY.get(f"{version}{level}", length)


@needs_node
@pytest.mark.parametrize(
    ("version", "level", "length"),
    [
        (1, "L", 17),
        (1, "M", 3),
        (7, "L", 100),
        (10, "M", 1),
        (15, "L", 260),
        (20, "M", 666),
        (25, "L", 1200),
    ],
)
def test_a_reader_reads_the_bytes(version: int, level: str, length: int) -> None:
    zxingcpp = pytest.importorskip(
        "zxingcpp", reason="zxing-cpp is not installed: codes are not read back"
    )
    from PIL import Image

    data = random.Random(length).randbytes(length)
    (code,) = run(
        ENCODE,
        [
            {
                "data": base64.b64encode(data).decode(),
                "version": version,
                "level": level,
                "mask": length % 8,
            }
        ],
    )
    size = code["size"]
    small = Image.new("L", (size + 8, size + 8), 255)
    small.putdata(
        [
            (
                255
                if not (4 <= x < size + 4 and 4 <= y < size + 4)
                or code["dark"][(y - 4) * size + x - 4] == "0"
                else 0
            )
            for y in range(size + 8)
            for x in range(size + 8)
        ]
    )
    (found,) = zxingcpp.read_barcodes(small.resize((4 * (size + 8),) * 2, Image.Resampling.NEAREST))
    assert found.bytes == data
