import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.airflow.behind import area_under_opening, heat_ratio, plenum_loss
from shroudwright.airflow.frame import head_loss, leak_flow, ram_pressure
from shroudwright.airflow.recycled import fading, inlet_rise


@pytest.mark.by_hand("60 mph = 26.822 m/s: 0.5 * 1.2 * 26.822**2 = 431.7 Pa, times 0.40")
def test_ram_at_sixty() -> None:
    assert ram_pressure(26.8224, 1.2, 0.45, 0.05) == pytest.approx(172.7, abs=0.1)


@pytest.mark.by_hand("K rho V^2 / 2 = 5 * 1.2 * 9 / 2 = 27 Pa at 3 m/s over 0.25 m2 (0.9 kg/s)")
def test_head_loss_and_its_sign() -> None:
    assert head_loss(5.0, 0.9, 1.2, 0.25) == pytest.approx(27.0)
    assert head_loss(5.0, -0.9, 1.2, 0.25) == pytest.approx(-27.0)


@pytest.mark.by_hand("0.6 * 0.01 * sqrt(2 * 50 / 1.0) = 0.06 m3/s")
def test_leak_and_its_sign() -> None:
    assert leak_flow(0.01, 50.0, 1.0) == pytest.approx(0.06)
    assert leak_flow(0.01, -50.0, 1.0) == pytest.approx(-0.06)


@pytest.mark.independent("fixed-point iteration of the mixing at the opening")
@given(st.floats(0.0, 0.45), st.floats(1e3, 5e4), st.floats(0.0, 2e4), st.floats(300.0, 3000.0))
def test_inlet_rise_is_the_fixed_point_of_mixing(share: float, heat: float, ahead: float, capacity: float) -> None:
    back = 0.0
    for _ in range(400):
        air_in = share * back + ahead / capacity
        back = air_in + heat / capacity
    assert inlet_rise(share, heat, ahead, capacity) == pytest.approx(air_in, rel=1e-9)


@pytest.mark.practice("recirculation is gone by about 4 m/s")
def test_recirculation_fades_with_speed() -> None:
    assert fading(0.2, 0.0) == 0.2
    assert fading(0.2, 2.0) == pytest.approx(0.1)
    assert fading(0.2, 30.0) == 0.0


@pytest.mark.law("deeper is never worse")
@given(st.floats(0.002, 0.3), st.floats(1.01, 2.0))
def test_a_deeper_plenum_costs_less(depth: float, factor: float) -> None:
    assert plenum_loss(depth * factor) <= plenum_loss(depth)
    assert heat_ratio(depth * factor) >= heat_ratio(depth)
    assert heat_ratio(depth) <= 1.0


@pytest.mark.by_hand("inside: pi d^2/4; centred on a corner: a quarter of it; on an edge: half")
def test_core_under_an_opening() -> None:
    disc = math.pi * 0.3**2 / 4.0
    assert area_under_opening(0.3, 0.2, 0.3, 0.6, 0.4) == pytest.approx(disc, rel=1e-4)
    assert area_under_opening(0.0, 0.0, 0.3, 0.6, 0.4) == pytest.approx(disc / 4.0, rel=1e-4)
    assert area_under_opening(0.6, 0.2, 0.3, 0.6, 0.4) == pytest.approx(disc / 2.0, rel=1e-4)
    assert area_under_opening(0.3, 0.2, 5.0, 0.6, 0.4) == pytest.approx(0.24, rel=1e-4)
    assert area_under_opening(2.0, 0.2, 0.3, 0.6, 0.4) == 0.0


@pytest.mark.law("draws go through as arrays")
def test_plenum_takes_arrays() -> None:
    assert np.all(np.diff(plenum_loss(np.linspace(0.003, 0.2, 50))) < 0.0)
