"""What makes a thousand small servers in one process cheap, and changes nothing that a test sees."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from werkzeug.routing import Rule

from pitcrew.pit import pins

SHIPPED_WORK = dict(pins.WORK)
"""What a hash of a PIN costs outside of the tests; `tests/test_pins.py` tries it."""


def keep_what_is_compiled() -> None:
    """Keep modules compiled, whatever the shell says: without that, each of a hundred servers
    compiles the program again, and the tests take twice as long."""
    sys.dont_write_bytecode = False
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def hash_pins_fast() -> None:
    """A PIN's hash without its 50 ms and 16 MB: the same function, the least work."""
    pins.WORK = {**SHIPPED_WORK, "n": 2}


def build_addresses_late() -> None:
    """Each application writes and compiles two Python functions for each of its addresses, for
    links that most tests never make: now when a link is made first."""
    at_once = Rule._compile_builder

    def late(rule: Rule, append_unknown: bool = True) -> Callable[..., tuple[str, str]]:
        built: list[Callable[..., tuple[str, str]]] = []

        def build(self: Rule, *values: Any, **named: Any) -> tuple[str, str]:
            if not built:
                built.append(at_once(rule, append_unknown))
            return built[0](self, *values, **named)

        return build

    Rule._compile_builder = late  # type: ignore[method-assign]


@contextmanager
def no_waiting_for_the_drive() -> Iterator[None]:
    """Files are written as ever, but nothing waits until the drive has them: power fails in none of
    these tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda handle: None)
        yield
