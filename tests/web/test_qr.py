"""The phone's QR encoder against two others: the same modules as segno's, and read by zxing-cpp."""

import base64
import random

import pytest
import segno

from tests.web.node import needs_node, run

ENCODE = """
  const { encode, capacity } = await js("lib/qr.js");
  return given.map(({ data, version, level, mask }) => {
    const bytes = Uint8Array.from(atob(data), (letter) => letter.charCodeAt(0));
    const { size, dark } = encode(bytes, { version, level, mask });
    return { size, dark: Array.from(dark).join(""), capacity: capacity(version, level) };
  });
"""
CAPACITY = {"10L": 271, "10M": 213, "15L": 520, "15M": 412, "20L": 858, "20M": 666, "25L": 1273, "25M": 997}
"""Bytes in byte mode, found by encoding with segno 1.6 (ISO/IEC 18004, table 7, says the same)."""


def cases() -> list[dict]:
    chance = random.Random(18004)
    found = []
    for version in range(1, 26):
        for level in "LM":
            data = chance.randbytes(segno_capacity(version, level))
            found += [{"data": data, "version": version, "level": level, "mask": mask} for mask in chance.sample(range(8), 2)]
    return found


def segno_capacity(version: int, level: str) -> int:
    """The most bytes that segno takes, by trying."""
    low, high = 1, 3000
    while low < high:
        middle = (low + high + 1) // 2
        try:
            segno.make(bytes(middle), version=version, error=level.lower(), mode="byte", boost_error=False, mask=0, micro=False)
            low = middle
        except segno.DataOverflowError:
            high = middle - 1
    return low


@needs_node
def test_modules_are_those_of_another_encoder() -> None:
    """All versions and levels, random masks, every module equal; full codes, since segno 1.6 pads with one codeword more than
    ISO/IEC 18004, 7.4.10 asks for where the stream ends on a codeword."""
    wanted = cases()
    found = run(ENCODE, [case | {"data": base64.b64encode(case["data"]).decode()} for case in wanted])
    for case, code in zip(wanted, found, strict=True):
        version, level = case["version"], case["level"]
        other = segno.make(
            case["data"], version=version, error=level.lower(), mode="byte", boost_error=False, mask=case["mask"], micro=False)
        modules = "".join(str(module & 1) for row in other.matrix for module in row)
        assert code["size"] == 17 + 4 * version
        assert code["dark"] == modules, f"{version}-{level}, {len(case['data'])} bytes, mask {case['mask']}"
        assert code["capacity"] == segno_capacity(version, level) == CAPACITY.get(f"{version}{level}", code["capacity"])


@needs_node
@pytest.mark.parametrize(("version", "level", "length"), [
    (1, "L", 17), (1, "M", 3), (7, "L", 100), (10, "M", 1), (15, "L", 260), (20, "M", 666), (25, "L", 1200)])
def test_a_reader_reads_the_bytes(version: int, level: str, length: int) -> None:
    zxingcpp = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed: codes are not read back")
    from PIL import Image

    data = random.Random(length).randbytes(length)
    (code,) = run(ENCODE, [{"data": base64.b64encode(data).decode(), "version": version, "level": level, "mask": length % 8}])
    size = code["size"]
    small = Image.new("L", (size + 8, size + 8), 255)
    small.putdata([255 if not (4 <= x < size + 4 and 4 <= y < size + 4) or code["dark"][(y - 4) * size + x - 4] == "0" else 0
                   for y in range(size + 8) for x in range(size + 8)])
    (found,) = zxingcpp.read_barcodes(small.resize((4 * (size + 8),) * 2, Image.Resampling.NEAREST))
    assert found.bytes == data
