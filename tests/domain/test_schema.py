"""The schemas that editors use accept the bundled files and name what a student would mistype."""

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from pitcrew.base.paths import CHECKLISTS
from pitcrew.domain.checks import schema
from pitcrew.domain.checks.schema import schemas
from pitcrew.domain.checks.spares import parse_spares
from tests.test_units import SPELLED

SCHEMAS = schemas()
TYPES = {
    "object": dict,
    "array": list,
    "string": str,
    "boolean": bool,
    "integer": int,
    "number": int | float,
}


def complaints(
    value: Any, schema: dict[str, Any], root: dict[str, Any], place: str = ""
) -> list[str]:
    """What a value has against the part of JSON Schema that these schemas use."""
    if "$ref" in schema:
        return complaints(value, root["$defs"][schema["$ref"].rsplit("/", 1)[1]], root, place)
    wanted = TYPES.get(schema.get("type", ""))
    if wanted is not None and (
        not isinstance(value, wanted) or (isinstance(value, bool) and wanted is not bool)
    ):
        return [f"{place}: not {schema['type']}"]
    found = []
    if "enum" in schema and value not in schema["enum"]:
        found.append(f"{place}: {value!r} is not in the list")
    if "const" in schema and value != schema["const"]:
        found.append(f"{place}: not {schema['const']}")
    if "pattern" in schema and not re.search(schema["pattern"], value):
        found.append(f"{place}: {value!r} does not fit")
    if "anyOf" in schema and all(
        complaints(value, choice, root, place) for choice in schema["anyOf"]
    ):
        found.append(f"{place}: {value!r} fits none")
    for choice in schema.get("allOf", ()):
        if not complaints(value, choice["if"], root, place):
            found += complaints(value, choice["then"], root, place)
    if isinstance(value, dict):
        found += in_table(value, schema, root, place)
    if isinstance(value, list) and "items" in schema:
        found += [
            text
            for number, item in enumerate(value)
            for text in complaints(item, schema["items"], root, f"{place}[{number}]")
        ]
    return found


def in_table(
    table: dict[str, Any], schema: dict[str, Any], root: dict[str, Any], place: str
) -> list[str]:
    found = [
        f"{place}: {name} is missing" for name in schema.get("required", ()) if name not in table
    ]
    other = schema.get("additionalProperties", True)
    for key, value in table.items():
        if key in schema.get("properties", {}):
            found += complaints(value, schema["properties"][key], root, f"{place}.{key}")
        elif other is False:
            found.append(f"{place}: {key} is not known")
        elif isinstance(other, dict):
            found += complaints(value, other, root, f"{place}.{key}")
    return found


def against(name: str, text: str) -> list[str]:
    return complaints(tomllib.loads(text), SCHEMAS[name], SCHEMAS[name])


@pytest.mark.parametrize("path", sorted(CHECKLISTS.glob("*.toml")), ids=lambda path: path.name)
def test_bundled_checklists_fit_their_schema(path: Path) -> None:
    assert against("checklist", path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "path", sorted((CHECKLISTS / "robots").glob("*.toml")), ids=lambda path: path.name
)
def test_example_build_sheets_fit_their_schema(path: Path) -> None:
    assert against("robot", path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("name", "text", "complaint"),
    [
        ("settings", 'units = "metrc"', ".units: 'metrc' is not in the list"),
        ("settings", "queue_led = 3", ": queue_led is not known"),
        ("settings", 'queue_lead = "18 mm"', ".queue_lead: '18 mm' does not fit"),
        (
            "robot",
            '[robot]\nlabel = "A"\nlength = "1 m"\nwidth = "1 m"\nmass = "52 kg"',
            ".robot.mass: not object",
        ),
        (
            "robot",
            '[[part]]\nkind = "roller-chian"',
            ".part[0].kind: 'roller-chian' is not in the list",
        ),
        (
            "robot",
            '[[part]]\nid = "a.b"\nlabel = "A"\nzone = "z"\nkind = "hook"',
            ".part[0]: opening is missing",
        ),
        (
            "robot",
            '[[part]]\nid = "a.b"\nlabel = "A"\nzone = "z"\nkind = "hook"\nopening = "48"',
            ".part[0].opening: '48' fits none",
        ),
        (
            "checklist",
            '[[check]]\ndue = ["every mach"]',
            ".check[0].due[0]: 'every mach' fits none",
        ),
        ("checklist", '[[check]]\npower = "of"', ".check[0].power: 'of' is not in the list"),
        ("spares", '[[spare]]\nitem = "M5 nut"', ".spare[0]: count is missing"),
        (
            "spares",
            '[[spare]]\nitem = "M5 nut"\ncount = 3\nreoder = 1',
            ".spare[0]: reoder is not known",
        ),
        ("spares", '[[spare]]\nitem = "M5 nut"\ncount = "3"', ".spare[0].count: not integer"),
        (
            "spares",
            '[[spare]]\nitem = "M5 nut"\ncount = 3\ncounted = "1 March"',
            ".spare[0].counted: '1 March' does not fit",
        ),
        (
            "checklist",
            '[[check]]\n[check.limit]\nfigure = "chain-slak"',
            ".check[0].limit.figure: 'chain-slak' is not in the list",
        ),
    ],
)
def test_mistyped_files_are_named(name: str, text: str, complaint: str) -> None:
    assert complaint in against(name, text)


def test_settings_with_their_units_fit() -> None:
    assert (
        against(
            "settings",
            'queue_lead = "18 min"\nbattery_stop = "20 mΩ"\nbattery_warm = "30 °C"\ncrew = 4\nteam'
            ' = ""',
        )
        == []
    )


@pytest.mark.parametrize("counted", ["2026-03-01", "2026-03-01 14:30", "2026-03-01T14:30:00Z"])
def test_a_spares_list_fits_its_schema(counted: str) -> None:
    text = f'[[spare]]\nitem = "M5 nut"\ncount = 3\nreorder = 1\ncounted = "{counted}"'
    assert against("spares", text) == []
    assert parse_spares(tomllib.loads(text))[1] == []


def test_every_field_is_explained() -> None:
    """Editors show the description of a key."""

    def unexplained(schema: Any) -> list[str]:
        if not isinstance(schema, dict):
            return []
        here = [
            name
            for name, value in schema.get("properties", {}).items()
            if not value.get("description") and set(value) - {"const", "enum"}
        ]
        return here + [name for value in schema.values() for name in unexplained(value)]

    known = {
        "kind",
        "if",
        "say",
        *("ok", "watch", "stop", "unjudged", "stop_low", "watch_low", "watch_high", "stop_high"),
    }
    assert [
        name for schema in SCHEMAS.values() for name in unexplained(schema) if name not in known
    ] == []


@pytest.mark.parametrize(("text", "dimension", "_value", "_unit"), SPELLED)
def test_editors_take_every_spelling_that_the_files_may_have(
    text: str, dimension: str, _value: float, _unit: str
) -> None:
    """The pattern is only as strict as a pattern can be; what it lets through that is wrong,
    `pitcrew mistakes` names."""
    pattern = schema._value(dimension)["pattern"]
    assert re.search(pattern, text) or text != text.lower(), (
        text
    )  # words in capitals are read as well, and underlined by editors
    for wrong in ("412", "mm", "six mm", "1,2,3 mm", "4 parsec"):
        assert not re.search(pattern, wrong), wrong
