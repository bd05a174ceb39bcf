"""Writes `verdicts.json`: limits, inputs and what must be said, run through Python and JavaScript
alike.

    python -m tests.data.write_verdicts

The verdicts are not taken from the code under test: bounds of the bundled checklists are tried from
both sides and judged by the rule as the design states it (`by_rule` below, in fractions), and the
other cases carry their verdict by hand. Sentences and results are the ones of the Python side, so
that the phone must say the same words.
"""

import json
import tomllib
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from pitcrew.base.paths import CHECKLISTS
from pitcrew.domain.checks.definitions import build_definitions
from pitcrew.domain.checks.judging import said_as_dict
from pitcrew.domain.checks.limits import PartCheck, limit_as_dict
from pitcrew.domain.checks.readings import judge

FILE = Path(__file__).with_name("verdicts.json")
BOUNDS = ("stop_low", "watch_low", "watch_high", "stop_high")


def bundled() -> dict[str, PartCheck]:
    """The part checks of the example build sheet with the bundled checklists."""

    def read(path: Path) -> dict[str, Any]:
        return tomllib.loads(path.read_text(encoding="utf-8"))

    sheets = {
        f"robots/{path.name}": read(path) for path in sorted((CHECKLISTS / "robots").glob("*.toml"))
    }
    lists = {f"checklists/{path.name}": read(path) for path in sorted(CHECKLISTS.glob("*.toml"))}
    return build_definitions({}, sheets, lists).part_checks


def stripped(item: PartCheck) -> dict[str, Any]:
    """A limit without the texts that no verdict reads: its sentences hold them already."""
    return {
        name: value
        for name, value in limit_as_dict(item.limit).items()
        if name not in ("because", "source", "say")
    }


def by_rule(limit: dict[str, Any], result: Fraction, slack: Fraction = Fraction(0)) -> str:
    """The design's rule: beyond stop is stop; within a guard, or beyond watch or within its guard,
    is watch; else ok.

    `slack` is how far a reading that lies on an edge may miss it by the last bit.
    """
    bounds = {name: Fraction(limit[name]) for name in BOUNDS if limit[name] is not None}
    guards = {name: Fraction(limit["guards"].get(name, 0)) for name in BOUNDS}
    for name, bound in bounds.items():
        if name.startswith("stop") and (
            result < bound - slack if name.endswith("low") else result > bound + slack
        ):
            return "stop"
    for name, bound in bounds.items():
        if (
            result < bound + guards[name] - slack
            if name.endswith("low")
            else result > bound - guards[name] + slack
        ):
            return "watch"
    return "ok"


def boundary_cases(limits: dict[str, dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Every bound and guard edge of the bundled limits: on it, a little inside, a little
    outside."""
    for item in one_part_each(bundled()):
        limit = stripped(item)
        if not isinstance(limit["result"], str) or item.unjudged_because:
            continue
        limits[item.key] = limit
        for name in BOUNDS:
            if limit[name] is None:
                continue
            inward = limit["guards"].get(name, 0.0) * (1 if name.endswith("low") else -1)
            for edge in dict.fromkeys((limit[name], limit[name] + inward)):
                for step in (-1e-6, 0.0, 1e-6):
                    yield from boundary_case(
                        item, limit, edge + step * (abs(edge) or 1.0), on=step == 0.0
                    )


def boundary_case(
    item: PartCheck, limit: dict[str, Any], si: float, on: bool
) -> Iterator[dict[str, Any]]:
    """One reading at `si`, if it can be typed; a reading `on` an edge counts as not beyond it,
    whatever the last bit says."""
    name = limit["result"]
    wanted = limit["inputs"][name]
    if not wanted.get("least", si) <= si <= wanted.get("most", si):
        return
    value = (si - wanted.get("offset", 0.0)) / wanted.get("scale", 1.0)
    inputs = {other: good_answer(item, other) for other in limit["inputs"] if other != name} | {
        name: number(value, wanted["unit"])
    }
    slack = Fraction(abs(si)) / 10**9 if on else Fraction(0)
    yield {"limit": item.key, "inputs": inputs, "verdict": by_rule(limit, Fraction(si), slack)}


def good_answer(item: PartCheck, name: str) -> dict[str, Any]:
    """An answer that is right and makes nothing incomparable."""
    found = next(field for field in item.check.inputs if field.name == name)
    if found.kind == "number":
        return number(GOOD[f"{item.check.id}.{name}"], found.unit)
    answer = next((answer for answer, verdict in found.options.items() if verdict == "ok"), "")
    return {"typed": answer, "value": answer, "unit": None}


GOOD = {
    "hold-test.load": 70.0,
    "hold-test.time": 20.0,
    "hold-test.teeth": 1.0,
    "drum-turns.layers": 2.0,
    "path-give.free": 180.0,
    "battery-rest.rest": 60.0,
    "battery-rest.case": 20.0,
}


def number(value: float | None, unit: str | None) -> dict[str, Any]:
    return {
        "typed": "" if value is None else str(value).replace(".", ","),
        "value": value,
        "unit": unit,
    }


def word(answer: str | bool | None) -> dict[str, Any]:
    return {"typed": str(answer), "value": answer, "unit": None}


def one_part_each(part_checks: dict[str, PartCheck]) -> list[PartCheck]:
    """The first part of each check."""
    found: dict[str, PartCheck] = {}
    for item in part_checks.values():
        found.setdefault(item.check.id, item)
    return list(found.values())


def case(limit: str, verdict: str, /, because: str = "", **inputs: Any) -> dict[str, Any]:
    """A case by hand: plain numbers are in the limit's own unit."""
    return {"limit": limit, "inputs": inputs, "verdict": verdict} | (
        {"unjudged_because": because} if because else {}
    )


def battery_cases(limits: dict[str, dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Two batteries' checks with each reason not to compare, and the order of reasons."""
    parts = bundled()
    for key in ("battery-rest@battery.1", "battery-loads@battery.1"):
        limits[key] = stripped(parts[key])
    rest = {"volts": number(12.9, "V"), "rest": number(60, "min"), "case": number(22, "degC")}
    for change, verdict in (
        ({}, "ok"),
        ({"volts": number(12.71, "V")}, "watch"),
        ({"volts": number(12.6, "V")}, "stop"),
        ({"case": number(38, "degC")}, "unjudged"),
        ({"case": number(30, "degC")}, "ok"),
        ({"case": number(100.4, "degF")}, "unjudged"),
        ({"rest": number(6, "min")}, "unjudged"),
        ({"rest": number(15, "min")}, "ok"),
        ({"rest": number(900, "s")}, "ok"),
        ({"volts": number(13.6, "V")}, "unjudged"),
        ({"volts": number(None, "V")}, "unjudged"),
        ({"case": number(None, "degC")}, "unjudged"),
        ({"volts": number(62, "V")}, "unjudged"),
        ({"volts": number(12900, "mV")}, "ok"),
        ({"volts": number(12.9, "A")}, "unjudged"),
    ):
        yield case("battery-rest@battery.1", verdict, **rest | change)
    for volts, verdict in (
        (12.1, "stop"),
        (12.2, "stop"),
        (12.21, "unjudged"),
        (12.9, "unjudged"),
    ):  # volts alone: certain or not
        yield case("battery-rest@battery.1", verdict, volts=number(volts, "V"))
    yield case(
        "battery-rest@battery.1",
        "stop",
        **rest | {"volts": number(12.1, "V"), "case": number(38, "degC")},
    )
    loads = {
        "open": number(12.88, "V"),
        "held": word("ten seconds"),
        "v1": number(12.74, "V"),
        "i1": number(5, "A"),
        "v2": number(12.2, "V"),
        "i2": number(50, "A"),
        "rest": number(60, "min"),
        "case": number(22, "degC"),
    }
    for change, verdict in (
        ({}, "ok"),
        ({"v2": number(12.02, "V")}, "watch"),
        ({"v2": number(11.8, "V")}, "stop"),
        ({"v2": number(12.73, "V")}, "stop"),
        ({"i1": number(9, "A")}, "unjudged"),
        ({"i2": number(40, "A")}, "unjudged"),
        ({"i2": number(54, "A")}, "ok"),
        ({"case": number(38, "degC")}, "unjudged"),
        ({"rest": number(3, "min")}, "unjudged"),
        ({"v1": number(13.6, "V")}, "unjudged"),
        ({"open": number(13.6, "V")}, "unjudged"),
        ({"open": number(12.4, "V")}, "unjudged"),
        ({"open": number(12.5, "V")}, "ok"),
        ({"open": number(None, "V")}, "unjudged"),
        ({"held": word("shorter or longer")}, "unjudged"),
        ({"held": word(None)}, "unjudged"),
        ({"held": word("not known"), "v2": number(11.8, "V")}, "unjudged"),
        ({"case": number(9, "degC")}, "unjudged"),
        ({"case": number(10, "degC")}, "ok"),
        ({"i1": number(5, "A"), "i2": number(5, "A")}, "unjudged"),
    ):
        yield case("battery-loads@battery.1", verdict, **loads | change)


def choice_cases(limits: dict[str, dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """The worst of several answers, yes and no as truth values, answers that are unknown or
    missing, and stop over unjudged."""
    parts = bundled()
    for key in (
        "rope-wires@climb.rope",
        "cover-on@frame.cover",
        "hold-test@climb.ratchet",
        "chain-slack@lift.chain.left",
        "bolt-audit@climb.drum-bolts",
    ):
        limits[key] = stripped(parts[key])
    for short, long, end, verdict in (
        ("none", "none", "none", "ok"),
        ("one", "none", "none", "watch"),
        ("one", "four or more", "none", "stop"),
        ("cannot see it all", "one to three", "none", "unjudged"),
        ("cannot see it all", "none", "one or more", "stop"),
        ("two", "none", "none", "unjudged"),
        ("none", "none", "", "unjudged"),
        ("two or more", "none", None, "stop"),
    ):
        yield case(
            "rope-wires@climb.rope", verdict, short=word(short), long=word(long), end=word(end)
        )
    for answer, verdict in (
        (True, "ok"),
        (False, "stop"),
        ("yes", "ok"),
        ("no", "stop"),
        (None, "unjudged"),
        ("perhaps", "unjudged"),
    ):
        yield case("cover-on@frame.cover", verdict, cover=word(answer))
    yield case(
        "cover-on@frame.cover", "stop", because="The checklist has a mistake.", cover=word("no")
    )
    yield case(
        "cover-on@frame.cover",
        "unjudged",
        because="The checklist has a mistake.",
        cover=word("yes"),
    )
    hold = {
        "load": number(70, "kg"),
        "time": number(12, "s"),
        "teeth": number(1, "1"),
        "slip": number(2, "mm"),
        "off": word("both off"),
        "release": word("cleanly"),
    }
    for change, verdict in (
        ({}, "ok"),
        ({"load": number(60, "kg")}, "unjudged"),
        ({"time": number(9.9, "s")}, "unjudged"),
        ({"time": number(10, "s")}, "ok"),
        ({"load": number(160, "lb")}, "ok"),
        ({"load": number(140, "lb")}, "unjudged"),
        ({"off": word("still on")}, "unjudged"),
        ({"release": word("did not release"), "load": number(60, "kg")}, "stop"),
        ({"slip": number(25, "mm")}, "stop"),
        ({"slip": number(0.5, "in")}, "stop"),
        ({"slip": number(8, "mm"), "off": word("still on")}, "unjudged"),
        ({"slip": number(25, "mm"), "off": word("still on")}, "stop"),
        ({"slip": number(25, "mm"), "off": word("")}, "stop"),
        ({"teeth": number(5, "1")}, "stop"),
        ({"teeth": number(1.2, "1"), "load": number(60, "kg")}, "stop"),
        ({"teeth": number(None, "1")}, "unjudged"),
        (
            {"slip": number(8, "mm"), "off": word("still on"), "release": word("did not release")},
            "stop",
        ),
    ):
        yield case("hold-test@climb.ratchet", verdict, **hold | change)
    yield case(
        "chain-slack@lift.chain.left",
        "ok",
        travel=number(0.4, "in"),
        measured=word("up and down together"),
    )
    for travel in (5, 10, 13):  # half of a travel says neither too tight nor right nor too loose
        yield case(
            "chain-slack@lift.chain.left",
            "unjudged",
            travel=number(travel, "mm"),
            measured=word("one way only"),
        )
        yield case("chain-slack@lift.chain.left", "unjudged", travel=number(travel, "mm"))
    for torque, method, verdict in (
        (11.5, "first movement, tightening", "ok"),
        (4, "first movement, tightening", "stop"),
        (11.5, "did not move at the target", "ok"),
        (11.5, "while loosening", "unjudged"),
        (4, "while loosening", "unjudged"),
        (11.5, None, "unjudged"),
    ):
        yield case(
            "bolt-audit@climb.drum-bolts",
            verdict,
            torque=number(torque, "N*m"),
            method=word(method),
        )
    yield case("chain-slack@lift.chain.left", "unjudged", measured=word("up and down together"))


def plain_limit(result: Any, **fields: Any) -> dict[str, Any]:
    """A bare limit over the plain numbers a and b."""
    one = {"label": "a", "kind": "number", "unit": "1", "units": {"1": [1.0, 0.0]}}
    sentences = {
        name: f"{name}: {{result}} at {{limit}}."
        for near in ("", "near_")
        for name in (near + bound for bound in BOUNDS)
    }
    return {
        "unit": "1",
        "shown": "1",
        "shown_name": "",
        "scale": 1.0,
        "offset": 0.0,
        "decimals": 1,
        "guards": {},
        "result": result,
        "sentences": {"ok": "ok: {result}."} | sentences,
        "inputs": {"a": one, "b": one | {"label": "b", "required": False}},
        **{name: None for name in BOUNDS},
    } | fields


def formula_cases(limits: dict[str, dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Every operator, division by zero, missing names, formulas that cannot be read, rounding ties,
    and each comparison."""
    deep: Any = "a"
    for _ in range(19):
        deep = ["-", deep]
    formulas = {
        "sum": ["+", "a", "b"],
        "difference": ["-", "a", "b"],
        "product": ["*", "a", "b"],
        "ratio": ["/", "a", "b"],
        "smaller": ["min", "a", "b"],
        "larger": ["max", "a", "b"],
        "size": ["abs", "a"],
        "minus": ["-", "a"],
        "constant": 3.0,
        "nested": ["*", ["+", "a", 1.0], ["max", "b", 2.0]],
        "deep": deep,
        "too deep": ["-", ["-", deep]],
        "unknown sign": ["^", "a", "b"],
        "unknown name": ["+", "a", "c"],
        "not a formula": {"a": 1},
        "two for abs": ["abs", "a", "b"],
        "one for plus": ["+", "a"],
    }
    for name, formula in formulas.items():
        limits[name] = plain_limit(formula, stop_high=10.0)
    for name, a, b, verdict in (
        ("sum", 4, 6, "ok"),
        ("sum", 4, 6.1, "stop"),
        ("sum", 0.1, 9.9, "ok"),
        ("difference", 11, 0.5, "stop"),
        ("product", 2, 5, "ok"),
        ("product", 2, 5.1, "stop"),
        ("product", 1e9, 1e9, "unjudged"),
        ("ratio", 30, 3, "ok"),
        ("ratio", 30, 2.9, "stop"),
        ("ratio", 1, 0, "unjudged"),
        ("ratio", 0, 0, "unjudged"),
        ("smaller", 11, 3, "ok"),
        ("smaller", 11, 12, "stop"),
        ("larger", 11, 3, "stop"),
        ("larger", -5, -7, "ok"),
        ("size", -11, 0, "stop"),
        ("size", -10, 0, "ok"),
        ("minus", -11, 0, "stop"),
        ("minus", 11, 0, "ok"),
        ("constant", 99, 0, "ok"),
        ("nested", 4, 1, "ok"),
        ("nested", 4, 2.1, "stop"),
        ("deep", -11, 0, "stop"),
        ("too deep", 1, 0, "unjudged"),
        ("unknown sign", 1, 1, "unjudged"),
        ("unknown name", 1, 1, "unjudged"),
        ("not a formula", 1, 1, "unjudged"),
        ("two for abs", 1, 1, "unjudged"),
        ("one for plus", 1, 1, "unjudged"),
    ):
        yield case(name, verdict, a=number(a, "1"), b=number(b, "1"))
    yield case("sum", "unjudged", a=number(1, "1"))
    yield case("sum", "unjudged", a=number(None, "1"), b=number(1, "1"))
    yield case("sum", "unjudged", a={"typed": "4", "value": "4", "unit": "1"}, b=number(1, "1"))
    yield case("sum", "unjudged", a={"typed": "yes", "value": True, "unit": "1"}, b=number(1, "1"))
    yield case("sum", "unjudged", a=number(1e300, "1"), b=number(1, "1"))
    for sign, left, verdict in (
        (">", 5, "ok"),
        (">", 5.1, "unjudged"),
        (">=", 5, "unjudged"),
        (">=", 4.9, "ok"),
        ("<", 5, "ok"),
        ("<", 4.9, "unjudged"),
        ("<=", 5, "unjudged"),
        ("<=", 5.1, "ok"),
        ("==", 5, "unjudged"),
        ("==", 5.1, "ok"),
    ):
        limits[f"if {sign}"] = plain_limit(
            "a", stop_high=10.0, unjudged_when=[["a", sign, 5.0, f"a is {sign} 5."]]
        )
        yield case(f"if {sign}", verdict, a=number(left, "1"))
    limits["over b"] = plain_limit(
        "a", stop_high=10.0, unjudged_when=[[["/", "a", "b"], ">", 1.0, "a is above b."]]
    )
    yield case("over b", "unjudged", a=number(4, "1"), b=number(0, "1"))
    yield case("over b", "unjudged", a=number(4, "1"))
    yield case("over b", "ok", a=number(4, "1"), b=number(5, "1"))
    answers = {"look": {"whole": "ok", "cannot see": "unjudged"}}
    stops, cannot = [["b", ">", 1.0, "b is above 1."]], [["a", "<", 0.0, "a is below 0."]]
    limits["stops"] = plain_limit(
        "a", stop_high=10.0, stop_when=stops, unjudged_when=cannot, answers=answers
    )
    for a, b, look, verdict in (
        (4, 1, "whole", "ok"),
        (4, 1.1, "whole", "stop"),
        (-4, 1, "whole", "unjudged"),
        (-4, 2, "whole", "stop"),
        (4, 2, "cannot see", "stop"),
        (None, 2, "whole", "stop"),
        (4, None, "whole", "ok"),
        (11, 1, "whole", "stop"),
    ):
        yield case("stops", verdict, a=number(a, "1"), b=number(b, "1"), look=word(look))


def sentence_cases(limits: dict[str, dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Numbers on screen: ties round away from zero, a reading that looks like its limit gets more
    decimals, units and offsets."""
    limits["tie"] = plain_limit("a", stop_low=-100.0, stop_high=100.0)
    for value in (12.25, 12.35, 0.05, -0.05, 2.5, -12.25, 1e-9, 99.95, -0.04):
        yield case("tie", "ok", a=number(value, "1"))
    limits["near"] = plain_limit(
        "a", watch_low=1.0, stop_high=12.36, guards={"stop_high": 0.5, "watch_low": 0.25}
    )
    for value, verdict in (
        (12.38, "stop"),
        (12.36, "watch"),
        (12.3600001, "stop"),
        (11.87, "watch"),
        (11.85, "ok"),
        (1.2, "watch"),
        (0.9, "watch"),
    ):
        yield case("near", verdict, a=number(value, "1"))
    degrees = {
        "label": "a",
        "kind": "number",
        "unit": "degC",
        "offset": 273.15,
        "units": {"degC": [1.0, 273.15], "K": [1.0, 0.0]},
    }
    limits["warm"] = plain_limit(
        "a", stop_high=303.15, shown_name="°C", offset=273.15, inputs={"a": degrees}
    )
    for value, unit, verdict in (
        (30, "degC", "ok"),
        (30.5, "degC", "stop"),
        (300, "K", "ok"),
        (304, "K", "stop"),
    ):
        yield case("warm", verdict, a=number(value, unit))
    limits["nothing"] = plain_limit(None)
    yield case("nothing", "unjudged", a=number(1, "1"))
    yield case("nothing", "unjudged", because="No such grade.", a=number(1, "1"))
    limits["no bound"] = plain_limit("a")
    yield case("no bound", "unjudged", a=number(1, "1"))
    yield case("none at all", "unjudged", a=number(1, "1"))
    yield case("none at all", "unjudged", because="No such plate.", a=number(1, "1"))


def vectors() -> dict[str, Any]:
    """All limits by name and all cases; the limit `none at all` is null."""
    limits: dict[str, Any] = {"none at all": None}
    cases = [
        found
        for make in (boundary_cases, battery_cases, choice_cases, formula_cases, sentence_cases)
        for found in make(limits)
    ]
    for item in cases:
        found = judge(limits[item["limit"]], item["inputs"], item.get("unjudged_because", ""))
        said = said_as_dict(found.said)
        item |= {"sentence": found.sentence, "result": found.result, "said": said}
    return {"limits": limits, "cases": cases}


def as_lines(table: dict[str, Any]) -> str:
    """The table as JSON with a limit or a case a line, so that a change shows what it changed."""

    def line(value: Any) -> str:
        return json.dumps(value, ensure_ascii=False, sort_keys=True)

    cases = ",\n".join(line(item) for item in table["cases"])
    limits = ",\n".join(
        f"{line(name)}: {line(limit)}" for name, limit in sorted(table["limits"].items())
    )
    return f'{{"cases": [\n{cases}\n],\n"limits": {{\n{limits}\n}}}}\n'


if __name__ == "__main__":
    FILE.write_text(as_lines(vectors()), encoding="utf-8")
