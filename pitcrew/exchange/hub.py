"""The way from a second laptop to its hub over HTTP: exchanges and photos, with the hub's
certificate checked."""

import json
import ssl
from collections.abc import Callable
from http.client import HTTPException
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.request import Request, urlopen

from pitcrew.base.errors import BadInput, Missing, Refused
from pitcrew.pit.roster import CODE_LENGTH, CODE_LETTERS, plain_code, read_secret, write_secret

PATIENCE = 15
HubRequest = Callable[[str, str, bytes | None, dict[str, str]], tuple[int, dict[str, str], bytes]]
"""Asks the hub: method, path, body and headers; its status, headers (names in lower case) and body.
Raises OSError."""


class Hub:
    """A hub that has let this laptop in."""

    def __init__(self, url: str, token: str, folder: Path) -> None:
        """With the hub's token or a join code of it, which is traded for a token and kept in
        secrets/.

        The hub's certificate is checked against `certificates/hub.crt` in the folder (the hub's
        /ca.crt), or else the system's roots. Raises BadInput, Refused and Missing.
        """
        if not url.startswith(("https://", "http://")):
            raise BadInput(
                f"--hub {url!r} is no address. Wanted: the hub's, such as"
                " https://pit-3f9a01bc.local:8443.",
                "--hub",
            )
        self._url, self._trust, self._token = url, _trust(folder), ""
        kept = folder / "secrets" / "hub_token.json"
        self._token = read_secret(kept, {}).get(url, "")
        if _is_code(token):
            self._token = self._joined(token)
            write_secret(kept, {url: self._token})
        elif token:
            self._token = token
        if not self._token:
            raise BadInput(
                "--hub wants --hub-token as well: a join code for a lead, made on the hub, or a"
                " token.",
                "--hub-token",
            )

    def exchange(self, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
        """One exchange; the hub's status and answer. Raises OSError and ValueError."""
        return self._json("/api/entries", body)

    def ask(
        self, method: str, path: str, content: bytes | None, headers: dict[str, str]
    ) -> tuple[int, dict[str, str], bytes]:
        """As `Ask` says."""
        allowed = {"Authorization": f"Bearer {self._token}"} if self._token else {}
        request = Request(self._url.rstrip("/") + path, content, headers | allowed, method=method)
        try:
            with urlopen(
                request,
                timeout=PATIENCE,
                context=self._trust if self._url.startswith("https") else None,
            ) as answer:
                return answer.status, _lower(answer.headers), answer.read()
        except HTTPError as error:
            with error:
                return error.code, _lower(error.headers), error.read()
        except HTTPException as error:
            raise OSError(f"what came is no HTTP: {error or type(error).__name__}") from error

    def _json(self, path: str, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
        status, _, answer = self.ask(
            "POST", path, json.dumps(body).encode(), {"Content-Type": "application/json"}
        )
        found = json.loads(answer)
        if not isinstance(found, dict):
            raise ValueError("what came is no JSON object")
        return status, found

    def _joined(self, code: str) -> str:
        self._token = ""
        try:
            status, answer = self._json(
                "/api/join", {"code": code, "name": "Second laptop", "device": "laptop"}
            )
        except OSError as error:
            raise Missing(
                f"The hub {self._url} does not answer ({why_away(error)}). Look whether it runs and"
                " whether the address is right; for https, save its /ca.crt as"
                " certificates/hub.crt here."
            ) from None
        except ValueError:
            raise Missing(
                f"What answers at {self._url} is no pit. Type the hub's address as its terminal"
                " shows it."
            ) from None
        if status != 200:
            raise Refused(
                f"The hub did not let this laptop in: {answer.get('error', status)}", "--hub-token"
            )
        return str(answer["token"])


def why_away(error: Exception) -> str:
    """What kept the hub from answering, in the system's own words and without its numbers."""
    reason = getattr(error, "reason", error)
    return str(getattr(reason, "strerror", None) or reason).lower()


def _is_code(text: str) -> bool:
    return len(plain_code(text)) == CODE_LENGTH and set(plain_code(text)) <= set(CODE_LETTERS)


def _trust(folder: Path) -> ssl.SSLContext:
    kept = folder / "certificates" / "hub.crt"
    if not kept.exists():
        return ssl.create_default_context()
    raw = kept.read_bytes()
    try:
        if not raw:
            raise ValueError("empty: ssl would take the system's roots instead")
        return ssl.create_default_context(
            cadata=raw.decode("ascii") if raw.startswith(b"-----") else raw
        )
    except (ssl.SSLError, ValueError):
        raise BadInput(
            "certificates/hub.crt is no certificate. Save the hub's /ca.crt there again.", "--hub"
        ) from None


def _lower(headers: Any) -> dict[str, str]:
    return {name.lower(): value for name, value in headers.items()}
