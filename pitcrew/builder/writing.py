"""Build sheets as text: a new one with a heading for each block, and changes in one that stands,
where comments and order stay."""

import re
from typing import Any

from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.builder.building import Built

HEAD = (
    "Written by pitcrew build from answers; edit it as you like, README.md in checklists/ explains"
    " every key."
)
OPEN = 'What no one knows yet is "unknown"; { assumed = … } is a usual value, to be confirmed.'


PART = "[[part]]"
_HEAD = re.compile(r"^[ \t]*(\[\[?[^\[\]\n]+\]\]?)[ \t]*(?:#.*)?\r?$", re.MULTILINE)


def sheet_text(built: Built) -> str:
    """A build sheet as TOML."""
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment(HEAD))
    document.add(tomlkit.comment(OPEN))
    first = {part: label for label, part in built.sections.items()}
    for name, value in built.sheet.items():
        document.add(tomlkit.nl())
        if name == "hold_path":
            document.add(tomlkit.comment("--- What holds it up, from the bar down"))
        document.add(name, _rows(value, first) if isinstance(value, list) else _table(value))
    return tomlkit.dumps(document)


def answers_text(draft: dict[str, Any]) -> str:
    """Answers as the file that `pitcrew build` reads."""
    import tomlkit

    return tomlkit.dumps(draft)


def _rows(rows: list[dict[str, Any]], first: dict[str, str]) -> Any:
    import tomlkit

    found = tomlkit.aot()
    for row in rows:
        table = _table(row)
        if label := first.get(row.get("id", "")):
            table.comment(f"--- {label}")
        found.append(table)
    return found


def _table(values: dict[str, Any]) -> Any:
    """A table; short tables of values stay on one line, lists of tables and masses do not."""
    import tomlkit

    table = tomlkit.table()
    for key, value in values.items():
        if isinstance(value, dict) and key not in ("mass", "motor", "second"):
            inline = tomlkit.inline_table()
            inline.update(value)
            table.add(key, inline)
        elif isinstance(value, dict):
            table.add(key, _table(value))
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            table.add(key, _rows(value, {}))
        else:
            table.add(key, value)
    return table


def with_fields(text: str, part: str, values: dict[str, Any]) -> str:
    """A build sheet with some fields of one part set; all else stays as it was typed, byte by byte.
    Raises BadInput for a file that is no TOML, UnknownName for a part that it has not.

    Only the part's own lines go through tomlkit: it moves the entries of a list of tables together
    where others stand between them.
    """
    import tomlkit
    from tomlkit.exceptions import ParseError

    try:
        sheet = tomlkit.parse(text).unwrap()
    except ParseError as error:
        found = f"The build sheet cannot be read: {error}. Mend it in an editor first."
        raise BadInput(found) from None
    rows = sheet.get("part", [])
    ids = [str(row.get("id")) for row in rows]
    if part not in ids:
        raise UnknownName("The part", part, set(ids))
    row = rows[ids.index(part)]
    change = {key: value for key, value in values.items() if row.get(key) != value}
    if not change:
        return text
    row.update(change)
    try:
        changed = _with_change(text, ids.index(part), change)
        if tomlkit.parse(changed).unwrap() == sheet:
            return changed
    except (ParseError, IndexError, KeyError):
        pass
    raise BadInput(f"{part} cannot be told apart in the text of the build sheet. Change it there.")


def _with_change(text: str, number: int, change: dict[str, Any]) -> str:
    """The text with the entry of this number among the parts changed, where it is one block of
    lines."""
    import tomlkit

    heads = list(_HEAD.finditer(text))
    at = [index for index, head in enumerate(heads) if head[1].replace(" ", "") == PART][number]
    start = heads[at].start()
    after = (head for head in heads[at + 1 :] if not head[1].strip("[ ").startswith("part."))
    end = next((head.start() for head in after), len(text))
    document = tomlkit.parse(text[start:end])
    entry: Any = document["part"]
    for key, value in change.items():
        entry[0][key] = value
    return text[:start] + tomlkit.dumps(document) + text[end:]
