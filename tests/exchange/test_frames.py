"""Codes: any few more than k frames give the message back, and both languages make the same
bytes."""

import base64
import json
import random
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.errors import BadInput
from pitcrew.base.paths import ROOT
from pitcrew.exchange.frames import CHECK, HEADER, Receiver, Sender, mix_of, read_frame

VECTORS = json.loads((ROOT / "tests" / "data" / "frames.json").read_text(encoding="utf-8"))


def receive(
    sender: Sender, loss: float, random_: random.Random, first: int = 0
) -> tuple[bytes, int]:
    """The payload through a channel that loses frames, and how many frames were shown until it was
    whole."""
    receiver, number = Receiver(), first
    while receiver.payload is None:
        if random_.random() >= loss:
            receiver.add(sender.frame(number))
        number += 1
    return receiver.payload, number - first


@pytest.mark.parametrize(
    "vector", VECTORS["mixes"], ids=lambda vector: f"{vector['number']}-of-{vector['k']}"
)
def test_mixes_are_pinned(vector: dict) -> None:
    assert format(mix_of(vector["number"], vector["k"]), "x") == vector["blocks"]


def test_frames_of_the_vectors_are_read() -> None:
    """The frames that the phone's module makes of the same message, in any order, are the
    message."""
    receiver = Receiver()
    for frame in reversed(VECTORS["frames"]):
        receiver.add(base64.b64decode(frame))
    assert receiver.payload == VECTORS["payload"].encode()


def test_a_sender_makes_the_frames_of_the_vectors() -> None:
    """Compressed texts may differ between compressors, so the vector's own is cut again."""
    frames = [base64.b64decode(frame) for frame in VECTORS["frames"]]
    sender = Sender.of_message(base64.b64decode(VECTORS["message"]), VECTORS["size"])
    assert [sender.frame(VECTORS["numbers"][place]) for place in range(len(frames))] == frames


@given(st.binary(max_size=3000), st.integers(8, 400), st.integers(0, 2**32 - 1), st.floats(0, 0.6))
def test_what_is_sent_arrives(payload: bytes, size: int, seed: int, loss: float) -> None:
    random_ = random.Random(seed)
    assert receive(Sender(payload, size), loss, random_, random_.choice([0, 7, 1000]))[0] == payload


def test_ten_kilobytes_at_thirty_percent_loss() -> None:
    """k / 0.7 frames are the least possible; the mean stays within a tenth of it (random.Random
    seeds 0 to 19)."""
    payload = random.Random(1).randbytes(10_240)
    sender = Sender(payload, 650)
    shown = [receive(sender, 0.3, random.Random(seed))[1] for seed in range(20)]
    assert sender.k == 16
    assert sum(shown) / len(shown) < 1.25 * sender.k / 0.7


def test_repair_frames_alone_are_independent_enough() -> None:
    """All 299 blocks lost: mixes alone give the message with a handful more than k (a linear
    generator would stop at 32)."""
    sender = Sender(random.Random(2).randbytes(300 * 8 - 20), 8)
    assert sender.k == 299
    assert receive(sender, 0.0, random.Random(3), first=sender.k)[1] <= sender.k + 12


def test_a_frame_read_wrong_is_refused() -> None:
    frame = Sender(b"measured", 20).frame(0)
    for place in range(len(frame)):
        torn = frame[:place] + bytes([frame[place] ^ 1]) + frame[place + 1 :]
        with pytest.raises(BadInput):
            read_frame(torn)
    with pytest.raises(BadInput):
        read_frame(frame[:-1])


def test_a_message_that_is_another_session_is_refused() -> None:
    """Blocks that do not belong together never become a payload."""
    frame = Sender(b"measured", 40).frame(0)
    text = HEADER.pack(b"PC", 1, 1, 1, 0) + frame[HEADER.size : -CHECK.size]
    with pytest.raises(BadInput, match="do not fit together"):
        Receiver().add(text + CHECK.pack(zlib.crc32(text)))


def test_another_session_begins_anew() -> None:
    receiver = Receiver()
    receiver.add(Sender(b"a" * 50 + random.Random(4).randbytes(100), 20).frame(0))
    second = Sender(b"other", 40)
    assert receiver.add(second.frame(0)) and receiver.payload == b"other"


def test_too_long_for_codes() -> None:
    with pytest.raises(BadInput, match="Use the file"):
        Sender(random.Random(5).randbytes(30_000), 8)
