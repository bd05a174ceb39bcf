"""Holding: which lines and parts share the load, and what a drop does."""

import math

import pytest

from pitcrew.engineering.catalogue import find

HOLD = {"mass": 68.0, "drum": 0.030, "rope": 0.004, "lines": 1, "ratio": 1.0, "pawl_radius": 0.025}


def hold(**changes: object):
    return find("ratchet-hold").compute(HOLD | changes)


def test_hold_is_statics() -> None:
    outcome = hold()
    assert outcome.extras["load"] == pytest.approx(68 * 9.80665)
    assert outcome.extras["torque"] == pytest.approx(68 * 9.80665 * 0.017)
    assert outcome.value == pytest.approx(outcome.extras["torque"] / 0.025)


def test_lines_on_one_drum_do_not_divide_the_torque() -> None:
    assert hold(lines=2).value == hold().value
    assert hold(lines=2).extras["tension"] == hold().extras["tension"]  # no equaliser: one may carry it all
    assert hold(lines=2, equalised=True).extras["tension"] == pytest.approx(hold().extras["tension"] / 2)
    assert hold(lines=2, equalised=True).value == hold().value
    assert "no equaliser" in hold(lines=2).because and "equaliser" not in hold().because


def test_parts_of_one_reeved_line_divide_the_tension() -> None:
    assert hold(parts=2).extras["tension"] == pytest.approx(hold().extras["tension"] / 2)
    assert hold(parts=2).value == pytest.approx(hold().value / 2)


def test_efficiency_is_one_and_the_sentence_says_why() -> None:
    assert "efficiency 1" in hold().because and "friction" in hold().because


def test_a_ratchet_upstream_sees_less_torque_and_drops_less() -> None:
    assert hold(ratio=25.0).value == pytest.approx(hold().value / 25)
    drop = find("ratchet-drop")
    assert drop.compute({"drum": 0.0254, "teeth": 12, "ratio": 25}).value == pytest.approx(0.0254 * math.pi / 300)


def test_latency_adds_to_the_drop() -> None:
    outcome = find("ratchet-drop").compute({"drum": 0.030, "teeth": 12, "ratio": 1, "latency": 0.05, "speed": 0.4, "rope": 0.004})
    assert outcome.extras == pytest.approx({"per_tooth": math.pi * 0.034 / 12, "delay": 0.02})
    assert outcome.value == pytest.approx(sum(outcome.extras.values()))


def test_impact_is_the_energy_balance() -> None:
    # weight·(h + x) = ½·k·x² with x the greatest stretch and k = weight/δ
    h, rest = 0.0066, 0.003
    factor = find("impact-factor").compute({"drop": h, "stretch": rest}).value
    stretch = factor * rest
    assert h + stretch == pytest.approx(stretch**2 / (2 * rest), rel=1e-12)


def test_settling_by_a_tooth_is_told_from_slipping() -> None:
    figure = find("hold-slip")
    tooth = figure.compute({"slip": 0.0, "drum": 0.03, "teeth": 12, "ratio": 1}).extras["per_tooth"]
    assert "seated" in figure.compute({"slip": tooth * 0.9, "drum": 0.03, "teeth": 12, "ratio": 1}).because
    assert "did not hold" in figure.compute({"slip": tooth * 1.1, "drum": 0.03, "teeth": 12, "ratio": 1}).because


def test_a_worm_of_half_efficiency_is_on_the_edge() -> None:
    figure = find("back-drive")
    assert figure.compute({"efficiency": 0.49}).extras["locks"] is True
    assert figure.compute({"efficiency": 0.5}).extras["locks"] is False
    assert figure.compute({"efficiency": 1.0}).value == 1.0
