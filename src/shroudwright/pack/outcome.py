"""What is reported once air and coolant balance.

fill_result        a row of `RESULT` from the balanced flows
seconds_between    of a pull
air_to_boil        the road-test index
"""

import math
from typing import Any

from shroudwright.bench.compiled import compilable
from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer
from shroudwright.materials.air import density
from shroudwright.pack.air_path import (
    DRAWN,
    HOTTEST_AIR,
    PUSHED,
    AirState,
    Setup,
    cooler_drop,
    density_at_fan,
    fan_amps,
    front_and_exit,
    helps,
    main_stack,
    moved,
    one_fan_flow,
    plenum_drop,
    plenum_loss,
    ram,
    shared_face,
    stack_drop,
    standing_share,
    uneven_heat,
    zone_flow,
    zone_share,
)
from shroudwright.pack.coolant_path import coolant_state
from shroudwright.radiator.core import air_reynolds


@offer
def air_to_boil(boil: Draws, coolant_out_of_engine: Draws, ambient: Draws) -> Draws:
    """Outside air at which the coolant would just boil, by the unit-slope rule.

    T_boil - T_coolant + T_ambient. Say which boiling point is meant: 100 C, or under the cap.

    Parameters
    ----------
    boil : float
        Boiling point taken, [K]
    coolant_out_of_engine : float
        Coolant out of the engine in the test, thermostat full open and steady, [K]
    ambient : float
        Outside air in the test, [K]

    Returns
    -------
    air_to_boil : float
        [K]

    Notes
    -----
    Limits: thermostat full open, steady. Accuracy: re-solving the balance is better over wide ranges.

    References
    ----------
    SAE J1393 as summarised in public, read; the standard itself not seen.
    """
    return boil - coolant_out_of_engine + ambient


@compilable
def seconds_between(heat_store: float, rise: float, gain_at_start: float, gain_at_limit: float) -> float:
    """Seconds to warm through a rise when the net heat runs straight from start to limit; inf if never.

    C dT/dt = a straight line in T, integrated: C rise ln(g0 / g1) / (g0 - g1).
    """
    if gain_at_start <= 0.0 or gain_at_limit <= 0.0:
        return math.inf
    if math.fabs(gain_at_start - gain_at_limit) <= 1e-9 * gain_at_start:
        return heat_store * rise / gain_at_start
    return heat_store * rise * math.log(gain_at_start / gain_at_limit) / (gain_at_start - gain_at_limit)


@compilable
def fans_rise(p: Any, setup: Setup, air: AirState, flow: Any, zone: int) -> float:
    """Pressure the fans add in a zone: its losses less the ram, read off the stack that stands before most of it."""
    most = main_stack(p)
    drawn = zone_flow(p, flow, DRAWN) + zone_flow(p, flow, PUSHED)
    lost = stack_drop(p, setup, air, most, flow[zone, most]) + plenum_drop(
        p, setup, air, drawn, plenum_loss(p, setup, air, flow)
    )
    return lost + front_and_exit(p, setup, air, air.total) - ram(p, p.ambient)


@compilable
def _standing_disc(p: Any, setup: Setup) -> float:
    """Swept area of all the fans that stand, [m**2]."""
    area = 0.0
    for i in range(int(p.fan_count)):
        if setup.speed[i] <= 0.0:
            area += p.fan_disc[i]
    return area


@compilable
def fill_result(
    p: Any,
    setup: Setup,
    table: Any,
    heat: float,
    air: AirState,
    flow: Any,
    unregulated: float,
    coolant_in: float,
    opening: float,
    coolant_flow: float,
    result: Any,
) -> None:
    """Write what follows from the balanced air and coolant into a row of `RESULT`."""
    settled = coolant_flow > 0.0
    film = min(0.5 * (air.air_in + air.air_out), HOTTEST_AIR)
    entering = density(p.pressure, min(air.air_in, HOTTEST_AIR), p.humidity_ratio)
    drawn = (zone_flow(p, flow, DRAWN) + zone_flow(p, flow, PUSHED)) / (p.open_share * p.covered_share)
    result.air_mass_flow = air.total
    result.air_flow = air.total / entering
    result.air_in = air.air_in if settled else math.nan
    result.air_out = air.air_out if settled else math.nan
    result.coolant_flow = coolant_flow
    result.coolant_in = coolant_in
    result.coolant_unregulated = unregulated
    result.lift = opening
    result.coolant_out = coolant_state(table, heat, coolant_in, coolant_flow).coolant_out if settled else math.nan
    result.Re = air_reynolds(setup.made, drawn, film)
    result.plenum_loss = plenum_loss(p, setup, air, flow)
    result.heat_ratio = uneven_heat(p, setup, air, flow)
    result.core_drop = cooler_drop(p, setup.core, setup.made, drawn, air.air_in, air.air_out)
    for i in range(int(p.ahead_count)):
        before = air.mixed
        for j in range(i):
            before += shared_face(p, i, j) * air.cooler_rise[j]
        result.ahead_air_in[i] = before
        result.ahead_air_flow[i] = air.cooler_flow[i]
        result.ahead_heat[i] = air.cooler_rise[i] * air.cooler_flow[i] * air.specific_heat
    with_pullers = fans_rise(p, setup, air, flow, DRAWN if zone_share(p, DRAWN) > 0.0 else PUSHED)
    help_needed = fans_rise(p, setup, air, flow, PUSHED) - with_pullers if p.pushed_share > 0.0 else 0.0
    standing = standing_share(p, setup, air, flow)
    for i in range(int(p.fan_count)):
        rise = help_needed if helps(p, i) else with_pullers
        at_fan, volts, speed = density_at_fan(p, i, air), setup.volts[i], setup.speed[i]
        if speed <= 0.0 and not math.isnan(standing):
            all_air = moved(p, setup, air, with_pullers, False, standing)
            through = standing * all_air * p.fan_disc[i] / _standing_disc(p, setup) / at_fan
            rise = -0.5 * at_fan * p.fan_stopped_loss[i] * through * math.fabs(through) / p.fan_disc[i] ** 2
        else:
            through = one_fan_flow(p, i, at_fan, speed, rise)
        knee = p.fan_scale[i] * speed * p.fan_flow[i][0]
        result.fan_flow[i] = through
        result.fan_pressure[i] = rise
        result.fan_volts[i] = volts
        result.fan_speed[i] = speed
        result.fan_amps[i] = fan_amps(p, i, volts, at_fan)
        result.fan_is_stalled[i] = 1.0 if speed > 0.0 and through <= knee else 0.0
