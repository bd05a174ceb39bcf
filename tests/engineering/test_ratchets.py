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
    assert (
        hold(lines=2).extras["tension"] == hold().extras["tension"]
    )  # no equaliser: one may carry it all
    assert hold(lines=2, equalised=True).extras["tension"] == pytest.approx(
        hold().extras["tension"] / 2
    )
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
    assert drop.compute({"drum": 0.0254, "teeth": 12, "ratio": 25}).value == pytest.approx(
        0.0254 * math.pi / 300
    )


def test_latency_adds_to_the_drop() -> None:
    outcome = find("ratchet-drop").compute(
        {"drum": 0.030, "teeth": 12, "ratio": 1, "latency": 0.05, "speed": 0.4, "rope": 0.004}
    )
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
    assert (
        "seated"
        in figure.compute({"slip": tooth * 0.9, "drum": 0.03, "teeth": 12, "ratio": 1}).because
    )
    assert (
        "did not hold"
        in figure.compute({"slip": tooth * 1.1, "drum": 0.03, "teeth": 12, "ratio": 1}).because
    )


def test_a_worm_near_half_efficiency_is_uncertain() -> None:
    """A gear maker's advice (seva-tec.de): below 0.45 it locks, 0.45 to 0.55 is uncertain, above it
    runs back."""
    figure = find("back-drive")
    for efficiency, locks, uncertain in [
        (0.44, True, False),
        (0.45, False, True),
        (0.5, False, True),
        (0.55, False, True),
        (0.56, False, False),
        (1.0, False, False),
    ]:
        assert figure.compute({"efficiency": efficiency}).extras == {
            "locks": locks,
            "uncertain": uncertain,
        }
    assert figure.compute({"efficiency": 1.0}).value == 1.0
    for unsure in (0.45, 0.6):
        assert "needs a ratchet or brake" in figure.compute({"efficiency": unsure}).because


def test_more_layers_put_more_torque_on_the_ratchet_and_drop_further() -> None:
    """64 mm drum, 8 mm rope: the second layer lies at 88/72 of the first one's radius, the third at
    104/72."""
    for layers, share in [(1, 1.0), (2, 88 / 72), (3, 104 / 72)]:
        assert hold(drum=0.064, rope=0.008, layers=layers).value == pytest.approx(
            hold(drum=0.064, rope=0.008).value * share
        )
        for name, more in [("ratchet-drop", {}), ("hold-slip", {"slip": 0.01})]:
            shape = {"drum": 0.064, "rope": 0.008, "teeth": 12, "ratio": 1.0, **more}
            tooth = find(name).compute(shape | {"layers": layers}).extras["per_tooth"]
            assert tooth == pytest.approx(find(name).compute(shape).extras["per_tooth"] * share)


def test_speed_and_latency_are_in_the_energy_of_the_catch() -> None:
    """Energy by hand: m·v²/2 + m·g·(fall + x) = k·x²/2 with k = m·g/δ."""
    drop, rest, speed, latency, gravity = 0.005, 0.002, 0.5, 0.05, 9.80665
    outcome = find("impact-factor").compute(
        {"drop": drop, "stretch": rest, "speed": speed, "latency": latency}
    )
    fall = drop + speed * latency + gravity * latency**2 / 2
    most = outcome.value * rest
    assert speed**2 / 2 + gravity * (fall + most) == pytest.approx(
        gravity * most**2 / (2 * rest), rel=1e-12
    )
    assert outcome.extras == pytest.approx(
        {"fall": fall, "caught_at": math.sqrt(speed**2 + 2 * gravity * fall)}
    )


def test_what_falls_freely_in_the_latency_counts_as_a_drop() -> None:
    figure = find("ratchet-drop")
    given = {"drum": 0.03, "teeth": 12, "ratio": 1.0, "latency": 0.05, "speed": 0.5}
    assert figure.compute(given).extras["delay"] == pytest.approx(0.025)
    assert figure.compute(given | {"free": True}).extras["delay"] == pytest.approx(
        0.025 + 9.80665 * 0.05**2 / 2
    )
