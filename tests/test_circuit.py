import math

import pytest
from fluids.friction import friction_factor
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.circuit.hoses import hose_loss
from shroudwright.circuit.pump import (
    bypass_flow,
    engine_loss,
    flow_at_engine_speed,
    pump_pressure,
    thermostat_loss,
)
from shroudwright.circuit.thermostat import lift


@pytest.mark.by_hand("at rated flow 55 % of shut-off: 65 % of it in the engine, 20 % in the thermostat")
def test_the_ordinary_circuit_at_rated_flow() -> None:
    assert pump_pressure(0.002, 20e3, 0.002) == pytest.approx(11e3)
    assert engine_loss(0.002, 20e3, 0.002) == pytest.approx(0.65 * 11e3)
    assert thermostat_loss(0.002, 1.0, 20e3, 0.002) == pytest.approx(0.20 * 11e3)
    assert thermostat_loss(0.002, 0.5, 20e3, 0.002) == pytest.approx(4.0 * 0.20 * 11e3)
    assert bypass_flow(0.1925 * 20e3, 0.1, 20e3, 0.002, 0.1925) == pytest.approx(0.0002)


@pytest.mark.law("pump affinity: flow as speed")
def test_flow_goes_with_speed() -> None:
    assert flow_at_engine_speed(6e-4, 2500.0) == pytest.approx(1.5e-3)


@pytest.mark.independent("fluids.friction, smooth pipe")
@given(st.floats(3e-4, 4e-3), st.floats(0.028, 0.045))
def test_hose_friction_is_the_smooth_pipe_law(flow: float, bore: float) -> None:
    rho, mu = 1020.0, 8e-4
    velocity = flow / (math.pi * bore**2 / 4.0)
    Re = rho * velocity * bore / mu
    if Re < 4000.0 or Re > 1e5:
        return
    f = friction_factor(Re=Re, eD=0.0)
    expected = (f * 1.2 / bore + 3.0) * rho * velocity**2 / 2.0
    assert hose_loss(flow, bore, 1.2, 3.0, rho, mu) == pytest.approx(expected, rel=0.03)


@pytest.mark.by_hand("straight line between opening and full open")
def test_thermostat_lift() -> None:
    assert lift(355.0, 360.0, 8.0) == 0.0
    assert lift(364.0, 360.0, 8.0) == pytest.approx(0.5)
    assert lift(380.0, 360.0, 8.0) == 1.0
