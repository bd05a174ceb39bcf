"""Running a writing command: under the folder's lock, or handed over to the server that holds
it."""

import json
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from pathlib import Path
from typing import Any

from pitcrew.base.errors import BadInput, Locked, PitcrewError
from pitcrew.exchange.commands import run
from pitcrew.pit.folder import pit_keys
from pitcrew.pit.pit import open_pit
from pitcrew.storage.lock import FolderLock, read_holder

PATIENCE = 60


def run_command(folder: Path, name: str, arguments: dict[str, Any]) -> dict[str, Any]:
    """Run one writing command on a pit folder, beside a running server or alone. Raises the
    command's errors."""
    pit_keys(folder)
    holder = read_holder(folder)
    if holder is None:
        return _run_alone(folder, name, arguments)
    return _hand_over(holder, name, arguments)


def _run_alone(folder: Path, name: str, arguments: dict[str, Any]) -> dict[str, Any]:
    with FolderLock(folder, {"command": name}):
        pit = open_pit(folder)
        try:
            return run(pit, name, arguments)
        finally:
            pit.close()


def _hand_over(holder: dict[str, Any], name: str, arguments: dict[str, Any]) -> dict[str, Any]:
    if not holder.get("port"):
        raise Locked(
            f"Another pitcrew command (process {holder.get('pid')}) is at work in this folder. Try"
            " again in a moment."
        )
    answer, status = _post(holder, name, arguments)
    if status == 200:
        return answer
    kind = BadInput if status == 400 else PitcrewError
    raise kind(str(answer.get("error", f"The server answered {status}.")), answer.get("field"))


def _post(
    holder: dict[str, Any], name: str, arguments: dict[str, Any]
) -> tuple[dict[str, Any], int]:
    import ssl

    port = int(holder["port"])
    connection: HTTPConnection
    if holder.get("scheme") == "https":  # our own loopback port, known by the lock file's secret
        connection = HTTPSConnection(
            "127.0.0.1", port, timeout=PATIENCE, context=ssl._create_unverified_context()
        )
    else:
        connection = HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    headers = {
        "Content-Type": "application/json",
        "X-Pitcrew-Secret": str(holder.get("secret", "")),
    }
    try:
        connection.request("POST", f"/hand-over/{name}", json.dumps(arguments), headers)
        response = connection.getresponse()
        return json.loads(response.read()), response.status
    except (OSError, HTTPException, ValueError) as error:
        raise Locked(
            f"The server of this folder (process {holder.get('pid')}, port {port}) does not answer"
            f" ({error}). Try again, or stop it first."
        ) from None
    finally:
        connection.close()
