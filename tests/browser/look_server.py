"""Serves the style page and the Walk page with sample data, without the pitcrew server: for
screenshots and for the browser test of the Walk. `python -m tests.browser.look_server [PORT]`.
"""

import json
import mimetypes
import sys
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from types import SimpleNamespace
from typing import Any, ClassVar

from markupsafe import Markup

from pitcrew.base.paths import STATIC
from pitcrew.web.headers import policy
from pitcrew.web.packing import packed
from pitcrew.web.pages import SCREENS
from pitcrew.web.screen import in_menu
from pitcrew.web.shell import PACKED
from tests.web.look import LOOK, clock, snapshot
from tests.web.sample import environment


def page(template: str, here: str, **context: Any) -> str:
    """A page as the server would give it."""
    env = environment().overlay()
    env.globals.update(
        asset=lambda name: f"/static/{name}", get_flashed_messages=lambda with_categories: []
    )
    env.filters.update(
        instant=lambda moment: moment or "",
        clock_time=lambda moment: moment[11:16],
        page_json=lambda value: Markup(json.dumps(value).replace("<", "\\u003c")),
    )
    shared = {
        "here": here,
        "clock": clock(),
        "now": clock().now,
        "mistakes": [],
        "menu": in_menu(SCREENS),
        "device": SimpleNamespace(person="Ivo", role="crew"),
    }
    return env.get_template(template).render({**shared, **context})


class Handler(BaseHTTPRequestHandler):
    """Two pages, the static files, and an exchange that accepts everything while `taking` holds."""

    taking = True
    entries: ClassVar[list[dict[str, Any]]] = []

    def do_GET(self) -> None:
        """A page or a file."""
        path = self.path.partition("?")[0]
        if path == "/walk":
            self._send(page("walk/walk.html", "/walk", snapshot=snapshot()).encode())
        elif path in ("/", "/look", "/now"):
            self._send(page("look/look.html", "/now", **LOOK, mistakes=[1, 2]).encode())
        elif path == "/api/snapshot":
            self._send(json.dumps(snapshot()).encode(), "application/json")
        elif (name := path.removeprefix("/static/")) in PACKED:
            self._send(packed(name, SCREENS).encode(), PACKED[name])
        elif path.startswith("/static/") and (
            STATIC / path.removeprefix("/static/")
        ).resolve().is_relative_to(STATIC):
            file = STATIC / path.removeprefix("/static/")
            if file.is_file():
                self._send(
                    file.read_bytes(),
                    mimetypes.guess_type(file.name)[0] or "application/octet-stream",
                )
            else:
                self.send_error(404)
        else:
            self.send_error(404)

    def do_POST(self) -> None:
        """The exchange."""
        message = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        if not self.taking:
            self.send_error(503)
            return
        self.entries.extend(message["entries"])
        answer = {
            "log": "sample",
            "now": clock().now,
            "head": len(self.entries),
            "more": False,
            "refused": [],
            "entries": [],
            "accepted": [
                {"id": entry["id"], "seq": number}
                for number, entry in enumerate(message["entries"], 1)
            ],
        }
        self._send(json.dumps(answer).encode(), "application/json")

    def _send(self, body: bytes, kind: str = "text/html; charset=utf-8") -> None:
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Content-Security-Policy", policy("", 0))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: Any) -> None:
        """Silent."""


def serve(port: int = 0) -> ThreadingHTTPServer:
    """A server that is bound but does not run yet."""
    return ThreadingHTTPServer(("127.0.0.1", port), Handler)


if __name__ == "__main__":
    with serve(int(sys.argv[1]) if len(sys.argv) > 1 else 8099) as server:
        print(f"http://127.0.0.1:{server.server_port}/look and /walk", flush=True)
        server.serve_forever()
