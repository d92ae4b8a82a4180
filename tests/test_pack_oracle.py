"""The whole pack against a balance written apart from it (`oracle_pack`).

The oracle shares the published relations and the meaning of a record's fields, nothing else; so agreement proves
the arithmetic of the balance, not the relations. Random packs are those with full cover, at 12 V or more at every
running fan, because below that the package's power of volts leaves the exact motor by more than it claims.
"""

import math
from typing import Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from shroudwright.job.circuits import circuits_of
from shroudwright.job.flatten import boil_and_limit, flatten, glycol_of
from shroudwright.job.heat_load import heat_load
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.kernel import solve_batch
from shroudwright.pack.plenum import even
from shroudwright.pack.solve import operating_point
from tests.oracle_pack import Pack
from tests.oracle_radiator import pressure
from tests.packs import demo, demo_case, example, lay_out, plain, random_packs

WITHIN_KELVIN, WITHIN_AIR = 0.1, 0.005
GPM_PER_1000_RPM = 10 * 6.30901964e-5
STEADY = [i for i, case in enumerate(demo().job.cases) if case.kind != "pull"]


def one_by_one(rows: Any, table: Any) -> list[Any]:
    """Results of the scalar solve, in the place of `solve_batch`."""
    return [operating_point(row, table) for row in plain(rows)]


def check_against_oracle(rows: Any, glycol: str, share: float, solve: Any = solve_batch) -> list[float]:
    """Coolant full open and regulated, air and coolant flow of every row; the kelvins off are returned."""
    off = []
    for row, found in zip(rows, solve(rows, coolant_table(glycol, share)), strict=True):
        ours = Pack(row, glycol, share).solve()
        off += [found.coolant_unregulated - ours.unregulated, found.coolant_in - ours.regulated]
        assert abs(off[-2]) <= WITHIN_KELVIN
        assert abs(off[-1]) <= WITHIN_KELVIN
        assert found.air_mass_flow == pytest.approx(ours.air, rel=WITHIN_AIR)
        assert found.air_out - found.air_in == pytest.approx(ours.air_out - ours.air_in, rel=WITHIN_AIR)
        assert found.coolant_flow == pytest.approx(ours.coolant_flow, rel=WITHIN_AIR)
    return off


def check_boiling_of_the_demo() -> None:
    """Boiling under the cap by Raoult on the property library's steam, half a kelvin for the correction."""
    points, limit = boil_and_limit(demo(), 0)
    altitude, cap = 4600 * 0.3048, 14 * 6894.757
    share = 0.5 * 1113.5 / (0.5 * 1113.5 + 0.5 * 998.2)
    water = (1 - share) / 18.015 / ((1 - share) / 18.015 + share / 62.068)
    steam = PropsSI("T", "P", (pressure(altitude) + cap) / water, "Q", 0, "Water")
    assert points[0] == pytest.approx(steam - 0.3, abs=0.5)
    assert limit[0] <= points[0] - 10.0


def check_pump_flow_of_the_demo() -> None:
    """The demo's pump is not known: 10 gpm a thousand rpm, so at 2300 rpm 23 gpm reach an open thermostat."""
    row = flatten(demo(), 2, heat_load(demo(), 2), circuits_of(demo()))[0]
    assert row["pump_flow"] == pytest.approx(2.3 * GPM_PER_1000_RPM, rel=1e-6)


def lossy(direction: float = 0.0) -> Any:
    """Standing, a hot thin air flow, much of its loss behind the core, some of it coming back."""
    rows = example()
    rows.heat, rows.exit_loss, rows.recirculation = 30e3, 20.0, 0.1
    rows.plenum_loss, rows.unevenness = even(20.0, 0.998)
    rows.coolant_flow, rows.fan_is_pusher = math.nan, direction
    rows.pump_flow, rows.pump_shutoff = 20 * 6.30901964e-5, 50e3
    return rows


def full_covers(count: int, seed: int) -> Any:
    """The first so many random packs of one zone that hold a plain steady state."""
    rows = random_packs(400, seed)
    found = solve_batch(rows, coolant_table("MEG", 0.5))
    volts = np.nanmin(np.where(found.fan_volts > 0, found.fan_volts, np.nan), axis=1, initial=99.0)
    plain = (rows.covered_share == 1.0) & np.isnan(rows.pull_start) & (volts >= 12.0)
    return rows[np.flatnonzero(plain & (found.coolant_unregulated < 400) & (found.air_out < 440))[:count]]


@pytest.mark.independent("ht, CoolProp, scipy: a balance written apart")
@pytest.mark.parametrize("index", STEADY)
def test_demo_cases_agree_with_the_oracle(index: int) -> None:
    check_against_oracle(demo_case(index), *glycol_of(demo()))


@pytest.mark.independent("ht, CoolProp, scipy: a balance written apart")
def test_random_packs_agree_with_the_oracle() -> None:
    check_against_oracle(full_covers(12, 3), "MEG", 0.5)


@pytest.mark.independent("ht, CoolProp, scipy: a balance written apart")
@pytest.mark.parametrize("direction", [0.0, 1.0])
def test_losses_behind_the_core_agree_with_the_oracle(direction: float) -> None:
    check_against_oracle(lossy(direction), "MEG", 0.5, one_by_one)


@pytest.mark.independent("ht, CoolProp, scipy: a balance written apart")
def test_an_uncovered_core_at_speed_agrees_with_the_oracle() -> None:
    rows = example(count=2)
    rows.covered_share, rows.crossed_share, rows.road_speed = [0.6, 0.8], [0.8, 0.9], [15.0, 25.0]
    check_against_oracle(rows, "MEG", 0.5)


SIDE, TOP, MIDDLE = ((0.0, 0.5), (0.0, 1.0)), ((0.0, 1.0), (0.5, 1.0)), ((0.1, 0.8), (0.2, 0.9))


def behind(*coolers: Any) -> Any:
    """Standing, coolers ahead of parts of the core."""
    rows = example()
    lay_out(rows, *coolers)
    rows.ahead_heat[:, : len(coolers)], rows.recirculation, rows.heat = 5e3, 0.1, 20e3
    return rows


@pytest.mark.independent("ht, CoolProp, scipy: a balance written apart")
@pytest.mark.parametrize("coolers", [(SIDE,), (TOP,), (MIDDLE,), (TOP, MIDDLE), (SIDE, TOP)])
@pytest.mark.parametrize("covered", [1.0, 0.6])
def test_coolers_ahead_of_parts_of_the_core_agree_with_the_oracle(coolers: Any, covered: float) -> None:
    rows = behind(*coolers)
    rows.covered_share, rows.crossed_share = covered, math.sqrt(covered)
    rows.road_speed = 0.0 if covered == 1.0 else 18.0
    check_against_oracle(rows, "MEG", 0.5)


@pytest.mark.independent("ht, CoolProp, scipy: a balance written apart")
@pytest.mark.parametrize("coolers", [(MIDDLE,), (TOP, SIDE)])
def test_a_condenser_at_one_temperature_agrees_with_the_oracle(coolers: Any) -> None:
    rows = behind(*coolers)
    rows.ahead_temperature[:, len(coolers) - 1] = 340.0
    check_against_oracle(rows, "MEG", 0.5)


@pytest.mark.independent("ht, CoolProp, scipy: a balance written apart")
@pytest.mark.parametrize("stopped", [False, True])
def test_a_pusher_that_helps_pullers_agrees_with_the_oracle(stopped: bool) -> None:
    rows = behind(MIDDLE)
    rows.fan_is_pusher[:, 1], rows.pushed_share, rows.fan_on[:, 1] = 1.0, 0.3, float(not stopped)
    check_against_oracle(rows, "MEG", 0.5)


@pytest.mark.independent("ht, CoolProp, scipy: a balance written apart")
def test_flaps_at_speed_agree_with_the_oracle() -> None:
    rows = example(count=3)
    rows.flap_area, rows.road_speed, rows.leak_area = [0.02, 0.03, 0.03], [0.0, 30.0, 20.0], 0.002
    rows.plenum_loss[2], rows.leak_lift[2], rows.flap_lift[2] = even(6.0, 1.0).loss, 0.9, 1.4
    check_against_oracle(rows, "MEG", 0.5)


@pytest.mark.independent("CoolProp: steam at the pressure of water's share")
def test_boiling_of_the_demo() -> None:
    check_boiling_of_the_demo()


@pytest.mark.practice("10 gpm per 1000 rpm through an open thermostat")
def test_pump_flow_of_the_demo() -> None:
    check_pump_flow_of_the_demo()
