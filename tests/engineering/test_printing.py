"""How figures are written: JSON in SI, text in a team's units, and the list that names every
parameter."""

import json
import subprocess
import sys
from typing import Any

import pytest

from pitcrew.base.errors import PitcrewError
from pitcrew.base.paths import ROOT
from pitcrew.base.units import unit_name
from pitcrew.base.unittable import SI_UNIT
from pitcrew.engineering.catalogue import figures, find
from pitcrew.engineering.parameters import example
from pitcrew.engineering.printing import (
    describe,
    list_json,
    list_text,
    outcome_json,
    outcome_text,
    refusal_text,
)
from tests.engineering.test_check_values import ENTRIES, label
from tests.every import every

# what was promised: figure -> its parameters (more are welcome) and the extras that have names
PROMISED: dict[str, tuple[str, str]] = {
    "chain-strength": ("size", ""),
    "chain-length": ("size centre teeth1 teeth2", "even centre_at_even"),
    "chain-slack": ("span duty", "low high"),
    "chain-wear": ("size pitches measured teeth fixed_centres", "limit"),
    "chain-tension": ("weight_per_length span sag", ""),
    "chain-ripple": ("teeth", ""),
    "belt-tension": ("mass_per_length span frequency", ""),
    "belt-span": ("centre diameter1 diameter2", ""),
    "bolt-area": ("thread", ""),
    "bolt-proof": ("thread grade", ""),
    "bolt-torque": ("thread grade condition fraction", "low high preload"),
    "bolt-preload": ("thread torque condition", ""),
    "bolt-strip": ("thread engagement", "external internal"),
    "thread-engagement": ("thread bolt_strength plate_strength", ""),
    "aircraft-torque": ("thread joint", "low high maximum"),
    "locknut-torque": ("thread rule", ""),
    "ratchet-hold": ("mass drum rope lines ratio pawl_radius", "torque"),
    "ratchet-drop": ("drum teeth ratio latency speed", ""),
    "impact-factor": ("drop stretch", ""),
    "servo-torque": ("rated_torque rated_voltage voltage", ""),
    "servo-force": ("torque horn", ""),
    "motor-torque": ("stall_torque free_speed speed", ""),
    "rope-strength": ("diameter construction material", ""),
    "rope-bend": ("diameter sheave", ""),
    "rope-load": ("strength termination bend knot factor", ""),
    "broken-wires": ("rule construction in_lay in_strand in_6d in_30d at_end", ""),
    "bolt-audit": (
        "thread grade plate condition engagement fraction head tool",
        "low high seating key governs",
    ),
    "seating-torque": ("thread grade head", "low high"),
    "stud-torque": ("stud", "low high"),
    "crimp-pull": ("gauge", ""),
    "gauge-uncertainty": ("reading share floor", ""),
    "battery-charge": ("voltage rest temperature rest_voltage table", "low high"),
    "battery-resistance": ("v1 i1 v2 i2", ""),
    "battery-capacity": ("capacity temperature rated_time", ""),
    "peukert-time": ("capacity rated_time current exponent", ""),
    "peukert-exponent": ("i1 t1 i2 t2", ""),
    "load-test-minimum": ("temperature", ""),
    "battery-sag": ("rest_voltage resistance current wiring", "margin"),
    "wire-drop": ("length gauge current", ""),
    "bus-resistance": ("measured", ""),
    "leak-rate": ("volume drop time", ""),
    "rate-interval": ("events exposure confidence", "low high"),
    "share-interval": ("hits tries confidence method", "low high"),
    "trend": (
        "times end truncated",
        (
            "laplace laplace_p laplace_p_normal chi2 chi2_df reverse_arrangements"
            " reverse_arrangements_p"
        ),
    ),
    "growth": ("times end truncated confidence", "beta lambda mtbf"),
    "growth-grouped": ("ends counts", "beta lambda mtbf"),
    "survival": ("times removed", "at series"),
    "ewma": ("values centre sd weight", "series low high signals"),
    "line": ("x y", "slope intercept"),
    "robust-line": ("x y", "slope low high"),
    "guard-band": ("limit uncertainty risk side", ""),
    "uncertainty-ratio": ("tolerance uncertainty", ""),
}
EXAMPLES = {entry["figure"]: entry for entry in reversed(ENTRIES) if not entry.get("refused")}


def arguments(name: str) -> dict[str, str]:
    return EXAMPLES[name]["arguments"]


@every("name", PROMISED)
def test_every_promised_figure_has_its_parameters_and_extras(name: str) -> None:
    parameters, extras = PROMISED[name]
    assert set(parameters.split()) <= set(find(name).parameters)
    assert set(extras.split()) <= set(find(name).compute_typed(arguments(name)).extras)


@every("name", sorted(figures()))
def test_every_figure_is_checked_and_declared_in_full(name: str) -> None:
    figure = find(name)
    assert name in EXAMPLES, "no published value"
    assert all((figure.value_is, figure.source, figure.range, figure.parameters))
    assert unit_name(figure.unit) in SI_UNIT.values()
    assert {unit for unit in figure.extra_units.values() if unit != "="} <= set(SI_UNIT.values())
    assert all(parameter.meaning for parameter in figure.parameters.values())


@every(
    "entry",
    [entry for entry in ENTRIES if not entry.get("refused")],
    ids=label,
)
def test_json_is_strict_and_complete(entry: dict[str, Any]) -> None:
    figure = find(entry["figure"])
    outcome = figure.compute_typed(entry["arguments"])
    found = json.loads(json.dumps(outcome_json(figure, outcome), allow_nan=False))
    assert list(found)[:5] == ["figure", "value", "unit", "because", "source"]
    assert found["value"] == outcome.value and "⟦" not in found["because"]
    assert set(found) == {"figure", "value", "unit", "because", "source"} | set(outcome.extras)


@every("name", sorted(figures()))
@every("system", ["si", "metric", "inch"])
def test_text_names_value_extras_source_and_range(name: str, system: str) -> None:
    figure = find(name)
    outcome = figure.compute_typed(arguments(name))
    text = outcome_text(figure, outcome, system)
    assert (
        text.startswith(f"{name}: ")
        and figure.source in text
        and figure.range in text
        and "⟦" not in text
    )
    assert all(f"  {extra.replace('_', ' ')}: " in text for extra in outcome.extras)


def test_text_is_in_the_units_asked_for() -> None:
    figure = find("guard-band")
    outcome = figure.compute_typed({"limit": "1 in", "uncertainty": "0.1 in", "risk": "0.5"})
    for system, written in (("si", "0.0254 m"), ("metric", "25.4 mm"), ("inch", "1 in")):
        assert outcome_text(figure, outcome, system).startswith(f"guard-band: {written} ")
    assert outcome_json(figure, outcome)["unit"] == "m"


def test_long_lists_are_cut_in_text_and_whole_in_json() -> None:
    figure = find("ewma")
    outcome = figure.compute_typed({"values": ",".join(["5"] * 40), "centre": "5", "sd": "1"})
    assert "… (40 in all)" in outcome_text(figure, outcome)
    assert "signals: none" in outcome_text(figure, outcome)
    assert len(outcome_json(figure, outcome)["series"]) == 40


def test_ohms_and_long_times_are_written_as_people_read_them() -> None:
    bus = find("bus-resistance")
    assert "low: 50 Ω" in outcome_text(bus, bus.compute_typed({"measured": "60 ohm"}), "metric")
    peukert = find("peukert-time")
    outcome = peukert.compute_typed(
        {"capacity": "18 A*h", "rated_time": "20 h", "current": "0.9 A", "exponent": "1.1"}
    )
    assert outcome_text(peukert, outcome, "metric").startswith("peukert-time: 20 h")


def test_the_list_names_every_figure_with_parameters_units_and_source() -> None:
    listed = json.loads(json.dumps(list_json(figures()), allow_nan=False))
    assert [one["name"] for one in listed] == sorted(figures())
    for one in listed:
        assert one["source"] and one["range"] and one["unit"]
        for parameter in one["parameters"].values():
            assert (
                parameter["meaning"]
                and "unit" in parameter
                and parameter["required"] == ("default" not in parameter)
            )
    text = list_text(figures())
    assert all(f"{name} " in text for name in figures())


@every("name", sorted(figures()))
def test_every_example_can_be_read(name: str) -> None:
    for key, parameter in find(name).parameters.items():
        try:
            find(name).read(key, example(parameter).strip('"'))
        except PitcrewError as error:
            pytest.fail(f"{key}: {error.sentence}")


def test_defaults_are_shown_as_typed() -> None:
    text = list_text(
        {"battery-sag": find("battery-sag"), "battery-capacity": find("battery-capacity")}
    )
    assert '[brown_out="6.8 V"]' in text and '[rated_time="20 h"]' in text
    assert describe(find("battery-sag"))["parameters"]["wiring"]["default"] == 0.0


def test_naming_the_figures_does_not_load_scipy() -> None:
    """`--help` and `--list` stay fast: the catalogue and its list load neither scipy nor numpy nor
    pint."""
    code = (
        "import sys; from pitcrew.engineering.catalogue import figures; from"
        " pitcrew.engineering.printing import list_json; list_json(figures()); print([name for name"
        " in ('scipy', 'numpy', 'pint') if name in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert ran.stdout.strip() == "[]"


def test_a_refusal_ends_with_the_range_and_where_it_comes_from() -> None:
    slack = find("chain-slack")
    for sentence in ("The span is 4 mm.", f"The span is 4 mm. Range: {slack.range}."):
        told = refusal_text(slack, sentence)
        assert told.count("Range: spans of 50 mm to 5 m") == 1 and told.endswith(
            f"Source: {slack.source}."
        )
