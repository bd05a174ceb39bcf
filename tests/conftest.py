"""For all tests: templates are compiled once in a process, and the same files of a pit folder are
read into definitions once; the rest is in `quick.py`. Property tests are judged by what they find,
not by the clock of a busy machine."""

import os
import pickle
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from flask import Flask
from hypothesis import settings
from jinja2.bccache import Bucket, BytecodeCache

from pitcrew.domain.checks.definitions import Definitions, build_definitions
from pitcrew.domain.robot.mistakes import Mistake
from pitcrew.pit import folder
from tests import quick


class Compiled(BytecodeCache):
    """Compiled templates, kept in memory."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self.kept:
            bucket.bytecode_from_string(self.kept[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.kept[bucket.key] = bucket.bytecode_to_string()


class Parsed:
    """TOML by its text; each caller gets tables of its own."""

    TOMLDecodeError = tomllib.TOMLDecodeError

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def loads(self, text: str) -> dict[str, Any]:
        if text not in self.kept:
            self.kept[text] = pickle.dumps(tomllib.loads(text))
        return pickle.loads(self.kept[text])


class Built:
    """Definitions by the digests of their files and what was wrong with those; each caller gets
    lists and tables of its own."""

    def __init__(self) -> None:
        self.kept: dict[Any, Definitions] = {}

    def __call__(
        self,
        settings: dict[str, Any],
        sheets: dict[str, Any],
        lists: dict[str, Any],
        mistakes: list[Mistake],
        digests: Mapping[str, str],
        spares: dict[str, Any] | None,
    ) -> Definitions:
        key = frozenset(digests.items()), tuple(mistakes)
        if key not in self.kept:
            self.kept[key] = build_definitions(settings, sheets, lists, mistakes, digests, spares)
        found = self.kept[key]
        return replace(
            found,
            robots=dict(found.robots),
            part_checks=dict(found.part_checks),
            mistakes=list(found.mistakes),
            digests=dict(found.digests),
        )


Flask.jinja_options["bytecode_cache"] = Compiled()
folder.tomllib = Parsed()
folder.build_definitions = Built()
quick.keep_what_is_compiled()
quick.hash_pins_fast()
quick.build_addresses_late()
settings.register_profile(
    "untimed", deadline=None, max_examples=int(os.environ.get("PITCREW_EXAMPLES", "40"))
)
settings.load_profile("untimed")
