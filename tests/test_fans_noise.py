import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.units import convert
from shroudwright.fans.noise import (
    add_levels,
    blade_passing_frequency,
    fan_sound,
    level_at_distance,
    level_change_with_speed,
    sound_at_one_metre,
    sound_power,
)

LEVEL = st.floats(20.0, 110.0)
FLOW = st.floats(0.05, 3.0)
PRESSURE = st.floats(10.0, 400.0)
RATIO = st.floats(0.2, 2.0)

DUTIES = [
    (0.5, 60.0, 72.6, 60.9, 44.0),
    (0.7, 100.0, 78.5, 66.8, 50.0),
    (1.0, 125.0, 81.9, 70.3, 53.0),
    (1.2, 150.0, 84.3, 72.7, 56.0),
    (1.4, 200.0, 87.5, 75.9, 59.0),
]


@pytest.mark.by_hand("Lw = 40 + 10 log10 Q + 20 log10 p, axial octaves A-weighted, half space; table to its last digit")
@pytest.mark.parametrize(("flow", "pressure", "power", "near", "far"), DUTIES)
def test_a_fan_from_its_duty(flow: float, pressure: float, power: float, near: float, far: float) -> None:
    level = sound_at_one_metre(flow, pressure)
    assert sound_power(flow, pressure) == pytest.approx(power, abs=0.06)
    assert level == pytest.approx(near, abs=0.06)
    assert level_at_distance(level, 1.0, 7.0) == pytest.approx(far, abs=0.6)


@pytest.mark.published("Engineering ToolBox, Fans and Sound Power Generation, equation 2b in cfm and inches of water")
@given(FLOW, PRESSURE)
@settings(deadline=None)
def test_the_same_law_in_inch_units(flow: float, pressure: float) -> None:
    cfm, head = convert(flow, "m**3/s", "cfm"), convert(pressure, "Pa", "inH2O")
    inch = 55.0 + 10.0 * math.log10(cfm) + 20.0 * math.log10(head)
    assert sound_power(flow, pressure) == pytest.approx(inch, abs=0.4)


@pytest.mark.by_hand("10 log10(1 + 10^(-d / 10)): 3.0, 1.2 and 0.4 dB over the louder")
@pytest.mark.parametrize(("apart", "more"), [(0.0, 3.0), (5.0, 1.2), (10.0, 0.4)])
def test_two_sources(apart: float, more: float) -> None:
    assert add_levels([70.0, 70.0 - apart]) - 70.0 == pytest.approx(more, abs=0.05)


@pytest.mark.law("order, one source, never quieter, an equal many")
@given(st.lists(LEVEL, min_size=1, max_size=6))
@settings(deadline=None)
def test_levels_add_as_energy(levels: list[float]) -> None:
    together = add_levels(levels)
    assert together == pytest.approx(add_levels(levels[::-1]))
    assert max(levels) - 1e-9 <= together <= max(levels) + 10.0 * math.log10(len(levels)) + 1e-9
    assert together == pytest.approx(add_levels([add_levels(levels[:1]), *levels[1:]]))


@pytest.mark.law("fan laws: flow as N and pressure as N^2 make 50 log10 N of sound")
@given(FLOW, PRESSURE, RATIO)
@settings(deadline=None)
def test_duty_and_speed_agree(flow: float, pressure: float, ratio: float) -> None:
    faster = sound_power(flow * ratio, pressure * ratio**2) - sound_power(flow, pressure)
    assert faster == pytest.approx(level_change_with_speed(ratio), abs=1e-9)


@pytest.mark.law("out and back")
@given(LEVEL, st.floats(0.5, 5.0), st.floats(5.0, 50.0))
@settings(deadline=None)
def test_distance_inverts(level: float, near: float, far: float) -> None:
    there = level_at_distance(level, near, far)
    assert there <= level
    assert level_at_distance(there, far, near) == pytest.approx(level)


@pytest.mark.by_hand("68 + 50 log10 1.1 = 70.07 dB; from duty as the table; two like fans 3.01 dB more")
def test_a_rating_goes_before_a_duty() -> None:
    one = fan_sound(1.0, 125.0, False)
    assert one == sound_at_one_metre(1.0, 125.0)
    assert add_levels([one, one]) - one == pytest.approx(3.01, abs=0.005)


@pytest.mark.practice("a stalled fan is 5 to 10 dB louder")
def test_a_stalled_fan_is_louder() -> None:
    louder = fan_sound(0.3, 150.0, True) - fan_sound(0.3, 150.0, False)
    assert 5.0 <= louder <= 10.0


@pytest.mark.law("always a number, louder with pressure, draw by draw as one by one")
@given(st.floats(-1.0, 3.0), st.floats(-300.0, 400.0), st.booleans())
@settings(deadline=None)
def test_any_fan_has_a_sound(flow: float, pressure: float, stalled: bool) -> None:
    drawn = fan_sound(np.array([flow, 0.7]), np.array([pressure, 100.0]), np.array([stalled, False]))
    one = fan_sound(flow, pressure, stalled)
    assert np.isfinite(one)
    assert drawn == pytest.approx([one, fan_sound(0.7, 100.0, False)])
    assert fan_sound(flow, pressure + 50.0, stalled) >= one


@pytest.mark.by_hand("N Z / 60 = 2700 * 7 / 60 = 315 Hz")
def test_tone() -> None:
    assert blade_passing_frequency(2700.0, 7.0) == pytest.approx(315.0)
