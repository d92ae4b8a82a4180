"""Amps made, amps taken, and ways out of a shortfall."""

import pytest

from shroudwright.fans.laws import fan_current_ratio, flow_ratio
from shroudwright.wiring.alternator import output_at, speed_for
from shroudwright.wiring.budget import SLOWING, ways_out
from shroudwright.wiring.relay import contact_life

CURVE = [(1300.0, 16.0), (2500.0, 41.0), (5000.0, 48.0)]


@pytest.mark.published("a nominal 50 A machine measured hot at 1300, 2500 and 5000 rpm: 16, 41 and 48 A, second hand")
def test_curve() -> None:
    assert output_at(CURVE, 1300.0) == pytest.approx(16.0)
    assert output_at(CURVE, 2500.0) == pytest.approx(41.0)
    assert output_at(CURVE, 1900.0) == pytest.approx(28.5)
    assert output_at(CURVE, 9000.0) == pytest.approx(48.0)
    assert output_at(CURVE, 800.0) == 0.0


@pytest.mark.law("a speed found from amps gives them back; more amps than the last point are never made")
@pytest.mark.parametrize("amps", [5.0, 16.0, 30.0, 47.9])
def test_speed(amps: float) -> None:
    spin = speed_for(CURVE, amps)
    assert spin is not None
    assert output_at(CURVE, spin) == pytest.approx(amps)
    assert speed_for(CURVE, 48.1) is None


@pytest.mark.by_hand(
    "700 rpm x 2.75 = 1925 rpm makes 29.0 A; 6 short: 35.0 A at 2213 rpm, ratio 3.16; 50 x 35/29 = 60.3 A; "
    "20 A of fans to 14: (0.7)^(1/2.54) = 0.869"
)
def test_ways() -> None:
    made = output_at(CURVE, 700.0 * 2.75)
    ways = ways_out(short=6.0, output=made, fans={"A": 13.0, "B": 7.0}, engine_rpm=700.0, curve=CURVE, rating=50.0)
    assert made == pytest.approx(29.02, abs=0.01)
    assert ways.pulley_ratio == pytest.approx(3.16, abs=0.01)
    assert ways.alternator_rating == pytest.approx(60.3, abs=0.1)
    assert ways.duty == pytest.approx(0.869, abs=1e-3)
    assert ways.flow == pytest.approx(0.869**0.77, abs=1e-3)
    assert ways.left_off == "B"


@pytest.mark.behaviour("what cannot be done is not offered")
def test_no_way() -> None:
    ways = ways_out(short=40.0, output=29.0, fans={"A": 20.0}, engine_rpm=700.0, curve=CURVE)
    assert ways == (None, None, None, None, None)
    assert ways_out(short=5.0, output=29.0, fans={"A": 20.0}, engine_rpm=700.0).left_off is None


@pytest.mark.independent("the motor model of the fans' own room: half the volts")
def test_slowing() -> None:
    assert flow_ratio(6.75, 13.5, 3.3) == pytest.approx(0.5**SLOWING, rel=0.005)
    amps_at_motor = fan_current_ratio(6.75, 13.5, 3.3, False)
    assert 0.5 * amps_at_motor == pytest.approx(0.5 ** (1.0 + 2.0 * SLOWING), rel=0.01)


@pytest.mark.by_hand("24 an hour for 500 hours: 12 000 a year, 8.3 years; 90 an hour: 2.2")
def test_contact_life() -> None:
    assert contact_life(24.0, 500.0) == pytest.approx(8.33, abs=0.01)
    assert contact_life(90.0, 500.0) == pytest.approx(2.22, abs=0.01)
