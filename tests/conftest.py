"""For all tests: templates are compiled once in a process, not once for each application that a test makes."""

from flask import Flask
from jinja2.bccache import Bucket, BytecodeCache


class Compiled(BytecodeCache):
    """Compiled templates, kept in memory."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self.kept:
            bucket.bytecode_from_string(self.kept[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.kept[bucket.key] = bucket.bytecode_to_string()


Flask.jinja_options["bytecode_cache"] = Compiled()
