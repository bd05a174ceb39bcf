"""The settings of a pit: one table of (name, type, default, sentence) feeds reading, checking and
the documentation.

They are in `pitcrew.toml` of the pit folder, one `name = value` a line. A value that cannot be
used is reported as a mistake and the default holds; nothing is guessed.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pitcrew.base.clock import zone
from pitcrew.base.errors import BadInput, nearest
from pitcrew.base.units import parse_quantity, show


@dataclass(frozen=True)
class Setting:
    """One setting. `kind`: text, zone, words (one of `choices`), count, yes_no, or a dimension of
    `units.py`."""

    name: str
    kind: str
    default: Any
    sentence: str
    choices: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    once_least: float | None = None
    """Older files may hold a value down to this one; `least` counts in its place, and a notice says
    so."""


TABLE: tuple[Setting, ...] = (
    Setting("team", "text", "", "The team's name or number, printed on sheets."),
    Setting(
        "event",
        "text",
        "event",
        "Short name of the event being played, the first part of a match run.",
    ),
    Setting(
        "event_label",
        "text",
        "",
        "The event's name as it is printed; the short name where it is empty.",
    ),
    Setting(
        "zone",
        "zone",
        "UTC",
        "The event's time zone, an IANA name; match times are read and shown in it.",
    ),
    Setting(
        "robot",
        "text",
        "",
        "The robot that plays; the first build sheet by name where it is empty.",
    ),
    Setting("units", "words", "metric", "The units on screen and paper.", ("metric", "inch")),
    Setting("paper", "words", "A4", "The paper of printed sheets.", ("A4", "Letter")),
    Setting(
        "walk_back",
        "time",
        240.0,
        "From the end of a match until the robot is back in the pit.",
        least=0,
        most=3600,
    ),
    Setting(
        "queue_lead",
        "time",
        1080.0,
        "From leaving the pit until the match starts: walk, queue and set-up.",
        least=0,
        most=7200,
    ),
    Setting("match_length", "time", 180.0, "How long a match lasts.", least=10, most=3600),
    Setting("crew", "count", 3, "How many people work on the robot at once.", least=1, most=12),
    Setting(
        "climb_planned",
        "yes_no",
        True,
        "Whether the robot climbs in its matches; 'no climb this match' overrides it.",
    ),
    Setting(
        "clearance_runs",
        "count",
        1,
        "How many match runs a climb clearance lasts.",
        least=1,
        most=20,
    ),
    Setting(
        "climb_factor",
        "number",
        None,
        "A factor of your own for every link of the climb at rest, where it is higher than the"
        " lifting rules' (textile 7, wire rope 5, roller chain 6, metal 4).",
        least=1,
        most=20,
    ),
    Setting(
        "catch_factor",
        "number",
        2.0,
        "The factor that the weakest link must still have in a catch, in a swing, or when one "
        "hook lets go; never under 2.",
        least=2,
        most=20,
        once_least=1,
    ),
    Setting(
        "brown_out",
        "voltage",
        6.8,
        "The controller's brown-out voltage (common practice, from memory; see its manual).",
        least=4,
        most=10,
    ),
    Setting(
        "battery_rest",
        "time",
        900.0,
        "Rest wanted after a match or charger before a battery reading counts.",
        least=0,
        most=86400,
    ),
    Setting(
        "battery_warm",
        "temperature",
        303.15,
        "Above this case temperature a battery reading is not comparable.",
        least=283.15,
        most=333.15,
    ),
    Setting(
        "battery_voltage",
        "voltage",
        12.7,
        "Lowest rest voltage of a battery for a match (sources differ by 0.5 V).",
        least=11,
        most=14,
    ),
    Setting(
        "battery_watch",
        "resistance",
        0.015,
        "Resistance above which a battery is watched (sources differ by 5 mohm).",
        least=0.005,
        most=0.1,
    ),
    Setting(
        "battery_stop",
        "resistance",
        0.020,
        "Resistance above which a battery plays no match (sources differ by 5 mohm).",
        least=0.005,
        most=0.1,
    ),
    Setting(
        "battery_retire",
        "resistance",
        0.025,
        "Resistance above which a battery is retired (testers' own 'fair' starts there).",
        least=0.005,
        most=0.1,
    ),
    Setting(
        "battery_capacity",
        "charge",
        11.5,
        "Least capacity at 25 °C for matches, from a yearly test (makers' documentation).",
        least=1,
        most=100,
    ),
    Setting(
        "charger_current",
        "current",
        6.0,
        "The chargers' current; makers say not above 6 A.",
        least=0.1,
        most=30,
    ),
    Setting(
        "match_charge",
        "charge",
        1.84,
        "What a match draws where no robot log says it (a counted match).",
        least=0.1,
        most=10,
    ),
    Setting("keep_best", "yes_no", False, "Keep the best battery back until the eliminations."),
    Setting(
        "eliminations",
        "text",
        "final, semi, quarter, elim, playoff, sf, qf, ef, f, e, m",
        "Letters with which the names of elimination matches begin.",
    ),
    Setting(
        "slip",
        "length",
        0.010,
        "How far a hanging robot may sink during the hold test.",
        least=0,
        most=0.2,
    ),
    Setting(
        "join_code_time", "time", 900.0, "How long a join code is good for.", least=60, most=86400
    ),
)
BY_NAME: Mapping[str, Setting] = {setting.name: setting for setting in TABLE}


@dataclass(frozen=True)
class SettingMistake:
    """A setting that could not be used: what was found, what is allowed, and the nearest name if
    the name is wrong. `notice`: the least allowed value counts in its place."""

    name: str
    found: str
    wanted: str
    nearest: str = ""
    notice: bool = False


@dataclass(frozen=True)
class Settings:
    """The values in force by name, SI inside, and where each came from (`default` or the file)."""

    values: Mapping[str, Any]
    sources: Mapping[str, str]

    def __getitem__(self, name: str) -> Any:
        return self.values[name]


def read_settings(
    table: Mapping[str, Any], source: str = "pitcrew.toml"
) -> tuple[Settings, list[SettingMistake]]:
    """The settings of a parsed TOML table, and a mistake for each value that cannot be used."""
    values = {setting.name: setting.default for setting in TABLE}
    sources = dict.fromkeys(values, "default")
    mistakes = []
    for name, value in table.items():
        if name not in BY_NAME:
            mistakes.append(
                SettingMistake(
                    name,
                    repr(value),
                    "a setting of the table in DEVELOPERS.md",
                    nearest(name, BY_NAME) or "",
                )
            )
            continue
        try:
            values[name] = _read(BY_NAME[name], value)
            sources[name] = source
        except BadInput as error:
            raised = _raised(BY_NAME[name], value)
            values[name] = values[name] if raised is None else raised
            wanted = error.sentence if raised is None else f"{raised:g} or more; {raised:g} counts"
            mistakes.append(SettingMistake(name, repr(value), wanted, notice=raised is not None))
    return Settings(values, sources), mistakes


def _raised(setting: Setting, value: Any) -> float | None:
    """The least value allowed now, where an older file holds one that was allowed once."""
    if setting.once_least is None or setting.least is None:
        return None
    try:
        number = _read(replace(setting, least=setting.once_least), value)
    except BadInput:
        return None
    return setting.least if number < setting.least else None


def _read(setting: Setting, value: Any) -> Any:
    if setting.kind in ("text", "zone", "words"):
        return _read_words(setting, value)
    if setting.kind == "yes_no":
        if not isinstance(value, bool):
            raise BadInput(
                f"{value!r} is neither true nor false. Write true or false without quotes."
            )
        return value
    if setting.kind == "count":
        if isinstance(value, bool) or not isinstance(value, int):
            raise BadInput(
                f"{value!r} is not a whole number. Write one, such as {setting.default}."
            )
        number: float = value
    else:
        number = parse_quantity(value, setting.kind).si
    if (setting.least is not None and number < setting.least) or (
        setting.most is not None and number > setting.most
    ):
        raise BadInput(f"{value!r} is outside what is possible here ({bounds_text(setting)}).")
    return number


def _read_words(setting: Setting, value: Any) -> str:
    if not isinstance(value, str):
        raise BadInput(f"{value!r} is not a text. Put it in quotes.")
    if setting.kind == "zone":
        zone(value)
    if setting.kind == "words" and value not in setting.choices:
        raise BadInput(f"{value!r} is not one of {', '.join(setting.choices)}.")
    return value


def bounds_text(setting: Setting) -> str:
    """The allowed range in words, for messages and the documentation; empty where there is none."""
    if setting.least is None or setting.most is None:
        return ", ".join(setting.choices)
    if setting.kind in ("count", "number"):
        return f"{setting.least:g} to {setting.most:g}"
    unit = {
        "time": "s",
        "temperature": "degC",
        "voltage": "V",
        "resistance": "mohm",
        "length": "mm",
        "charge": "A*h",
        "current": "A",
    }[setting.kind]
    return f"{show(setting.least, unit)} to {show(setting.most, unit)}"
