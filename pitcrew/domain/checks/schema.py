"""JSON Schemas of the files that students edit, made from the same tables of fields that read them.

An editor with TOML support completes and checks the files by these. Where a text holds a quantity,
the schema gives the units of its dimension.
"""

from collections.abc import Iterable
from typing import Any

from pitcrew.base.kinds.kind import VERDICTS
from pitcrew.base.settings import TABLE, Setting
from pitcrew.base.units import unit_pattern
from pitcrew.base.unittable import UNITS
from pitcrew.domain.checks.duewords import DUE_WORDS
from pitcrew.domain.checks.fields import (
    CHECK_FIELDS,
    FILE_FIELDS,
    INPUT_FIELDS,
    LIMIT_FIELDS,
    LIST_FIELDS,
    QUANTITIES,
)
from pitcrew.domain.checks.limitrules import SAY_WORDS
from pitcrew.domain.checks.spares import FILE_FIELDS as LISTED_FIELDS
from pitcrew.domain.checks.spares import SPARE_FIELDS, SPARES_FILE, WHEN_PATTERN
from pitcrew.domain.robot.climbparts import BOLTS_FIELDS, CLIMB_FIELDS, OTHER_FIELDS
from pitcrew.domain.robot.hold_path import (
    BESIDE_FIELDS,
    MOTOR_FIELDS,
    PATH_FIELDS,
    SECOND_FIELDS,
    STEP_FIELDS,
)
from pitcrew.domain.robot.instruments import INSTRUMENTS, instrument_fields
from pitcrew.domain.robot.notknown import ASSUMED, UNKNOWN
from pitcrew.domain.robot.partkinds import KINDS, PART_FIELDS
from pitcrew.domain.robot.repeated import FOR_FIELD
from pitcrew.domain.robot.sheetfields import (
    ENERGIES,
    LOWERING_FIELDS,
    MASS_FIELDS,
    ROBOT_FIELDS,
    SHEET_FIELDS,
    ZONE_FIELDS,
)
from pitcrew.domain.robot.tables import Field
from pitcrew.engineering import catalogue

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_DECIMAL = r"[0-9]*[.,]?[0-9]+([eE][-+]?[0-9]+)?"
_FRACTION = r"([0-9]+[ -])?[0-9]+/[0-9]+|[0-9]* ?[¼-¾⅐-⅞]"
_NUMBER = rf"^[-+−]?({_DECIMAL}|{_FRACTION}) *"
_FEET = rf"^[-+−]?[0-9]+ *(['′’]|ft|feet|foot)[.]? *-?({_DECIMAL}|{_FRACTION}) *"
_PLAIN: dict[str, dict[str, Any]] = {
    "text": {"type": "string", "minLength": 1},
    "texts": {"type": "array", "items": {"type": "string"}},
    "id": {"type": "string", "pattern": "^[a-z0-9][a-z0-9_.-]*$"},
    "yes_no": {"type": "boolean"},
    "number": {"type": "number"},
    "count": {"type": "integer"},
    "table": {"type": "object"},
    "map": {"type": "object"},
    "box": {
        "type": "array",
        "items": {"type": "number", "minimum": 0, "maximum": 100},
        "minItems": 4,
        "maxItems": 4,
    },
    "tables": {"type": "array", "items": {"type": "object"}},
    "any": {},
    "accuracy": {"type": "string", "pattern": "[0-9]"},
}


BY_NAME: dict[str, Any] = {"type": "object", "minProperties": 1}
"""Values that differ between the parts of one entry, each by its name in `for`."""


def schemas() -> dict[str, dict[str, Any]]:
    """The schemas by name: `settings`, `robot` (a build sheet), `checklist` and `spares`."""
    return {
        "settings": _settings(),
        "robot": _build_sheet(),
        "checklist": _checklist(),
        "spares": _spares(),
    }


def _settings() -> dict[str, Any]:
    return {
        "$schema": DRAFT,
        "title": "pitcrew.toml",
        "type": "object",
        "additionalProperties": False,
        "properties": {setting.name: _setting(setting) for setting in TABLE},
    }


def _setting(setting: Setting) -> dict[str, Any]:
    if setting.kind == "words":
        return {"description": setting.sentence, "enum": list(setting.choices)}
    kind = "text" if setting.kind == "zone" else setting.kind
    schema = _value(kind) | {"description": setting.sentence}
    if setting.kind in ("count", "number"):
        schema |= {
            name: bound
            for name, bound in (("minimum", setting.least), ("maximum", setting.most))
            if bound is not None
        }
    return schema if setting.name != "team" else schema | {"minLength": 0}


def _build_sheet() -> dict[str, Any]:
    zone = _object(ZONE_FIELDS, energies={"type": "array", "items": {"enum": list(ENERGIES)}})
    kinds = {name: _part(name, kind.fields) for name, kind in KINDS.items()}
    part = {
        "type": "object",
        "required": ["kind"],
        "properties": {"kind": {"enum": list(KINDS)}},
        "allOf": [
            {"if": {"properties": {"kind": {"const": name}}}, "then": {"$ref": f"#/$defs/{name}"}}
            for name in KINDS
        ],
    }
    mass = _object(MASS_FIELDS, **_or_open(MASS_FIELDS))
    climb = _object(
        CLIMB_FIELDS,
        bolts={"type": "array", "items": _object(BOLTS_FIELDS)},
        other={"type": "array", "items": _object(OTHER_FIELDS)},
    )
    return {"$schema": DRAFT, "title": "build sheet", "$defs": kinds} | _object(
        SHEET_FIELDS,
        robot=_object(ROBOT_FIELDS, **(_or_open(ROBOT_FIELDS) | {"mass": mass})),
        instruments=_object(instrument_fields()),
        lowering=_object(LOWERING_FIELDS),
        hold_path=_hold_path(),
        climb=climb,
        zone={"type": "array", "items": zone},
        part={"type": "array", "items": part},
    )


def _part(kind: str, fields: tuple[Field, ...]) -> dict[str, Any]:
    """One entry of [[part]]; what differs between the parts of a `for` is a table by name."""
    word = {"type": "string", "pattern": "^[a-z0-9{]"}
    specs = {
        name: {"anyOf": [*schema["anyOf"], BY_NAME]} for name, schema in _or_open(fields).items()
    }
    return _object(
        (FOR_FIELD, *PART_FIELDS, *fields),
        kind={"const": kind},
        id=word,
        zone={"anyOf": [word, BY_NAME]},
        label={"anyOf": [_value("text"), BY_NAME]},
        **specs,
    )


def _hold_path() -> dict[str, Any]:
    tables = {
        "motor": _object(MOTOR_FIELDS, **_or_open(MOTOR_FIELDS)),
        "second": _object(SECOND_FIELDS, **_or_open(SECOND_FIELDS)),
        "step": {"type": "array", "items": _object(STEP_FIELDS, **_or_open(STEP_FIELDS))},
        "beside": {"type": "array", "items": _object(BESIDE_FIELDS, **_or_open(BESIDE_FIELDS))},
    }
    return _object(PATH_FIELDS, **(_or_open(PATH_FIELDS) | tables))


def _checklist() -> dict[str, Any]:
    verdicts = {"type": "object", "additionalProperties": {"enum": list(VERDICTS)}}
    words = [f"^{word.replace('N', '[1-9][0-9]?')}$" for word in DUE_WORDS]
    entry = _object(INPUT_FIELDS, options=verdicts, unit={"enum": list(UNITS)})
    say = {
        "type": "object",
        "additionalProperties": False,
        "properties": {word: {"type": "string"} for word in SAY_WORDS},
    }
    comparison = {
        "type": "object",
        "required": ["if", "say"],
        "additionalProperties": False,
        "properties": {"if": {"type": "string"}, "say": {"type": "string"}},
    }
    limit = _object(
        LIMIT_FIELDS,
        figure={"enum": sorted(catalogue.figures())},
        say=say,
        unit={"enum": list(UNITS)},
        instrument={"enum": list(INSTRUMENTS)},
        unjudged_when={"type": "array", "items": comparison},
        stop_when={"type": "array", "items": comparison},
    )
    measures = {"type": "object", "additionalProperties": {"enum": list(QUANTITIES)}}
    check = _object(
        CHECK_FIELDS,
        kind={"enum": list(KINDS)},
        limit=limit,
        input={"type": "array", "items": entry},
        measures=measures,
        due={
            "type": "array",
            "items": {"anyOf": [{"pattern": word} for word in words], "type": "string"},
        },
    )
    return {"$schema": DRAFT, "title": "checklist"} | _object(
        FILE_FIELDS,
        checklist=_object(LIST_FIELDS),
        check={"type": "array", "items": check},
    )


def _spares() -> dict[str, Any]:
    spare = _object(SPARE_FIELDS, counted={"type": "string", "pattern": WHEN_PATTERN})
    return {"$schema": DRAFT, "title": SPARES_FILE} | _object(
        LISTED_FIELDS, spare={"type": "array", "items": spare}
    )


def _object(fields: Iterable[Field], **special: dict[str, Any]) -> dict[str, Any]:
    """The schema of a table; `special` holds the schemas of fields whose kind does not say
    enough."""
    fields = tuple(fields)
    unknown = set(special) - {field.name for field in fields}
    if unknown:
        raise ValueError(f"no such field: {', '.join(sorted(unknown))}")
    properties = {
        field.name: special.get(field.name, _field(field)) | {"description": field.meaning}
        for field in fields
    }
    return {
        "type": "object",
        "properties": properties,
        "required": [field.name for field in fields if field.needed],
        "additionalProperties": False,
    }


def _or_open(fields: Iterable[Field]) -> dict[str, dict[str, Any]]:
    """The schemas of fields that may also be unknown, or assumed until someone confirms them."""
    return {
        field.name: {
            "anyOf": [
                _field(field),
                {"const": UNKNOWN},
                {
                    "type": "object",
                    "properties": {ASSUMED: _field(field)},
                    "required": [ASSUMED],
                    "additionalProperties": False,
                },
            ]
        }
        for field in fields
    }


def _field(field: Field) -> dict[str, Any]:
    if field.kind == "words":
        return {"enum": list(field.choices)}
    schema = dict(_value(field.kind))
    if field.kind in ("number", "count"):
        schema |= {
            name: bound
            for name, bound in (("minimum", field.least), ("maximum", field.most))
            if bound is not None
        }
    return schema


def _value(kind: str) -> dict[str, Any]:
    """The schema of a kind of value; a dimension is a text of a number with one of its units."""
    if kind in _PLAIN:
        return _PLAIN[kind]
    pattern = f"{_NUMBER}({unit_pattern(kind)})$"
    if kind == "length":
        pattern = f'{pattern}|{_FEET}(["″”]|in|inch|inches)?$'
    return {"type": "string", "pattern": pattern}
