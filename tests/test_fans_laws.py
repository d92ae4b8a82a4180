import math

import numba
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.fans import laws
from shroudwright.fans.laws import (
    current_ratio,
    fan_current_ratio,
    fan_power_ratio,
    fan_speed_ratio,
    flow_ratio,
    speed_exponent,
    volts_at_fan,
    working_current,
)

STALL = st.floats(1.5, 6.0)
VOLTS = st.floats(10.5, 15.0)


def exact_speed(volts: float, test_volts: float, s: float) -> float:
    """Positive root of V = K w + (R c / K) w^2, scaled so that w = 1 at the test's volts."""
    resistive, back = test_volts / s, test_volts * (1.0 - 1.0 / s)
    return (-back + math.sqrt(back * back + 4.0 * resistive * volts)) / (2.0 * resistive)


EXPONENTS = [
    (2.0, 0.667, 1.082, 1.170, 1.316, 1.108),
    (3.0, 0.750, 1.092, 1.193, 1.342, 1.123),
    (4.0, 0.800, 1.099, 1.207, 1.358, 1.131),
    (5.0, 0.833, 1.103, 1.217, 1.369, 1.137),
]


@pytest.mark.independent("separate prototype's table, 12 to 13.5 V and 12 to 14 V, to its last digit")
@pytest.mark.parametrize(("s", "n", "flow", "current", "power", "flow_14"), EXPONENTS)
def test_a_rating_at_other_volts(s: float, n: float, flow: float, current: float, power: float, flow_14: float) -> None:
    assert speed_exponent(s) == pytest.approx(n, abs=6e-4)
    assert flow_ratio(13.5, 12.0, s) == pytest.approx(flow, abs=6e-4)
    assert current_ratio(13.5, 12.0, s) == pytest.approx(current, abs=6e-4)
    assert current_ratio(13.5, 12.0, s) * 13.5 / 12.0 == pytest.approx(power, abs=6e-4)
    assert flow_ratio(14.0, 12.0, s) == pytest.approx(flow_14, abs=6e-4)


@pytest.mark.by_hand("the exact quadratic of the motor on its fan, V = K w + R c w^2 / K")
@given(st.floats(2.0, 5.0))
def test_the_power_law_stays_by_the_exact_motor(s: float) -> None:
    assert flow_ratio(13.5, 12.0, s) == pytest.approx(exact_speed(13.5, 12.0, s), rel=1e-3)
    assert flow_ratio(6.0, 12.0, s) == pytest.approx(exact_speed(6.0, 12.0, s), rel=0.024)
    assert current_ratio(13.5, 12.0, s) == pytest.approx(exact_speed(13.5, 12.0, s) ** 2, rel=2e-3)


@pytest.mark.law("there and back again")
@given(VOLTS, VOLTS, STALL)
def test_ratios_invert(volts: float, test_volts: float, s: float) -> None:
    for brushless in (False, True):
        there = fan_speed_ratio(volts, test_volts, s, brushless)
        assert there * fan_speed_ratio(test_volts, volts, s, brushless) == pytest.approx(1.0)
        amps = fan_current_ratio(volts, test_volts, s, brushless)
        assert amps * fan_current_ratio(test_volts, volts, s, brushless) == pytest.approx(1.0)
        assert fan_speed_ratio(test_volts, test_volts, s, brushless) == 1.0


@pytest.mark.law("torque goes as speed squared, so a brushed fan's amps do")
@given(VOLTS, STALL)
def test_brushed_current_is_speed_squared(volts: float, s: float) -> None:
    assert current_ratio(volts, 12.0, s) == pytest.approx(flow_ratio(volts, 12.0, s) ** 2)


@pytest.mark.law("a governed motor at constant speed draws constant power")
@given(st.floats(11.0, 15.0))
def test_brushless_in_its_window(volts: float) -> None:
    assert fan_speed_ratio(volts, 13.5, 3.3, True) == 1.0
    assert fan_current_ratio(volts, 13.5, 3.3, True) * volts == pytest.approx(13.5)


@pytest.mark.by_hand("5.5 V: half of 11 V, so half speed, an eighth of the power, 13.5 / 5.5 / 8 of the amps")
def test_brushless_below_its_window() -> None:
    assert fan_speed_ratio(5.5, 13.5, 3.3, True) == pytest.approx(0.5)
    assert fan_current_ratio(5.5, 13.5, 3.3, True) == pytest.approx(13.5 / 5.5 / 8.0)


@pytest.mark.law("power ~ speed cubed")
@given(st.floats(0.1, 2.0), st.floats(0.1, 2.0))
def test_power_law(a: float, b: float) -> None:
    assert fan_power_ratio(a * b) == pytest.approx(fan_power_ratio(a) * fan_power_ratio(b))


@pytest.mark.law("Ohm's law closes: what the fan draws at its volts is what the wires drop")
@given(VOLTS, st.floats(0.0, 0.1), st.floats(3.0, 60.0), VOLTS, STALL, st.booleans())
def test_volts_close(
    source: float, resistance: float, amps: float, test_volts: float, s: float, brushless: bool
) -> None:
    volts = volts_at_fan(source, resistance, amps, test_volts, s, brushless)
    drawn = amps * fan_current_ratio(volts, test_volts, s, brushless)
    assert 0.0 < volts <= source
    assert volts + resistance * drawn == pytest.approx(source, abs=1e-11)


@pytest.mark.by_hand("13.5 V, 20 mohm, 20 A: 0.4 V lost at full amps; brushed slows a little, brushless asks for more")
def test_volts_of_an_ordinary_circuit() -> None:
    brushed = volts_at_fan(13.5, 0.020, 20.0, 13.5, 3.3, False)
    brushless = volts_at_fan(13.5, 0.020, 20.0, 13.5, 3.3, True)
    assert 13.1 < brushed < 13.12
    assert 13.08 < brushless < 13.1


@pytest.mark.by_hand("20 A at 12 V, s 3: at 13.5 V 20 x 1.1932 x 1.15 in 0.9 of the air is 24.70 A")
def test_working_current() -> None:
    assert working_current(20.0, 13.5, 12.0, 3.0, False, 0.9) == pytest.approx(24.70, abs=0.01)
    assert working_current(20.0, 12.0, 12.0, 3.0, False, 1.0, 1.3) == pytest.approx(26.0)


@pytest.mark.independent("numba, against the same functions in plain Python")
def test_compiled_laws_agree() -> None:
    @numba.njit
    def compiled(volts: float, resistance: float, s: float, brushless: bool) -> tuple[float, ...]:
        at_fan = laws.volts_at_fan(volts, resistance, 25.0, 13.5, s, brushless)
        return (
            at_fan,
            laws.fan_speed_ratio(at_fan, 13.5, s, brushless),
            laws.fan_current_ratio(at_fan, 13.5, s, brushless),
            laws.fan_power_ratio(laws.flow_ratio(volts, 13.5, s)),
            laws.current_ratio(volts, 13.5, s) * laws.speed_exponent(s),
        )

    for case in ((14.0, 0.02, 3.3, False), (14.0, 0.02, 3.3, True), (10.0, 0.05, 2.0, True)):
        assert compiled(*case) == pytest.approx(compiled.py_func(*case), rel=1e-14)
