"""Every published value in check_values/*.toml against the catalogue.

The format of a file, for example:

    [sources.b29]                        # where values were printed; cited by its key title = "ASME
    B29.1 dimensions table" page = "amesweb.info/chain/roller-chain-dimensions-table.aspx" grade =
    "F"                          # F: read there; V: recomputed by an independent oracle; M: from
    memory, not seen

    [[value]]                            # or, shorter: value = [ { … }, { … } ] figure =
    "chain-strength" arguments = { size = "40" }          # as a person types them: text with a unit
    printed = "3125"                     # text, with the digits of the source; `1.56e3` where
    trailing zeros are not significant unit = "lbf"                         # the printed unit ("1"
    for plain numbers) source = "b29" extra = "limit"                      # compare this extra
    instead of the value at = 3                               # ... and of an extra that is a list,
    this item, counted from 0 tolerance = "5"                      # in the printed unit, or "0.2
    %"; without it: half a unit of the last printed digit reason = "the table is rounded to 10 lbf"
    # needed with tolerance and with misprint misprint = true                      # the printed
    number is wrong: we must NOT reproduce it refused = true                       # instead of
    printed and unit: the figure must refuse these arguments ... says = "0.25 in"
    # ... with a sentence that holds this text word = "plate thread"                # instead of
    printed and unit: the extra is exactly this word
"""

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from pitcrew.base.errors import BadInput
from pitcrew.base.units import dimension_of, from_si
from pitcrew.engineering.catalogue import find
from tests.every import every

FOLDER = Path(__file__).parent / "check_values"
KEYS = {
    "figure",
    "arguments",
    "printed",
    "unit",
    "source",
    "extra",
    "at",
    "tolerance",
    "reason",
    "misprint",
    "refused",
    "says",
    "word",
}


def load(folder: Path = FOLDER) -> list[dict[str, Any]]:
    """All entries, each with its file's stem as `subject` and its source's table in place of the
    key."""
    entries = []
    for path in sorted(folder.glob("*.toml")):
        document = tomllib.loads(path.read_text(encoding="utf-8"))
        for entry in document["value"]:
            entries.append(
                entry
                | {
                    "subject": path.stem,
                    "source": document["sources"][entry["source"]],
                    "keys": set(entry),
                }
            )
    return entries


def tolerance_of(entry: dict[str, Any]) -> float:
    """The allowed difference in the printed unit: half a unit of the last printed digit, or as
    stated with a reason."""
    printed = Decimal(entry["printed"])
    stated = entry.get("tolerance")
    if stated is None:
        return 0.5 * 10.0 ** int(printed.as_tuple().exponent)
    if stated.endswith("%"):
        return abs(float(printed)) * float(stated.removesuffix("%")) / 100
    return float(stated)


def computed(entry: dict[str, Any]) -> Any:
    """The value, or the named extra, of the figure for the entry's arguments; numbers in the
    printed unit."""
    figure = find(entry["figure"])
    outcome = figure.compute_typed(entry["arguments"])
    extra = entry.get("extra")
    found = outcome.value if extra is None else outcome.extras[extra]
    if "at" in entry:
        found = found[entry["at"]]
    if "word" in entry:
        return found
    si_unit = figure.unit_of(outcome, extra)
    assert dimension_of(si_unit) == dimension_of(entry["unit"]), (
        f"{extra or 'value'} is in {si_unit}, printed in {entry['unit']}"
    )
    return from_si(float(found), entry["unit"])


def residual(entry: dict[str, Any]) -> float:
    """|computed - printed| in the printed unit."""
    return abs(computed(entry) - float(entry["printed"]))


def label(entry: dict[str, Any]) -> str:
    arguments = ",".join(str(value) for value in entry["arguments"].values())
    extra = "." + entry["extra"] if "extra" in entry else ""
    called = f"{entry['subject']}:{entry['figure']}({arguments}){extra}"[:110]
    return f"{called} [{entry['source']['title']}]"


ENTRIES = load()


@every("entry", ENTRIES, ids=label)
def test_published_value(entry: dict[str, Any]) -> None:
    if entry.get("refused"):
        with pytest.raises(BadInput) as refusal:
            computed(entry)
        assert entry.get("says", "") in refusal.value.sentence
    elif "word" in entry:
        assert computed(entry) == entry["word"]
    elif entry.get("misprint"):
        assert residual(entry) > tolerance_of(entry), (
            f"the misprint {entry['printed']} is reproduced"
        )
    else:
        # the margin is for binary rounding of a printed decimal alone
        assert residual(entry) <= tolerance_of(entry) * (1 + 1e-9), (
            f"{computed(entry)!r} is not {entry['printed']} {entry['unit']}"
        )


@every("entry", ENTRIES, ids=label)
def test_entry_is_well_formed(entry: dict[str, Any]) -> None:
    keys = entry["keys"]
    assert keys <= KEYS, f"unknown keys {keys - KEYS}"
    assert entry["source"]["title"] and entry["source"]["grade"] in ("F", "V", "M")
    assert ("refused" in keys) + ("printed" in keys) + ("word" in keys) == 1
    if "printed" in keys:
        assert isinstance(entry["printed"], str) and "unit" in keys
    if "tolerance" in keys or "misprint" in keys:
        assert entry.get("reason"), "a stated tolerance and a misprint need their reason"
