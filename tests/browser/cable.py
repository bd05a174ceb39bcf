"""A way to the laptop that can be pulled out: a port that hands every byte on to another, until it
is unplugged or leads nowhere."""

import socket
import threading
from contextlib import suppress


class Cable:
    """Listens on a port of its own; `unplug` refuses from then on, `block` takes connections and
    never answers."""

    def __init__(self, target: int) -> None:
        self._target = target
        self._open: list[socket.socket] = []
        self._blocked = False
        self._listener: socket.socket | None = None
        self.port = 0
        self.plug()

    def plug(self) -> None:
        """Connect, again where it was."""
        self._blocked = False
        if self._listener is None:
            self._listener = socket.create_server(("127.0.0.1", self.port))
            self.port = self._listener.getsockname()[1]
            threading.Thread(target=self._accept, args=(self._listener,), daemon=True).start()

    def unplug(self) -> None:
        """Cut everything; new connections are refused."""
        listener, self._listener = self._listener, None
        for item in [*([listener] if listener else []), *self._open]:
            with suppress(OSError):
                item.shutdown(socket.SHUT_RDWR)
            item.close()
        self._open.clear()

    def block(self) -> None:
        """Cut everything; new connections hang."""
        self.unplug()
        self.plug()
        self._blocked = True

    def _accept(self, listener: socket.socket) -> None:
        with suppress(OSError):
            while True:
                self._join(listener.accept()[0])

    def _join(self, near: socket.socket) -> None:
        self._open.append(near)
        if self._blocked:
            return
        with suppress(OSError):
            far = socket.create_connection(("127.0.0.1", self._target))
            self._open.append(far)
            for ends in ((near, far), (far, near)):
                threading.Thread(target=_pump, args=ends, daemon=True).start()


def _pump(source: socket.socket, drain: socket.socket) -> None:
    with suppress(OSError):
        while data := source.recv(65536):
            drain.sendall(data)
    with suppress(OSError):
        drain.shutdown(socket.SHUT_WR)
