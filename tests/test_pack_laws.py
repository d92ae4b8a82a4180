"""Laws the whole pack must keep, tried on the compiled batch over many packs."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from shroudwright.bench.compiled import batch
from shroudwright.circuit.pump import LEAK_LIFT
from shroudwright.materials.air import specific_heat
from shroudwright.materials.coolant import coolant_properties, coolant_table
from shroudwright.pack.air_path import (
    DRAWN,
    HOTTEST_AIR,
    ZONES,
    air_state,
    cooler_drop,
    front_and_exit,
    leaked,
    moved,
    plenum_drop,
    plenum_loss,
    ram,
    setup_of,
    stack_drop,
)
from shroudwright.pack.kernel import solve_batch
from shroudwright.pack.params import STACKS
from shroudwright.pack.solve import heat_shed_at
from shroudwright.radiator.core import Core
from tests.packs import EXAMPLE_CORE, example, lay_out, plain, random_packs

TABLE = coolant_table("MEG", 0.5)
FEW = settings(deadline=None, max_examples=25, derandomize=True)
SEEDS = st.integers(0, 10**6)
MORE = st.floats(1.02, 1.3)


def solved(rows: Any) -> Any:
    return solve_batch(rows, TABLE)


def packs(seed: int, count: int = 40) -> Any:
    """Steady random packs that find a plain balance."""
    rows = random_packs(count, seed)
    rows.pull_start = math.nan
    found = solved(rows)
    return rows[(found.coolant_unregulated < 600.0) & (found.air_out < HOTTEST_AIR) & (found.air_mass_flow > 0.02)]


def single_zone(seed: int) -> Any:
    """The same with the whole core behind running fans, at a coolant flow that is given."""
    rows = packs(seed)
    rows.covered_share = rows.crossed_share = rows.fan_on = 1.0
    rows.fan_count = np.maximum(rows.fan_count, 1.0)
    rows.coolant_flow = np.where(np.isnan(rows.coolant_flow), 1.5e-3, rows.coolant_flow)
    return rows


def rise_of(rows: Any, field: str, by: float, add: float = 0.0) -> Any:
    """Kelvins the coolant full open gains when a field is scaled and shifted."""
    other = rows.copy()
    other[field] = other[field] * by + add
    return solved(other).coolant_unregulated - solved(rows).coolant_unregulated


@pytest.mark.law("the air takes up what the radiator sheds")
@given(SEEDS)
@FEW
def test_energy_closes_on_the_air(seed: int) -> None:
    rows = packs(seed)
    found = solved(rows)
    for row, one in zip(rows, found, strict=True):
        cp_start = specific_heat(row.ambient + row.pavement_rise, row.humidity_ratio)
        warm, ahead = one.air_mass_flow * cp_start, sum(row.ahead_heat[: int(row.ahead_count)])
        back = row.recirculation
        rise = (ahead + back * row.heat) / ((1 - back) * warm) + row.heat / warm
        cp = specific_heat(
            min(row.ambient + row.pavement_rise + rise / 2, HOTTEST_AIR), row.humidity_ratio
        )  # at the mean of outside and out of the core
        assert one.air_mass_flow * cp * (one.air_out - one.air_in) == pytest.approx(row.heat, rel=1e-9)


@pytest.mark.law("air in is outside air, the share that comes back and the heat ahead")
@given(SEEDS)
@FEW
def test_returning_air_mixes(seed: int) -> None:
    rows = packs(seed)
    found = solved(rows)
    ahead = np.array([sum(row.ahead_heat[: int(row.ahead_count)]) for row in rows])
    warm = rows.heat / (found.air_out - found.air_in)
    mixed = (1 - rows.recirculation) * (rows.ambient + rows.pavement_rise) + rows.recirculation * found.air_out
    np.testing.assert_allclose(found.air_in, mixed + ahead / warm, rtol=1e-9)


@pytest.mark.law("the coolant loses what the radiator sheds")
@given(SEEDS)
@FEW
def test_energy_closes_on_the_coolant(seed: int) -> None:
    rows = packs(seed)
    found = solved(rows)
    for row, one in zip(rows, found, strict=True):
        rho, cp, _, _ = coolant_properties(TABLE, one.coolant_in)
        mean = one.coolant_in - row.heat / (one.coolant_flow * rho * cp) / 2
        rho, cp, _, _ = coolant_properties(TABLE, mean)
        lost = one.coolant_flow * rho * cp * (one.coolant_in - one.coolant_out)
        assert lost == pytest.approx(row.heat, rel=1e-9)


@pytest.mark.law("more heat in, hotter coolant")
@pytest.mark.parametrize(
    ("field", "by", "add"),
    [("ambient", 1.0, 5.0), ("heat", 1.1, 0.0), ("recirculation", 1.0, 0.1), ("ahead_heat", 1.2, 0.0)],
)
@given(seed=SEEDS)
@settings(FEW, max_examples=10)
def test_coolant_rises(field: str, by: float, add: float, seed: int) -> None:
    rows = packs(seed)
    if field == "ahead_heat":
        rows = rows[rows.ahead_count > 0]
    assert np.all(rise_of(rows, field, by, add) > 0.0)


@pytest.mark.law("thinner air cools less, behind fans")
@given(seed=SEEDS, thinner=st.floats(0.75, 0.98))
@settings(FEW, max_examples=15)
def test_coolant_rises_with_altitude(seed: int, thinner: float) -> None:
    assert np.all(rise_of(single_zone(seed), "pressure", thinner) > 0.0)


@pytest.mark.law("more volts, more coolant, more open face: cooler")
@pytest.mark.parametrize("field", ["source_volts", "coolant_flow", "open_share"])
@given(seed=SEEDS, more=MORE)
@settings(FEW, max_examples=10)
def test_coolant_falls(field: str, seed: int, more: float) -> None:
    rows = single_zone(seed)
    rows.fan_is_brushless = 0.0  # the other kind holds its speed
    rows.open_share /= 1.4
    assert np.all(rise_of(rows, field, more) < 0.0)


@pytest.mark.law("a fan that moves more at every pressure never leaves the coolant hotter")
@given(seed=SEEDS, more=MORE, taller=st.booleans())
@FEW
def test_a_better_fan_is_never_worse(seed: int, more: float, taller: bool) -> None:
    rows = packs(seed)
    rows.covered_share = rows.crossed_share = 1.0  # else its air may be taken from the core beside it
    if taller:  # past free air a steeper curve moves less
        rows = rows[np.nan_to_num(solved(rows).fan_pressure[:, 0], nan=-1.0) > 0.0]
    assert np.all(rise_of(rows, "fan_pressure" if taller else "fan_flow", more) <= 1e-6)


@pytest.mark.law("solved at the ambient held, the coolant stands at its limit")
@given(SEEDS)
@FEW
def test_ambient_held_gives_the_limit(seed: int) -> None:
    rows = packs(seed)
    found = solved(rows)
    rows, found = rows[np.isfinite(found.ambient_held)], found[np.isfinite(found.ambient_held)]
    rows.ambient = found.ambient_held
    np.testing.assert_allclose(solved(rows).coolant_unregulated, rows.limit, rtol=0.0, atol=1e-3)


@pytest.mark.law("a thermostat only ever warms the coolant, and stays inside its span")
@given(SEEDS)
@FEW
def test_thermostat_holds_its_span(seed: int) -> None:
    rows = packs(seed)
    found = solved(rows)
    rho, cp, _, _ = np.transpose([coolant_properties(TABLE, T) for T in found.coolant_unregulated])
    open_flow = rows.copy()
    open_flow.thermostat = 0.0
    drop = rows.heat * (1 - rows.bypass_share) / (solved(open_flow).coolant_flow * rho * cp)
    wax = np.where(rows.thermostat == 2.0, drop, 0.0)
    above = found.coolant_in - rows.thermostat_opens - wax
    at_work, shut = found.lift < 1.0, found.lift <= LEAK_LIFT
    assert np.all(found.coolant_in >= found.coolant_unregulated - 1e-6)
    assert np.all(found.coolant_in[~at_work] == found.coolant_unregulated[~at_work])
    assert np.all(above[shut] <= LEAK_LIFT * rows.thermostat_span[shut] + 1e-6)  # the leak alone sheds the heat
    within = (above / rows.thermostat_span)[at_work & ~shut]
    assert np.all((within > 0.0) & (within < 1.0))
    np.testing.assert_allclose(found.lift[at_work & ~shut], within, atol=1e-6)


def pull(heat: float, start: float, volts: float = 13.5, speed: float = 0.0) -> Any:
    rows = example()
    rows.pull_start, rows.heat, rows.source_volts, rows.road_speed = start, heat, volts, speed
    rows.coolant_flow = math.nan
    rows.pump_flow, rows.pump_shutoff = 30 * 6.30901964e-5, 100e3
    return rows


@pytest.mark.independent("scipy solve_ivp on the shed heat at seven temperatures")
@pytest.mark.parametrize("case", [(90e3, 363.0, 13.5, 0.0), (60e3, 365.0, 12.5, 20.0), (150e3, 360.0, 13.5, 25.0)])
def test_seconds_of_a_pull(case: tuple[float, float, float, float]) -> None:
    """The straight line between start and limit costs 0.9 % of the seconds at worst in these."""
    rows = pull(*case)
    (row,) = plain(rows)
    temperatures = np.linspace(row.pull_start, row.limit, 7)
    shed = [heat_shed_at(row, TABLE, T) for T in temperatures]

    def warms(_: float, T: Any) -> Any:
        return (row.heat - np.interp(T, temperatures, shed)) / row.heat_store

    def at_limit(_: float, T: Any) -> float:
        return float(T[0] - row.limit)

    at_limit.terminal = True
    run = solve_ivp(warms, (0.0, 3600.0), [row.pull_start], events=at_limit, rtol=1e-8, max_step=1.0)
    assert solved(rows).seconds_to_limit[0] == pytest.approx(run.t_events[0][0], rel=0.02)


@pytest.mark.law("no heat to spare at the limit: never; past it at the start: at once")
def test_pulls_that_never_or_at_once_end() -> None:
    shed = float(heat_shed_at(plain(pull(60e3, 363.0))[0], TABLE, 380.0))
    assert math.isinf(solved(pull(0.999 * shed, 363.0)).seconds_to_limit[0])
    assert 60.0 < solved(pull(1.01 * shed, 363.0)).seconds_to_limit[0] < math.inf
    assert solved(pull(2.0 * shed, 381.0)).seconds_to_limit[0] == 0.0


@pytest.mark.law("two fans of half the flow are one of the whole")
@given(road=st.floats(0.0, 30.0), volts=st.floats(11.0, 14.5), heat=st.floats(5e3, 40e3))
@FEW
def test_two_half_fans_are_one(road: float, volts: float, heat: float) -> None:
    one, two = example(1), example(2)
    two.fan_flow /= 2.0
    for rows in (one, two):
        rows.road_speed, rows.source_volts, rows.heat = road, volts, heat
    a, b = solved(one), solved(two)
    np.testing.assert_allclose(b.air_mass_flow, a.air_mass_flow, rtol=1e-9)
    np.testing.assert_allclose(b.coolant_unregulated, a.coolant_unregulated, rtol=0.0, atol=1e-6)
    np.testing.assert_allclose(b.fan_flow[0, :2].sum(), a.fan_flow[0, 0], rtol=1e-8)


@pytest.mark.law("air goes backward through a stopped fan beside running ones, and costs air; forward at speed")
@given(fans=st.integers(2, 4), stopped_loss=st.floats(2.0, 20.0))
@FEW
def test_a_stopped_fan_lets_air_back(fans: int, stopped_loss: float) -> None:
    rows = example(fans, 4)
    rows.fan_stopped_loss = stopped_loss
    rows.fan_on[1:, 0] = 0.0
    rows.fan_disc[2, 0] = 1e-9
    rows.road_speed[3] = 60.0
    found = solved(rows)
    assert found.fan_flow[0, 0] > 0.0 > found.fan_flow[1, 0]
    assert found.air_mass_flow[0] > found.air_mass_flow[2] > found.air_mass_flow[1]
    assert found.fan_flow[3, 0] > 0.0
    head = 0.5 * stopped_loss * (found.fan_flow[1, 0] / rows.fan_disc[1, 0]) ** 2
    density = 101325.0 / (287.055 * found.air_out[1])
    assert head * density == pytest.approx(found.fan_pressure[1, 0], rel=1e-6)


@pytest.mark.law("without air or heat to carry, nothing is invented")
def test_no_fans_standing_still_has_no_steady_state() -> None:
    found = solved(example(0))
    assert np.isnan(found.coolant_unregulated[0])
    assert np.isnan(found.ambient_held[0])
    assert found.air_mass_flow[0] <= 1e-5
    assert EXAMPLE_CORE.tube_length == example(0).core[0, 1]


@batch
def over_flows(row: Any, setup: Any, flows: Any) -> tuple[Any, Any]:
    """Fans against pack, and the loss of the cold core alone, over a range of air flows; the whole core covered."""
    each = np.zeros((ZONES, STACKS))
    left, drop = np.empty(len(flows)), np.empty(len(flows))
    for i in range(len(flows)):
        each[DRAWN, 0] = flows[i] / row.open_share
        air = air_state(row, setup, row.heat, row.ambient, each)
        behind = plenum_drop(row, setup, air, flows[i], plenum_loss(row, setup, air, each))
        rise = (
            stack_drop(row, setup, air, 0, each[DRAWN, 0])
            + behind
            + front_and_exit(row, setup, air, flows[i])
            - ram(row, row.ambient)
        )
        left[i] = moved(row, setup, air, rise, False, math.nan) - leaked(row, air, rise, behind) - flows[i]
        drop[i] = cooler_drop(row, setup.core, setup.made, flows[i] / row.open_share, row.ambient, row.ambient)
    return left, drop


@pytest.mark.law("fans and pack meet once, even where coarse louvers let the core's loss fall as air rises")
def test_running_fans_meet_a_coarse_louvered_core_once() -> None:
    """Between Re 130 and 230 the blended friction factor may fall faster than flow squared rises.

    Then ram alone can meet the pack three times, in a window of road speed under 2 % wide, with coolant up to
    8 K apart and the solver free to find any; behind running fans that was never seen.
    """
    random, count = np.random.default_rng(31), 300
    rows = random_packs(count, 31)
    rows.covered_share = rows.crossed_share = rows.fan_on = 1.0
    lay_out(rows)
    rows.fan_count = np.maximum(rows.fan_count, 1.0)
    for name, low, high in (("depth", 0.016, 0.0574), ("louver_pitch", 0.0016, 0.002), ("louver_angle", 0.35, 0.56)):
        rows.core[:, Core._fields.index(name)] = random.uniform(low, high, count)
    rows.core[:, 0], rows.core[:, 4], rows.core[:, 5] = 0.0, 1.0, 0.95 * rows.core[:, 3]
    flows = np.geomspace(0.02, 8.0, 1500)
    folded = 0
    for row in rows:
        bare = setup_of(row)
        left, drop = over_flows(row, bare._replace(ahead=(bare.core,), ahead_made=(bare.made,)), flows)
        folded += np.any(np.diff(drop) < 0.0)
        assert np.count_nonzero(np.diff(np.sign(left))) == 1
    assert folded >= 30
