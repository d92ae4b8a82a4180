"""Sums of hoses, tank and cap against other sets, tables and hand."""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from fluids.fittings import bend_rounded, contraction_sharp, diffuser_sharp
from fluids.flow_meter import discharge_coefficient_to_K
from fluids.friction import friction_factor
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.circuit.hoses import hose_loss
from shroudwright.circuit.pump import electric_pump_flow, engine_loss, pump_pressure, thermostat_loss
from shroudwright.materials.coolant import coolant
from shroudwright.plumbing.expansion import coolant_expansion, recovery_bottle_volume, surge_tank_volume
from shroudwright.plumbing.fittings import (
    NECK_WALL,
    Run,
    bend_loss,
    hose_fittings,
    restrictor_loss,
    run_as_one,
    step_loss,
)
from shroudwright.plumbing.pressures import static_pressure_left, suction_pressure


@pytest.mark.independent("fluids.fittings.bend_rounded, Rennels; its term for the turn's own length taken off")
@given(st.floats(1.0, 5.0))
def test_bend_is_the_published_relation(ratio: float) -> None:
    whole = bend_rounded(Di=0.038, angle=90.0, rc=ratio * 0.038, fd=0.022, method="Rennels")
    assert bend_loss(ratio) == pytest.approx(whole - 0.022 * 0.5 * math.pi * ratio, rel=1e-9)


@pytest.mark.independent("fluids.fittings.bend_rounded, Miller and Ito, whole turns")
@pytest.mark.parametrize("method", ["Miller", "Ito"])
@pytest.mark.parametrize("ratio", [1.0, 1.5, 2.0, 3.0])
def test_bend_against_other_sets(method: str, ratio: float) -> None:
    other = bend_rounded(Di=0.038, angle=90.0, rc=ratio * 0.038, fd=0.022, Re=4e4, roughness=1.5e-6, method=method)
    assert bend_loss(ratio) + 0.022 * 0.5 * math.pi * ratio == pytest.approx(other, rel=0.16)


@pytest.mark.independent("fluids.fittings: diffuser_sharp, contraction_sharp by Crane, and by Rennels within 30 %")
@given(st.floats(0.020, 0.050), st.floats(0.4, 0.99))
def test_steps(bore: float, ratio: float) -> None:
    assert step_loss(ratio * bore, bore) == pytest.approx(diffuser_sharp(Di1=ratio * bore, Di2=bore), rel=1e-9)
    narrower = step_loss(bore, ratio * bore)
    assert narrower == pytest.approx(contraction_sharp(Di1=bore, Di2=ratio * bore, method="Crane"), rel=1e-9)
    if ratio < 0.8:
        assert narrower == pytest.approx(contraction_sharp(Di1=bore, Di2=ratio * bore), rel=0.30)


@pytest.mark.independent("fluids.flow_meter.discharge_coefficient_to_K, ISO 5167")
@given(st.floats(0.3, 0.95))
def test_restrictor(ratio: float) -> None:
    other = discharge_coefficient_to_K(D=0.038, Do=ratio * 0.038, C=0.61)
    assert restrictor_loss(ratio * 0.038, 0.038) == pytest.approx(other, rel=1e-9)
    assert restrictor_loss(0.040, 0.038) == 0.0


@pytest.mark.independent("a whole hose of 1.5 in, 30 in long with two moulded turns, piece by piece with fluids")
def test_a_whole_hose() -> None:
    flow, bore, length, rho, mu = 2.5e-3, 0.0381, 0.762, 1020.0, 8e-4
    velocity = flow / (0.25 * math.pi * bore**2)
    Re = rho * velocity * bore / mu
    f = friction_factor(Re=Re, eD=0.0)
    turns = 2 * (bend_rounded(Di=bore, angle=90.0, rc=1.5 * bore, fd=f) - f * 0.5 * math.pi * 1.5)
    expected = (f * length / bore + turns + 0.5 + 1.0) * 0.5 * rho * velocity**2
    heads = hose_fittings(bore, 2, None, bore + 2 * NECK_WALL, bore + 2 * NECK_WALL)
    assert hose_loss(flow, bore, length, heads, rho, mu) == pytest.approx(expected, rel=0.03)


@pytest.mark.law("hoses taken as one lose what they lose one by one; a narrow neck costs more than none")
@given(st.floats(0.028, 0.050), st.floats(0.028, 0.050), st.floats(0.2, 3.0), st.floats(0.0, 6.0))
def test_run_as_one(one: float, other: float, length: float, fittings: float) -> None:
    runs = [Run(one, length, fittings), Run(other, 0.7 * length, 0.5 * fittings)]
    whole = run_as_one(runs)
    flow, rho, mu = 2e-3, 1020.0, 4e-4
    apart = sum(hose_loss(flow, run.bore, run.length, run.fittings, rho, mu) for run in runs)
    assert hose_loss(flow, whole.bore, whole.length, whole.fittings, rho, mu) == pytest.approx(apart, rel=1e-9)
    assert hose_fittings(one, 0, None, 0.8 * one, None) > hose_fittings(one, 0, None, None, None)


@pytest.mark.published("steam tables, specific volume of water 1.0018 at 20 C and 1.0435 L/kg at 100 C, from memory")
def test_water_grows() -> None:
    grown = coolant_expansion(0.010, 1 / 1.0018e-3, 1 / 1.0435e-3)
    assert grown == pytest.approx(0.010 * (1.0435 / 1.0018 - 1.0), rel=1e-9)
    cold, hot = (coolant("water", 0.0, kelvin).density for kelvin in (293.15, 373.15))
    assert coolant_expansion(0.010, cold, hot) == pytest.approx(grown, rel=0.02)


@pytest.mark.independent("CoolProp, 50 % ethylene glycol by mass, 20 to 95 C")
def test_mix_grows() -> None:
    cold, hot = (PropsSI("D", "T", kelvin, "P", 3e5, "INCOMP::MEG-52.7%") for kelvin in (293.15, 368.15))
    ours = [coolant("MEG", 0.50, kelvin).density for kelvin in (293.15, 368.15)]
    assert coolant_expansion(0.012, *ours) == pytest.approx(coolant_expansion(0.012, cold, hot), rel=0.02)


@pytest.mark.by_hand("12 L growing 0.6 L: tank 1.2 + 1.2 = 2.4 L, bottle 1.2 L")
def test_tanks() -> None:
    assert surge_tank_volume(0.6e-3, 12e-3) == pytest.approx(2.4e-3)
    assert recovery_bottle_volume(0.6e-3) == pytest.approx(1.2e-3)


@pytest.mark.by_hand("101325 + 1000 * 9.80665 * 0.5 - 20000; 103421 - 20000 - 15000")
def test_pressures() -> None:
    assert suction_pressure(101325.0, 0.5, 1000.0, 20e3) == pytest.approx(86228.3, abs=0.1)
    assert static_pressure_left(103421.0, 20e3, 15e3) == pytest.approx(68421.0)


@pytest.mark.law("an electric pump as a belt pump meets the engine where its own parabola does")
@given(st.floats(0.5e-3, 5e-3), st.floats(10e3, 120e3), st.floats(0.3e-3, 1.2e-3), st.floats(8e3, 20e3))
def test_electric_pump(free: float, shutoff: float, belt_flow: float, belt_shutoff: float) -> None:
    rated = electric_pump_flow(free, shutoff, belt_flow, belt_shutoff)
    q = 0.6 * rated
    as_belt = (
        pump_pressure(q, shutoff, rated) - engine_loss(q, shutoff, rated) - thermostat_loss(q, 1.0, shutoff, rated)
    )
    own = shutoff * (1.0 - (q / free) ** 2)
    engine = engine_loss(q, belt_shutoff, belt_flow) + thermostat_loss(q, 1.0, belt_shutoff, belt_flow)
    assert as_belt == pytest.approx(own - engine, rel=1e-9, abs=1e-6)
