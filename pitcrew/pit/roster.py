"""Who has joined: devices with their tokens, join codes and PINs. These are secrets, never entries.

They live in `secrets/` of the pit folder (mode 0600), are not exchanged, exported or printed.
Tokens and codes are kept as SHA-256 hashes: they are long random words, so a slow hash would add
nothing; PINs are short and use scrypt (`pins.py`).
"""

import hashlib
import hmac
import json
import secrets
import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from pitcrew.base.clock import Clock, format_instant, parse_instant
from pitcrew.base.entries import check_texts
from pitcrew.base.errors import BadInput, DiskFull, Missing, NotJoined, Refused, UnknownName
from pitcrew.base.lookalikes import looks_like
from pitcrew.pit.waits import Waits
from pitcrew.storage.durable import replace_whole

ROLES = ("crew", "captain", "mentor", "lead")
CODE_LETTERS = "ABCDEFGHJKMNPQRTUVWXY346789"
CODE_LENGTH = 8


@dataclass(frozen=True)
class Device:
    """One joined phone or laptop. `token` is the hash of its bearer token, `offset` what its clock
    lacked in s when last heard."""

    id: str
    label: str
    person: str
    role: str
    token: str
    joined_at: str
    heard_at: str = ""
    unsent: int = 0
    withdrawn_at: str = ""
    offset: float | None = None


@dataclass(frozen=True)
class JoinCode:
    """A code that lets `uses` more devices join with a role until it expires. `code` is its hash.

    `person`: whose devices, once the first has joined; a crew's code is for everyone, so that it
    stays empty there.
    """

    code: str
    role: str
    expires_at: str
    uses: int
    person: str = ""


@dataclass(frozen=True)
class Joined:
    """What a new device gets once: its bearer token and who it is."""

    token: str
    device: Device


def hash_of(secret: str) -> str:
    """The stored form of a token or code."""
    return hashlib.sha256(secret.encode()).hexdigest()


def write_secret(path: Path, value: Any, durable: bool = True) -> None:
    """Replace a secrets file as a whole, readable only by the laptop's owner; `durable`: wait for
    the disk."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    replace_whole(path, json.dumps(value, indent=1).encode(), mode=0o600, durable=durable)


def keep_secret(path: Path, value: Any) -> None:
    """`write_secret` for what a person waits for. Raises DiskFull; then the old content stands."""
    try:
        write_secret(path, value)
    except OSError as error:
        raise DiskFull(
            f"The laptop's disk does not take it ({error.strerror}): nothing was changed. "
            "Free some space there, then do it again."
        ) from error


def read_secret(path: Path, missing: Any) -> Any:
    """The content of a secrets file, or `missing` where there is none."""
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return missing
    except ValueError:
        raise Missing(
            f"{path.name} in secrets/ cannot be read. Put back a copy of it, or remove it and join"
            " again."
        ) from None


class Roster:
    """The people and devices of one pit folder. Every change is on disk before the call returns."""

    def __init__(self, folder: Path, clock: Clock) -> None:
        self._path = folder / "secrets" / "roster.json"
        self._clock = clock
        self._lock = threading.Lock()
        stored = read_secret(self._path, {"devices": [], "codes": []})
        self._devices = {item["id"]: Device(**item) for item in stored["devices"]}
        self._codes = {item["code"]: JoinCode(**item) for item in stored["codes"]}
        self._waits = Waits(clock)

    def make_code(self, role: str, lifetime: timedelta, uses: int = 10) -> str:
        """A fresh join code, such as `K7MQ-4RTX`, for `uses` devices. Raises UnknownName."""
        if role not in ROLES:
            raise UnknownName("The role", role, ROLES, "role")
        code = "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))
        expires = self._clock() + lifetime
        with self._lock:
            made = JoinCode(hash_of(code), role, format_instant(expires), uses)
            self._save(codes={**self._current_codes(), made.code: made})
        return f"{code[:4]}-{code[4:]}"

    def join(
        self,
        code: str,
        name: str,
        label: str,
        address: str,
        browser: str = "",
        note: Callable[[Device], None] = lambda device: None,
    ) -> Joined:
        """Let a device in. Raises Refused for a wrong, used or late code and for too many tries,
        BadInput for a name.

        `browser` tells the browsers behind one address apart, so that one that guesses holds up
        no other. A name that reads like one that has joined is that one's: no one is two people by
        another script or an unseen letter. `note` writes the device down before it is let in, and
        what it raises lets no one in.
        """
        folded = " ".join(name.split())
        check_texts(folded, "name")
        check_texts(label, "device")
        person = self._spelled(folded)
        if not (looks_like(person) and len(person) <= 40):
            raise BadInput(
                "Type your name, 1 to 40 letters, so that the crew knows who measured.", "name"
            )
        now = self._clock()
        with self._lock:
            tries = self._waits.of(hash_of(plain_code(code)), address, browser)
            tries.refuse_while_waiting()
            known = self._codes.get(hash_of(plain_code(code)))
            if known is None or known.uses < 1 or parse_instant(known.expires_at) < now:
                tries.count_miss()
                raise Refused(
                    "This join code is not known, used up or too old. Ask the pit lead for a fresh"
                    " one.",
                    "code",
                )
            if known.person not in ("", person):
                tries.count_miss()
                raise Refused(
                    "This code is for the devices of somebody else. Ask the pit lead for one of"
                    " your own.",
                    "code",
                )
            tries.forget()
            return self._admit(known, person, label, now, note)

    def device_of_token(self, token: str) -> Device:
        """The device with that bearer token. Raises NotJoined for an unknown or withdrawn one."""
        wanted = hash_of(token)
        for device in list(self._devices.values()):
            if hmac.compare_digest(device.token, wanted):
                return self._admitted(device)
        raise NotJoined(
            "This device has not joined, or its token is not known here. Join with a code from the"
            " pit lead."
        )

    def device(self, device_id: str) -> Device:
        """The device of a page session. Raises NotJoined for an unknown or withdrawn one."""
        if device_id not in self._devices:
            raise NotJoined("This device has not joined. Join with a code from the pit lead.")
        return self._admitted(self._devices[device_id])

    def devices(self) -> list[Device]:
        """All devices, withdrawn ones included, in the order in which they joined."""
        return list(self._devices.values())

    def heard(self, device_id: str, unsent: int, offset: float | None) -> None:
        """Remember that a device spoke to the laptop now, how many entries it still holds, and its
        clock's error (kept in memory)."""
        device = self._devices[device_id]
        self._devices[device_id] = replace(
            device, heard_at=format_instant(self._clock()), unsent=unsent, offset=offset
        )

    def withdraw(self, device_id: str) -> Device:
        """Stop a device: its token and session hold no more. Raises Missing."""
        with self._lock:
            if device_id not in self._devices:
                raise Missing("There is no such device. Reload the page.")
            device = replace(self._devices[device_id], withdrawn_at=format_instant(self._clock()))
            self._save(devices={**self._devices, device_id: device})
            return device

    def role_of(self, person: str) -> str:
        """The widest role that a person holds on any device that is not withdrawn; empty when
        unknown."""
        held = [
            device.role
            for device in self._devices.values()
            if device.person == person and not device.withdrawn_at
        ]
        return max(held, key=ROLES.index, default="")

    def _spelled(self, person: str) -> str:
        """A name as the first device has it that joined under one that reads alike."""
        mine = looks_like(person)
        return next(
            (
                device.person
                for device in self._devices.values()
                if looks_like(device.person) == mine
            ),
            person,
        )

    def _admit(
        self,
        code: JoinCode,
        person: str,
        label: str,
        now: datetime,
        note: Callable[[Device], None],
    ) -> Joined:
        token = secrets.token_urlsafe(32)
        device = Device(
            id=secrets.token_hex(8),
            label=" ".join(label.split())[:60] or "phone",
            person=person,
            role=code.role,
            token=hash_of(token),
            joined_at=format_instant(now),
            heard_at=format_instant(now),
        )
        note(device)
        used = replace(code, uses=code.uses - 1, person=person if code.role != "crew" else "")
        self._save({**self._devices, device.id: device}, {**self._codes, code.code: used})
        return Joined(token, device)

    def _admitted(self, device: Device) -> Device:
        if device.withdrawn_at:
            raise NotJoined(
                "This device was withdrawn by the pit lead. What it holds is kept; ask for a fresh"
                " join code."
            )
        return device

    def _current_codes(self) -> dict[str, JoinCode]:
        now = self._clock()
        return {
            key: code
            for key, code in self._codes.items()
            if code.uses > 0 and parse_instant(code.expires_at) >= now
        }

    def _save(
        self,
        devices: dict[str, Device] | None = None,
        codes: dict[str, JoinCode] | None = None,
    ) -> None:
        """Put new devices or codes in the place of the old ones, on disk first."""
        devices = self._devices if devices is None else devices
        codes = self._codes if codes is None else codes
        keep_secret(
            self._path,
            {
                "devices": [asdict(device) for device in devices.values()],
                "codes": [asdict(code) for code in codes.values()],
            },
        )
        self._devices, self._codes = devices, codes


def plain_code(typed: str) -> str:
    """A code as typed by a person, without dashes and spaces, in capitals."""
    return "".join(letter for letter in typed.upper() if letter.isalnum())
