"""A store: the log as one file an entry, in a folder."""

SHELF = '''"""A folder with one file an entry."""

import uuid
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pitcrew.storage.codec import decode_line, encode_line
from pitcrew.storage.journal import Engine, Journal, LogRecord, Stamp
from pitcrew.storage.table import TABLE, EntryStorage
from pitcrew.storage.tiny import TinyJournal


class ShelfStorage(EntryStorage):
    def __init__(self, folder: Path) -> None:
        folder.mkdir(exist_ok=True)
        self._folder, self.report = folder, []
        self._name = folder / "log"
        self.log = self._name.read_text() if self._name.exists() else ""
        if not self.log:
            self.renew()

    def renew(self) -> None:
        self.log = uuid.uuid4().hex
        self._name.write_text(self.log)

    def read(self) -> dict[str, dict[str, Any]]:
        records = [decode_line(path.read_bytes()) for path in sorted(self._folder.glob("*.entry"))]
        return {TABLE: {str(record["seq"]): record for record in records if record}}

    def take_loaded(self) -> list[LogRecord]:
        return list(self.read()[TABLE].values())

    def append(self, records: Sequence[LogRecord]) -> None:
        for record in records:
            (self._folder / f"{record['seq']:09}.entry").write_bytes(encode_line(record))


def _opened(where: str, stamp: Stamp, create: bool, fsync: bool) -> Journal:
    return TinyJournal(ShelfStorage(Path(where)), stamp)


ENGINE = Engine(_opened, durable=True)
'''
FILES = {"pitcrew/storage/engines/shelf.py": SHELF}
TRIED = """
import sys
from pathlib import Path
from pitcrew.pit.folder import bundled_sheets, make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import open_pit

folder = Path(sys.argv[1])
make_folder(folder, "", bundled_sheets(), [])
store = f"shelf://{folder}/shelf"
pit = open_pit(folder, store=store)
body = {"part": "lift.chain.left", "symptom": "Tooth 3 is chipped.", "grade": "watch"}
pit.record("fault", body, Author("phone", "Runa", "crew"))
head = pit.journal.head()
pit.close()
print("no logbook.jsonl", not (folder / "logbook.jsonl").exists())
pit = open_pit(folder, store=store)
with pit.reading() as state:
    print([fault.symptom for fault in state.faults.values()])
print(pit.journal.head() == head)
pit.close()
"""
