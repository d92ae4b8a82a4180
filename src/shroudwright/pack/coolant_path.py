"""The equations of the coolant's way: pump against circuit, and the heat the radiator gives up.

    radiator_flow_imbalance    pump against circuit
    known_flow                 radiator flow where it is given
    coolant_state              mean temperature, properties and outlet at an inlet temperature
    outside_conductance        air side of the core behind every stack, once per air balance
    exchange                   heat the radiator gives up, a straight line in the coolant's inlet temperature

Stacks that lie beside each other along the tubes meet the same coolant one after the other; stacks across
the tubes are lanes of their own whose outlets mix.
"""

import math
from typing import Any, NamedTuple

from shroudwright.bench.compiled import compilable, inlined
from shroudwright.bench.registry import offer
from shroudwright.circuit.hoses import hose_loss
from shroudwright.circuit.pump import (
    ENGINE_SHARE,
    LEAK_LIFT,
    LEAK_SHARE,
    USED_AT_RATED_FLOW,
    bypass_flow,
    engine_loss,
    pump_pressure,
    thermostat_loss,
)
from shroudwright.circuit.thermostat import lift
from shroudwright.materials.coolant import coolant_properties
from shroudwright.pack.air_path import (
    BESIDE,
    DRAWN,
    HOTTEST_AIR,
    LEAST_AIR,
    PUSHED,
    ZONES,
    AirState,
    Setup,
    air_behind,
    stack_count,
    uneven_heat,
    zone_share,
)
from shroudwright.pack.params import SEGMENTS
from shroudwright.radiator.core import air_side, coolant_pressure_drop, coolant_side, ua
from shroudwright.radiator.exchanger import effectiveness

LEAST_HEAT = 1.0
COLDEST_AMBIENT = 200.0
HOTTEST_AMBIENT = 420.0
HOTTEST_COOLANT = 900.0
BRANCH_AT_RATED = USED_AT_RATED_FLOW * (1.0 - ENGINE_SHARE)


class CoolantState(NamedTuple):
    """Coolant in the radiator at one inlet temperature."""

    density: float
    specific_heat: float
    conductivity: float
    viscosity: float
    coolant_out: float


class Line(NamedTuple):
    """Heat as a straight line in the coolant's inlet temperature: per_kelvin T - at_zero."""

    per_kelvin: float
    at_zero: float


@inlined
def known_flow(p: Any, opening: float) -> float:
    """Radiator flow where the open thermostat's flow is known, with its share of lift, [m**3/s]."""
    return p.coolant_flow * max(opening, LEAK_SHARE)


@inlined
def radiator_flow_imbalance(p: Any, setup: Setup, rho: float, mu: float, opening: float, flow: float) -> float:
    """Pressure the pump has left less the pressure the radiator branch takes at a flow, [Pa]."""
    branch = coolant_pressure_drop(setup.core, setup.made, rho * flow, rho, mu)
    branch += hose_loss(flow, p.hose_bore, p.hose_length, p.hose_fittings, rho, mu)
    branch += thermostat_loss(flow, opening, p.pump_shutoff, p.pump_flow)
    pump_rated = p.pump_flow / (1.0 - p.bypass_share)
    past = bypass_flow(branch, p.bypass_share, p.pump_shutoff, pump_rated, BRANCH_AT_RATED)
    made = pump_pressure(flow + past, p.pump_shutoff, pump_rated)
    return made - engine_loss(flow + past, p.pump_shutoff, pump_rated) - branch


@inlined
def thermostat_opening(p: Any, coolant_in: float, engine_drop: float) -> float:
    """Lift of the thermostat at a coolant temperature out of the engine; full open where the drop is nan."""
    if p.thermostat <= 0.0 or math.isnan(engine_drop):
        return 1.0
    at_wax = coolant_in - (engine_drop if p.thermostat > 1.0 else 0.0)
    return max(lift(at_wax, p.thermostat_opens, p.thermostat_span), LEAK_LIFT)


@inlined
def coolant_state(table: Any, heat: float, coolant_in: float, coolant_flow: float) -> CoolantState:
    """Properties at the mean temperature, and the outlet; the coolant's heat balance closes exactly."""
    rho, cp, _, _ = coolant_properties(table, coolant_in)
    mean = coolant_in - 0.5 * heat / (coolant_flow * rho * cp)
    rho, cp, k, mu = coolant_properties(table, mean)
    return CoolantState(rho, cp, k, mu, coolant_in - heat / (coolant_flow * rho * cp))


@inlined
def outside_conductance(p: Any, setup: Setup, air: AirState, flow: Any, outside: Any) -> float:
    """Write eta h A of the whole core at every zone's and stack's air, [W/K]; return the heat its unevenness leaves."""
    half_rise = 0.5 * (air.air_out - air.air_in)
    for zone in range(ZONES):
        if zone_share(p, zone) <= 0.0:
            continue
        for coolers in range(stack_count(p)):
            if p.stack_share[coolers] <= 0.0:
                continue
            outside[zone, coolers] = 0.0
            if flow[zone, coolers] > LEAST_AIR:
                film = min(air_behind(p, air, coolers) + half_rise, HOTTEST_AIR)
                outer, _, _, _ = air_side(setup.core, setup.made, flow[zone, coolers], film, p.humidity_ratio)
                outside[zone, coolers] = p.j_scale * outer
    return uneven_heat(p, setup, air, flow)


@inlined
def zone_exchange(
    p: Any, setup: Setup, air: AirState, flow: Any, outside: Any, zone: int, inner: float, crossing: float
) -> Line:
    """Heat one zone takes from the coolant that crosses it, whose heat capacity rate is ``crossing``."""
    share = zone_share(p, zone)
    per_kelvin, at_zero = 0.0, 0.0
    for lane in range(stack_count(p)):
        if p.lane_share[lane] <= 0.0:
            continue
        C_coolant = crossing * p.lane_share[lane]
        left, gained = 1.0, 0.0
        segment = 0
        while segment < SEGMENTS:
            coolers, length = lane & int(p.segment_coolers[segment]), 0.0
            while segment < SEGMENTS and lane & int(p.segment_coolers[segment]) == coolers:
                length += p.segment_share[segment]
                segment += 1
            if length <= 0.0 or outside[zone, coolers] <= 0.0:
                continue
            part = share * p.lane_share[lane] * length
            C_air = part * flow[zone, coolers] * air.specific_heat
            C_min = min(C_air, C_coolant)
            UA = part * ua(setup.core, setup.made, outside[zone, coolers], inner)
            e = C_min * effectiveness(UA / C_min, C_min / max(C_air, C_coolant))
            at_air = air_behind(p, air, coolers) - gained
            per_kelvin += e * left
            at_zero += e * at_air
            gained += e * at_air / C_coolant
            left -= e * left / C_coolant
    return Line(per_kelvin, at_zero)


@compilable
def exchange(
    p: Any,
    setup: Setup,
    table: Any,
    heat: float,
    air: AirState,
    flow: Any,
    outside: Any,
    uneven: float,
    coolant_in: float,
    q: float,
) -> Line:
    """Heat the radiator gives up at a coolant flow ``q``, properties at an inlet temperature.

    The zones follow one another: under the pushers, behind the fans, beside them. What one has cooled meets
    the next.
    """
    coolant = coolant_state(table, heat, coolant_in, q)
    mass = coolant.density * q
    inner, _ = coolant_side(
        setup.core,
        setup.made,
        mass,
        coolant.density,
        coolant.specific_heat,
        coolant.conductivity,
        coolant.viscosity,
    )
    C = mass * coolant.specific_heat
    line = Line(0.0, 0.0)
    for zone in (PUSHED, DRAWN, BESIDE):
        if zone_share(p, zone) <= 0.0:
            continue
        crossed = math.sqrt(p.pushed_share) if zone == PUSHED else p.crossed_share if zone == DRAWN else 1.0
        taken = zone_exchange(p, setup, air, flow, outside, zone, inner, C * crossed)
        ratio = 1.0 if zone == BESIDE else uneven
        per_kelvin, at_zero = ratio * taken.per_kelvin, ratio * taken.at_zero
        line = Line(
            line.per_kelvin + per_kelvin * (1.0 - line.per_kelvin / C),
            line.at_zero + at_zero - per_kelvin * line.at_zero / C,
        )
    return line


@offer
@compilable
def coolant_drop(heat: float, coolant_flow: float, coolant_density: float, coolant_specific_heat: float) -> float:
    """Temperature the coolant loses in the radiator.

    Q / (rho q cp).

    Parameters
    ----------
    heat : float
        Heat shed, [W]
    coolant_flow : float
        Flow through the radiator, [m**3/s]
    coolant_density : float
        [kg/m**3]
    coolant_specific_heat : float
        [J/kg/K]

    Returns
    -------
    drop : float
        [K rise]

    Notes
    -----
    Limits: steady, no boiling. Accuracy: exact.

    References
    ----------
    Energy balance.
    """
    return heat / (coolant_flow * coolant_density * coolant_specific_heat)
