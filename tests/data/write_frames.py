"""Writes `frames.json`: what frames of one message are, for the laptop's and the phone's code
alike.

python -m tests.data.write_frames
"""

import base64
import json
import zlib

from pitcrew.base.paths import ROOT
from pitcrew.exchange.frames import CHECK, Sender, mix_of

PAYLOAD = json.dumps(
    {
        "pitcrew": "bundle",
        "entries": [
            {"id": f"{number:04d}", "note": "Kettenspannung geprüft"} for number in range(12)
        ],
    }
)
SIZE = 24
MIXES = [
    (16, 16),
    (17, 16),
    (5, 5),
    (40, 40),
    (41, 40),
    (1000, 40),
    (2**32 - 1, 33),
    (2**31, 100),
    (7, 1),
]


def main() -> None:
    """Write the file."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = packer.compress(PAYLOAD.encode()) + packer.flush()
    message = CHECK.pack(len(packed)) + packed
    sender = Sender.of_message(message, SIZE)
    numbers = [*range(0, sender.k, 2), *range(sender.k, sender.k + sender.k // 2 + 6), 123_456]
    vectors = {
        "about": (
            "Blocks of a mix are hex, bit i for block i; frames and the message are base64. See"
            " pitcrew/exchange/frames.py."
        ),
        "mixes": [
            {"number": number, "k": k, "blocks": format(mix_of(number, k), "x")}
            for number, k in MIXES
        ],
        "payload": PAYLOAD,
        "message": base64.b64encode(message).decode(),
        "size": SIZE,
        "k": sender.k,
        "session": sender.session,
        "numbers": numbers,
        "frames": [base64.b64encode(sender.frame(number)).decode() for number in numbers],
    }
    path = ROOT / "tests" / "data" / "frames.json"
    path.write_text(json.dumps(vectors, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
