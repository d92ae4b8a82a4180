"""How hot a fluid must get before its cooler sheds the heat."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.heat.coolers import charge_after_cooler, charge_loop_rise, hot_fluid_in, in_line, tank_cooler


@pytest.mark.by_hand("2.4 kW over 120 W/K is 20 K over 85 C")
def test_a_fluid_settles_where_its_cooler_sheds_the_heat() -> None:
    assert hot_fluid_in(2400.0, 120.0, 358.15) == pytest.approx(378.15)


@pytest.mark.by_hand("effectiveness 1 - exp(-NTU): NTU 1 sheds 63.2 % of the fluid's capacity")
def test_a_tank_cooler_sheds_by_its_conductance() -> None:
    assert tank_cooler(230.0, 230.0) == pytest.approx(230.0 * (1.0 - math.exp(-1.0)))


@pytest.mark.independent("ht, effectiveness with a capacity ratio of zero")
def test_a_tank_cooler_agrees_with_a_library() -> None:
    from ht.hx import effectiveness_from_NTU

    for UA, C in ((120.0, 110.0), (250.0, 230.0), (500.0, 400.0)):
        expected = C * effectiveness_from_NTU(UA / C, 0.0, subtype="counterflow")
        assert tank_cooler(UA, C) == pytest.approx(expected, rel=1e-9)


@given(
    heat=st.floats(500.0, 15e3),
    first=st.floats(50.0, 200.0),
    second=st.floats(20.0, 200.0),
    capacity=st.floats(210.0, 500.0),
    coolant=st.floats(330.0, 390.0),
    air=st.floats(290.0, 350.0),
)
@pytest.mark.law("energy: two coolers in line together shed the heat")
def test_two_coolers_in_line_shed_the_heat(
    heat: float, first: float, second: float, capacity: float, coolant: float, air: float
) -> None:
    hot = in_line(heat, first, second, capacity, coolant, air)
    by_first = first * (hot - coolant)
    by_second = second * (hot - by_first / capacity - air)
    assert by_first + by_second == pytest.approx(heat, rel=1e-9)


@pytest.mark.law("a second cooler that sheds nothing changes nothing")
def test_a_dead_second_cooler_is_no_cooler() -> None:
    assert in_line(2400.0, 120.0, 0.0, 230.0, 358.15, 310.0) == pytest.approx(hot_fluid_in(2400.0, 120.0, 358.15))


@pytest.mark.by_hand("duty (b): 78 K of boost heat, a quarter left over 35 C air")
def test_charge_air_keeps_what_its_cooler_leaves() -> None:
    assert charge_after_cooler(308.15, 78.0, 0.75, 308.15) == pytest.approx(308.15 + 19.5)
    hot = charge_after_cooler(308.15, 78.0, np.array([0.0, 1.0]), 320.0)
    assert hot == pytest.approx([386.15, 320.0])


@pytest.mark.by_hand("duty (b): 18.7 kW into 8 L of water, 29 kJ/K, is 0.65 K/s, 19 K in a 30 s pull")
def test_a_water_loop_warms_through_a_pull() -> None:
    assert charge_loop_rise(18.7e3, 30.0, 29e3) == pytest.approx(19.3, abs=0.1)
