"""Photos beside the logbook: received in parts, looked at, encoded again without their metadata,
and kept under their UUID.

An entry names its photos by UUID; the photo itself may come later or never, and never holds up an
entry. What a phone sent is not kept as it came: it is decoded and encoded again, so no place, no
thumbnail and nothing hidden in the file survives.
`photos/<uuid>.json` says who sent it, and the SHA-256 of what was received and of what was stored.
"""

import hashlib
import json
import re
import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from io import BytesIO
from pathlib import Path

from pitcrew.base.clock import format_instant
from pitcrew.base.errors import BadInput, Conflict, DiskFull, Missing, TooMuch
from pitcrew.storage.durable import replace_whole

LARGEST = 8_000_000
MOST_PIXELS = 50_000_000
MOST_BEGUN = 12
"""Photos that one device may have begun and not finished; a phone sends one after the other."""
ABANDONED = timedelta(hours=2)
"""After this long without a byte a begun photo counts as given up where the device begins
another."""
LONGEST_SIDE = 2000
KINDS = ("JPEG", "PNG", "WEBP")
QUALITY = 82
_SHA256 = re.compile(r"[0-9a-f]{64}")
_UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


@dataclass(frozen=True)
class Photo:
    """A stored photo: who sent it, the SHA-256 of what came and of what was kept, how many bytes
    came, and its size in pixels."""

    id: str
    device: str
    person: str
    received_at: str
    received: str
    stored: str
    bytes: int
    width: int
    height: int


@dataclass(frozen=True)
class PhotoPart:
    """Bytes of a photo from `offset` on; `total` is the length of the whole, `sha256` that of the
    whole where the sender says it."""

    offset: int
    total: int
    content: bytes
    sha256: str = ""


class PhotoStore:
    """The photos of one pit folder."""

    def __init__(self, folder: Path, clock: Callable[[], datetime]) -> None:
        self._folder = folder / "photos"
        self._clock = clock
        self._lock = threading.Lock()
        self._begun: dict[
            str, dict[Path, datetime]
        ] = {}  # by device: where, and when it last brought something

    def ids(self) -> list[str]:
        """The finished photos, oldest id first."""
        return sorted(note.stem for note in self._folder.glob("*.json") if is_photo_id(note.stem))

    def held(self, photo_id: str, sha256: str = "") -> int:
        """How many bytes of a photo have come, those of this very content where it is named; all of
        them once it is whole.

        Raises BadInput for what is no UUID or no SHA-256.
        """
        whole, part = self.find(photo_id), self._part(photo_id, sha256)
        if whole is not None:
            return whole.bytes
        return part.stat().st_size if part.exists() else 0

    def find(self, photo_id: str) -> Photo | None:
        """A finished photo, or None. Raises BadInput for what is no UUID."""
        note = self._path(photo_id, ".json")
        return Photo(**json.loads(note.read_text(encoding="utf-8"))) if note.exists() else None

    def has(self, photo_id: str) -> bool:
        """Whether a photo is here, whole; an entry may name anything."""
        return is_photo_id(photo_id) and self.find(photo_id) is not None

    def jpeg(self, photo_id: str) -> bytes:
        """A finished photo. Raises Missing."""
        if self.find(photo_id) is None:
            raise Missing(
                "This photo has not come over yet. The phone that took it sends it when it meets"
                " the laptop."
            )
        return self._path(photo_id, ".jpg").read_bytes()

    def put(self, photo_id: str, part: PhotoPart, device: str, person: str) -> Photo | None:
        """Take a part; the photo once it is whole, else None. The same photo again is harmless.

        Raises BadInput (no picture, too large), Conflict (the part does not join on, or another
        photo has this id) and DiskFull.
        """
        end = part.offset + len(part.content)
        if not part.content or part.offset < 0 or not end <= part.total <= LARGEST:
            found = f"Bytes {part.offset} to {end} of {part.total} arrived"
            raise BadInput(f"{found}; a photo has 1 to {LARGEST} bytes. Make it smaller.", "offset")
        with self._lock:
            known = self.find(photo_id)
            if known is not None:
                return _same(known, part)
            try:
                return self._take(photo_id, part, device, person)
            except OSError as error:
                raise DiskFull(
                    f"The photo is not stored ({error.strerror}). Keep it on the phone and free"
                    " some space here."
                ) from error

    def _take(self, photo_id: str, part: PhotoPart, device: str, person: str) -> Photo | None:
        path, held = self._part(photo_id, part.sha256), self.held(photo_id, part.sha256)
        if not held:
            self._begin(path, device)
        elif path in self._begun.get(device, {}):
            self._begun[device][path] = self._clock()
        if part.offset > held:
            raise Conflict(
                f"{held} bytes of this photo are here, and bytes from {part.offset} on arrived."
                f" Send from {held} on.",
                "offset",
            )
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("r+b" if held else "wb") as file:
            file.truncate(part.offset)
            file.seek(part.offset)
            file.write(part.content)
        if part.offset + len(part.content) < part.total:
            return None
        raw = path.read_bytes()
        path.unlink()  # whole: it becomes a photo now, or it never will
        if part.sha256 and part.sha256 != _digest(raw):
            raise Conflict("The photo arrived changed. Send it again from the start.", "sha256")
        jpeg, size = encode_anew(raw)
        photo = Photo(
            photo_id,
            device,
            person,
            format_instant(self._clock()),
            received=_digest(raw),
            stored=_digest(jpeg),
            bytes=len(raw),
            width=size[0],
            height=size[1],
        )
        replace_whole(self._path(photo_id, ".jpg"), jpeg)
        replace_whole(self._path(photo_id, ".json"), json.dumps(asdict(photo), indent=1).encode())
        for other in self._folder.glob(f"{photo_id}*.part"):
            other.unlink()  # begun by someone else, who learns that the photo is here
        return photo

    def _begin(self, path: Path, device: str) -> None:
        """Note that a device begins a photo. Raises TooMuch where it has begun many and finished
        none."""
        mine = self._begun.setdefault(device, {})
        for begun in [begun for begun in mine if not begun.exists()]:
            del mine[begun]
        if len(mine) >= MOST_BEGUN:
            self._give_up(mine)
        if len(mine) >= MOST_BEGUN:
            raise TooMuch(
                f"This device has begun {len(mine)} photos and finished none of them; no more are"
                " taken until one is whole. Keep the photo on the phone: it goes over then.",
                "photo",
            )
        mine[path] = self._clock()

    def _give_up(self, begun: dict[Path, datetime]) -> None:
        """Throw away the photos for which nothing has come for long; the phone has them still."""
        for path, heard in list(begun.items()):
            if heard + ABANDONED < self._clock():
                path.unlink(missing_ok=True)
                del begun[path]

    def _part(self, photo_id: str, sha256: str) -> Path:
        """Where the parts of one content are gathered: two who send under one id never mix
        theirs."""
        if sha256 and not _SHA256.fullmatch(sha256):
            raise BadInput(f"{sha256[:70]!r} is no SHA-256 in 64 hex digits.", "sha256")
        return self._path(photo_id, f".{sha256[:16]}.part" if sha256 else ".part")

    def _path(self, photo_id: str, suffix: str) -> Path:
        if not is_photo_id(photo_id):
            raise BadInput(f"{photo_id[:60]!r} is not a UUID in lower case.", "id")
        return self._folder / f"{photo_id}{suffix}"


def is_photo_id(text: str) -> bool:
    """Whether a text may be a photo's id: a UUID in lower case."""
    return bool(_UUID.fullmatch(text))


def encode_anew(raw: bytes) -> tuple[bytes, tuple[int, int]]:
    """A picture as a JPEG of at most 2000 pixels a side, upright, without metadata, and its size.
    Raises BadInput."""
    from PIL import Image, ImageOps

    try:
        with Image.open(BytesIO(raw), formats=KINDS) as found:
            if found.width * found.height > MOST_PIXELS:
                raise BadInput(
                    f"The photo has {found.width} × {found.height} pixels; at most {MOST_PIXELS} in"
                    " all are opened.",
                    "photo",
                )
            upright = ImageOps.exif_transpose(found).convert("RGB")
    except (
        OSError,
        ValueError,
        SyntaxError,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
    ):
        raise BadInput(
            "This is not a photo that can be opened. Wanted: a whole JPEG, PNG or WebP file.",
            "photo",
        ) from None
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    out = BytesIO()
    bare.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue(), bare.size


def _same(known: Photo, part: PhotoPart) -> Photo:
    """The stored photo, unless a whole other one arrived under its id."""
    if len(part.content) == part.total and _digest(part.content) != known.received:
        raise Conflict(
            "Another photo is stored under this id. Both stay where they are; take it again.",
            "id",
        )
    return known


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()
