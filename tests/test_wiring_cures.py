"""Gauges that mend a circuit, and the resistor that slows a fan."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from shroudwright.wiring.circuits import SUPPLY, fan_circuit
from shroudwright.wiring.dropping import SPARE, dropper_of, dropping_resistor
from shroudwright.wiring.fitted import Fitted
from shroudwright.wiring.thicker import LEAST_DROP, gauge_carrying, gauge_losing, ground_losing

LONG = (SUPPLY[0], SUPPLY[1]._replace(length=3.5))


def circuit(amps: float, gauge: float | None, **other: Any) -> Any:
    return fan_circuit(
        name="A", run_amps=amps, test_volts=13.5, start_ratio=3.3, is_brushless=False,
        fitted=replace(Fitted(), gauge=gauge, ground_gauge=gauge), **other,
    )  # fmt: skip


def codes(made: Any) -> set[str]:
    return {code for code, _, _ in made.findings}


@pytest.mark.law("a circuit rewired with the gauge named is rid of the finding, and with the next thinner is not")
@pytest.mark.parametrize(
    ("code", "amps", "run", "cure"),
    [
        ("W01", 28.0, SUPPLY, lambda made: gauge_carrying(made, made.highest_amps)),
        ("W03", 24.0, LONG, lambda made: gauge_losing(made, LEAST_DROP)),
        ("W04", 24.0, LONG, lambda made: ground_losing(made, 0.1)),
        ("W10", 24.0, SUPPLY, lambda made: gauge_carrying(made, made.fuse_rating)),
    ],
)
def test_gauges_that_mend(code: str, amps: float, run: Any, cure: Any) -> None:
    kept = [18.0, 16.0, 14.0, 12.0, 10.0, 8.0, 6.0, 4.0]
    made = circuit(amps, 14.0, segments=run)
    assert code in codes(made)
    wanted = cure(made)
    assert wanted < 14.0
    mended, nearly = (circuit(amps, gauge, segments=run) for gauge in (wanted, kept[kept.index(wanted) - 1]))
    assert code not in codes(mended)
    assert code in codes(nearly)


@pytest.mark.behaviour("nothing is named where no wire kept would do")
def test_no_gauge() -> None:
    hopeless = circuit(24.0, 14.0, segments=(SUPPLY[0]._replace(length=200.0),))
    assert gauge_losing(hopeless, LEAST_DROP) is None
    assert gauge_carrying(hopeless, 900.0) is None


@pytest.mark.by_hand("13.5 V, 20 A, s 3, half speed: 5 A; the motor wants 13.5 (1/3 + 1/12) = 5.625 V; 7.875 V / 5 A")
def test_resistor() -> None:
    resistance, heat = dropping_resistor(13.5, 20.0, 3.0, 0.5)
    assert resistance == pytest.approx(1.575)
    assert heat == pytest.approx(39.375)


@pytest.mark.independent("the motor's own equations solved for speed with the resistor in the way")
@settings(deadline=None)
@given(st.floats(5, 40), st.floats(2.0, 5.0), st.floats(0.3, 0.95))
def test_resistor_in_the_motor(amps: float, ratio: float, share: float) -> None:
    resistance, heat = dropping_resistor(13.5, amps, ratio, share)
    winding = 13.5 / (ratio * amps)
    back = 13.5 - winding * amps

    def short(speed: float) -> float:
        return 13.5 - back * speed - (winding + resistance) * amps * speed**2

    assert brentq(short, 0.01, 1.0, xtol=1e-12) == pytest.approx(share, rel=1e-9)
    assert heat == pytest.approx((share**2 * amps) ** 2 * resistance)


@pytest.mark.law("a fan's resistor is sized at its working amps, with heat to spare")
def test_dropper() -> None:
    made = dropper_of(circuit(20.0, None), 0.65)
    assert made.amps == pytest.approx(0.65**2 * 20.0)
    assert made.heat == pytest.approx(made.amps**2 * made.resistance)
    assert made.rating == SPARE * made.heat
