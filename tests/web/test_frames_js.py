"""The phone makes the frames that the laptop's code makes; tests/data/frames.json holds both
(tests/test_frames.py the other)."""

import base64
import json
import zlib

from pitcrew.base.paths import ROOT
from pitcrew.exchange.frames import Receiver
from tests.web.node import needs_node, run

VECTORS = json.loads((ROOT / "tests" / "data" / "frames.json").read_text(encoding="utf-8"))
FRAMES = """
  const { seriesOf, mixOf } = await js("lib/frames.js");
  const bytes = Uint8Array.from(atob(given.packed), (letter) => letter.charCodeAt(0));
  const series = seriesOf(bytes, given.size);
  const text = (frame) => btoa(Array.from(frame, (byte) => String.fromCharCode(byte)).join(""));
  const mixes = (given.mixes ?? []).map(({ number, k }) => mixOf(number, k).map(Number));
  return { k: series.k, session: series.session, frames: given.numbers.map((number) => text(series.frame(number))), mixes };
"""


@needs_node
def test_the_phone_makes_the_same_frames() -> None:
    packed = base64.b64encode(base64.b64decode(VECTORS["message"])[4:]).decode()
    found = run(
        FRAMES,
        {
            "packed": packed,
            "size": VECTORS["size"],
            "numbers": VECTORS["numbers"],
            "mixes": VECTORS["mixes"],
        },
    )
    assert (found["k"], found["session"]) == (VECTORS["k"], VECTORS["session"])
    assert found["frames"] == VECTORS["frames"]
    for mix, row in zip(VECTORS["mixes"], found["mixes"], strict=True):
        assert sum(bit << place for place, bit in enumerate(row)) == int(mix["blocks"], 16)


@needs_node
def test_the_laptop_reads_what_the_phone_makes_with_a_third_of_the_frames_lost() -> None:
    payload = b"".join(f"{number} of many entries; ".encode() for number in range(3000))
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = packer.compress(payload) + packer.flush()
    found = run(
        FRAMES,
        {"packed": base64.b64encode(packed).decode(), "size": 200, "numbers": list(range(400))},
    )
    receiver = Receiver()
    for number, frame in enumerate(found["frames"]):
        if number % 3:
            receiver.add(base64.b64decode(frame))
    assert receiver.payload == payload


@needs_node
def test_deflate_in_stored_blocks_where_the_browser_has_no_compressor() -> None:
    """Raw DEFLATE (RFC 1951, 3.2.4): what any reader unpacks, whatever its length."""
    for length in (0, 1, 65_535, 65_536, 140_000):
        packed = run(
            """
          const { stored } = await js("lib/deflate.js");
          return Array.from(stored(new Uint8Array(given).map((_, place) => place % 251)));
        """,
            length,
        )
        assert zlib.decompress(bytes(packed), -15) == bytes(place % 251 for place in range(length))


@needs_node
def test_sha256_is_the_standards() -> None:
    """FIPS 180-4's own examples, and lengths around the padding's edges against hashlib."""
    import hashlib

    known = {
        "": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
        "abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    }
    texts = [*known, *("ü" * count for count in (27, 28, 31, 32, 64, 5000))]
    found = run(
        'const { sha256Hex } = await js("lib/sha256.js"); return given.map((text) =>'
        " sha256Hex(text));",
        texts,
    )
    assert found == [hashlib.sha256(text.encode()).hexdigest() for text in texts]
    assert all(found[texts.index(text)] == digest for text, digest in known.items())
