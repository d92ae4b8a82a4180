"""The equations of the pack, each written once and used by the scalar and the compiled solver alike.

    setup_of            cores with their areas, and each fan's volts and speed
    air_state           temperatures and densities at an air flow
    pack_drop           pressure lost from opening to fan at a zone's air flow
    covered_imbalance   fans against pack, in the zone the fans draw through; zero at the operating point
    open_imbalance      ram against pack, in the rest of the core
    fan_amps            current of a fan in the air it meets
    radiator_flow_imbalance    pump against circuit
    shed_per_kelvin     heat the radiator gives up per kelvin of coolant over air
    coolant_state       mean temperature, properties and outlet at an inlet temperature
    air_to_boil         the road-test index

The air path needs the heat to be shed but not the coolant's temperature, so the two are solved one
after the other. Every function takes ``heat`` and ``ambient`` apart from the record ``p`` so that a
search may move them.
"""

import math
from typing import Any, NamedTuple

from shroudwright.airflow.frame import head_loss, leak_flow, ram_pressure
from shroudwright.airflow.recycled import inlet_rise
from shroudwright.bench.compiled import compilable
from shroudwright.bench.numbers import Draws
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
from shroudwright.fans.curve import fan_flow
from shroudwright.fans.laws import fan_current_ratio, fan_speed_ratio, volts_at_fan
from shroudwright.materials.air import density, specific_heat
from shroudwright.materials.coolant import coolant_properties
from shroudwright.radiator.core import (
    Core,
    Surface,
    air_friction,
    air_pressure_drop,
    air_reynolds,
    air_side,
    coolant_pressure_drop,
    coolant_side,
    surface,
    ua,
)
from shroudwright.radiator.exchanger import effectiveness

HOTTEST_AIR = 550.0
LEAST_AIR = 1e-5
LEAST_HEAT = 1.0
COLDEST_AMBIENT = 200.0
HOTTEST_AMBIENT = 420.0
HOTTEST_COOLANT = 900.0
SHUT_LIFT = LEAK_LIFT
BRANCH_AT_RATED = USED_AT_RATED_FLOW * (1.0 - ENGINE_SHARE)


class AirState(NamedTuple):
    """Air of the whole core at one total flow."""

    total: float
    specific_heat: float
    mixed: float
    air_in: float
    air_out: float
    density_mixed: float
    density_out: float


@compilable
def core_of(row: Any) -> Core:
    """Read a core from its row in the flat record."""
    return Core(
        row[0],
        row[1],
        row[2],
        row[3],
        row[4],
        row[5],
        row[6],
        row[7],
        row[8],
        row[9],
        row[10],
        row[11],
        row[12],
        row[13],
        row[14],
        row[15],
    )


class Setup(NamedTuple):
    """What a record fixes before any balance: cores with their areas, and each fan's volts and speed."""

    core: Core
    made: Surface
    ahead: tuple[Core, Core, Core, Core]
    ahead_made: tuple[Surface, Surface, Surface, Surface]
    volts: tuple[float, float, float, float]
    speed: tuple[float, float, float, float]


@compilable
def setup_of(p: Any) -> Setup:
    """Read the cores and the fans of a record; slots without a cooler hold any valid core."""
    core = core_of(p.core)
    ahead = (core_of(p.ahead[0]), core_of(p.ahead[1]), core_of(p.ahead[2]), core_of(p.ahead[3]))
    made = (surface(ahead[0]), surface(ahead[1]), surface(ahead[2]), surface(ahead[3]))
    volts = (fan_volts(p, 0), fan_volts(p, 1), fan_volts(p, 2), fan_volts(p, 3))
    speed = (fan_speed(p, 0, volts[0]), fan_speed(p, 1, volts[1]), fan_speed(p, 2, volts[2]), fan_speed(p, 3, volts[3]))
    return Setup(core, surface(core), ahead, made, volts, speed)


@compilable
def fan_volts(p: Any, i: int) -> float:
    """Volts at fan i with its tested current in the wires; 0 when stopped or absent."""
    if i >= p.fan_count or p.fan_on[i] <= 0.0:
        return 0.0
    return volts_at_fan(
        p.source_volts,
        p.path_resistance[i],
        p.fan_amps[i],
        p.fan_volts[i],
        p.fan_stall_ratio[i],
        p.fan_is_brushless[i] > 0.0,
    )


@compilable
def fan_speed(p: Any, i: int, volts: float) -> float:
    """Speed of fan i over its speed in the test; 0 when stopped."""
    if volts <= 0.0:
        return 0.0
    return fan_speed_ratio(volts, p.fan_volts[i], p.fan_stall_ratio[i], p.fan_is_brushless[i] > 0.0)


@compilable
def heat_ahead(p: Any) -> float:
    """Heat given to the air by every cooler ahead of the core, [W]."""
    total = 0.0
    for i in range(int(p.ahead_count)):
        total += p.ahead_heat[i]
    return total


@compilable
def air_state(p: Any, heat: float, ambient: float, total: float) -> AirState:
    """Temperatures and densities at a total air flow; the air's heat balance closes exactly."""
    ahead = heat_ahead(p)
    back = p.recirculation
    outside = ambient + p.pavement_rise
    cp = specific_heat(outside, p.humidity_ratio)
    rise = inlet_rise(back, heat, ahead, total * cp) + heat / (total * cp)
    cp = specific_heat(min(outside + 0.5 * rise, HOTTEST_AIR), p.humidity_ratio)
    air_in = outside + inlet_rise(back, heat, ahead, total * cp)
    air_out = air_in + heat / (total * cp)
    mixed = air_in - ahead / (total * cp)
    return AirState(
        total,
        cp,
        mixed,
        air_in,
        air_out,
        density(p.pressure, min(mixed, HOTTEST_AIR), p.humidity_ratio),
        density(p.pressure, min(air_out, HOTTEST_AIR), p.humidity_ratio),
    )


@compilable
def cooler_drop(p: Any, core: Core, made: Surface, full_flow: float, entering: float, leaving: float) -> float:
    """Air pressure lost in one cooler at the flow its whole face would pass, [Pa]."""
    film = min(0.5 * (entering + leaving), HOTTEST_AIR)
    f = air_friction(core, made, air_reynolds(made, full_flow, film))
    return air_pressure_drop(
        core,
        made,
        p.f_scale * f,
        full_flow,
        density(p.pressure, min(entering, HOTTEST_AIR), p.humidity_ratio),
        density(p.pressure, min(leaving, HOTTEST_AIR), p.humidity_ratio),
    )


@compilable
def pack_drop(p: Any, setup: Setup, air: AirState, zone_flow: float, zone_share: float, plenum_loss: float) -> float:
    """Pressure lost from opening to fan at a zone's air flow, the way out not included, [Pa].

    All the air comes in by one opening, so the front end's loss is on the whole core's flow.
    """
    full_flow = zone_flow / zone_share
    face = setup.core.tube_length * setup.core.stack_height
    lost = head_loss(p.front_loss, air.total, air.density_mixed, face)
    lost += head_loss(plenum_loss, full_flow, air.density_out, face)
    temperature = air.mixed
    for i in range(int(p.ahead_count)):
        after = temperature + p.ahead_heat[i] / (air.total * air.specific_heat)
        lost += p.ahead_cover[i] * cooler_drop(p, setup.ahead[i], setup.ahead_made[i], full_flow, temperature, after)
        temperature = after
    return lost + cooler_drop(p, setup.core, setup.made, full_flow, air.air_in, air.air_out)


@compilable
def exit_drop(p: Any, setup: Setup, air: AirState) -> float:
    """Pressure lost from fan to bay and out by the whole core's air, [Pa]."""
    face = setup.core.tube_length * setup.core.stack_height
    return head_loss(p.exit_loss, air.total, air.density_out, face)


@compilable
def ram(p: Any, ambient: float) -> float:
    """Pressure the road air puts across the pack, [Pa]."""
    outside = density(p.pressure, ambient, p.humidity_ratio)
    return ram_pressure(p.road_speed, outside, p.inlet_share, p.bay_share)


@compilable
def density_at_fan(p: Any, i: int, air: AirState) -> float:
    """Air density at fan i, ahead of the core or behind it, [kg/m**3]."""
    return air.density_mixed if p.fan_is_pusher[i] > 0.0 else air.density_out


@compilable
def one_fan_flow(p: Any, i: int, at_fan: float, speed: float, rise: float) -> float:
    """Volume flow through fan i at a pressure rise; a stopped fan passes air at its loss coefficient."""
    if speed <= 0.0:
        size = p.fan_disc[i] * math.sqrt(2.0 * math.fabs(rise) / (at_fan * p.fan_stopped_loss[i]))
        return -size if rise > 0.0 else size
    at_test = rise / (speed * speed * at_fan / p.fan_density[i])
    return p.fan_scale[i] * speed * fan_flow(p.fan_flow[i], p.fan_pressure[i], int(p.fan_points[i]), at_test)


@compilable
def covered_share(p: Any) -> float:
    """Share of the face that is open and that the fans draw through."""
    return p.open_share * p.covered_share


@compilable
def open_share(p: Any) -> float:
    """Share of the face that is open and beside the fans."""
    return p.open_share * (1.0 - p.covered_share)


@compilable
def required_rise(p: Any, setup: Setup, air: AirState, ambient: float, covered: float) -> float:
    """Pressure the fans must add in the covered zone at its air flow, [Pa]."""
    share = covered_share(p)
    lost = pack_drop(p, setup, air, covered, share, p.plenum_loss) + exit_drop(p, setup, air)
    return lost - ram(p, ambient)


@compilable
def covered_imbalance(p: Any, setup: Setup, heat: float, ambient: float, covered: float, beside: float) -> float:
    """Air the fans would move less the air the covered zone passes, [kg/s]; without fans, [Pa].

    Falls as the zone's flow grows. Bay air drawn through gaps reaches the fans but not the core.
    """
    air = air_state(p, heat, ambient, covered + beside)
    rise = required_rise(p, setup, air, ambient, covered)
    if p.fan_count < 1.0:
        return -rise
    moved = 0.0
    at_fan = air.density_out
    for i in range(int(p.fan_count)):
        at_fan = density_at_fan(p, i, air)
        moved += at_fan * one_fan_flow(p, i, at_fan, setup.speed[i], rise)
    suction = rise - exit_drop(p, setup, air)
    return moved - covered - at_fan * leak_flow(p.leak_area, suction, at_fan)


@compilable
def open_imbalance(p: Any, setup: Setup, heat: float, ambient: float, covered: float, beside: float) -> float:
    """Ram pressure less the loss in the zone beside the fans, [Pa]."""
    air = air_state(p, heat, ambient, covered + beside)
    share = open_share(p)
    lost = pack_drop(p, setup, air, beside, share, 0.0) + exit_drop(p, setup, air)
    return ram(p, ambient) - lost


@compilable
def fan_amps(p: Any, i: int, volts: float, at_fan: float) -> float:
    """Current of fan i at its volts in the air it really meets; 0 when stopped."""
    if volts <= 0.0:
        return 0.0
    brushless = p.fan_is_brushless[i] > 0.0
    ratio = fan_current_ratio(volts, p.fan_volts[i], p.fan_stall_ratio[i], brushless)
    return p.fan_amps[i] * ratio * at_fan / p.fan_density[i]


@compilable
def known_flow(p: Any, opening: float) -> float:
    """Radiator flow where the open thermostat's flow is known, with its share of lift, [m**3/s]."""
    return p.coolant_flow * max(opening, LEAK_SHARE)


class CoolantState(NamedTuple):
    """Coolant in the radiator at one inlet temperature."""

    density: float
    specific_heat: float
    conductivity: float
    viscosity: float
    coolant_out: float


@compilable
def radiator_flow_imbalance(p: Any, setup: Setup, rho: float, mu: float, lift: float, flow: float) -> float:
    """Pressure the pump has left less the pressure the radiator branch takes at a flow, [Pa]."""
    branch = coolant_pressure_drop(setup.core, setup.made, rho * flow, rho, mu)
    branch += hose_loss(flow, p.hose_bore, p.hose_length, p.hose_fittings, rho, mu)
    branch += thermostat_loss(flow, lift, p.pump_shutoff, p.pump_flow)
    pump_rated = p.pump_flow / (1.0 - p.bypass_share)
    past = bypass_flow(branch, p.bypass_share, p.pump_shutoff, pump_rated, BRANCH_AT_RATED)
    made = pump_pressure(flow + past, p.pump_shutoff, pump_rated)
    return made - engine_loss(flow + past, p.pump_shutoff, pump_rated) - branch


@compilable
def coolant_state(table: Any, heat: float, coolant_in: float, coolant_flow: float) -> CoolantState:
    """Properties at the mean temperature, and the outlet; the coolant's heat balance closes exactly."""
    rho, cp, _, _ = coolant_properties(table, coolant_in)
    mean = coolant_in - 0.5 * heat / (coolant_flow * rho * cp)
    rho, cp, k, mu = coolant_properties(table, mean)
    return CoolantState(rho, cp, k, mu, coolant_in - heat / (coolant_flow * rho * cp))


@compilable
def zone_conductance(
    p: Any, setup: Setup, air: AirState, flow: float, share: float, coolant: CoolantState, mass: float, crossed: float
) -> float:
    """Heat per kelvin of coolant inlet over air inlet in one zone, which a share of the coolant crosses, [W/K]."""
    if flow <= LEAST_AIR or share <= 0.0:
        return 0.0
    core, made = setup.core, setup.made
    film = min(0.5 * (air.air_in + air.air_out), HOTTEST_AIR)
    outer, _, _, _ = air_side(core, made, flow / share, film, p.humidity_ratio)
    inner, _ = coolant_side(
        core, made, mass, coolant.density, coolant.specific_heat, coolant.conductivity, coolant.viscosity
    )
    UA = share * ua(core, made, p.j_scale * outer, inner)
    C_air = flow * air.specific_heat
    C_coolant = mass * coolant.specific_heat * crossed
    C_min = min(C_air, C_coolant)
    return C_min * effectiveness(UA / C_min, C_min / max(C_air, C_coolant))


@compilable
def shed_per_kelvin(
    p: Any,
    setup: Setup,
    table: Any,
    heat: float,
    ambient: float,
    covered: float,
    beside: float,
    coolant_in: float,
    flow: float,
) -> float:
    """Heat the radiator gives up per kelvin of coolant inlet over air inlet, the zones in series, [W/K]."""
    air = air_state(p, heat, ambient, covered + beside)
    coolant = coolant_state(table, heat, coolant_in, flow)
    mass = coolant.density * flow
    through = p.heat_ratio * zone_conductance(p, setup, air, covered, covered_share(p), coolant, mass, p.crossed_share)
    past = zone_conductance(p, setup, air, beside, open_share(p), coolant, mass, 1.0)
    return through + past * (1.0 - through / (mass * coolant.specific_heat))


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
def fill_result(
    p: Any,
    setup: Setup,
    table: Any,
    heat: float,
    covered: float,
    beside: float,
    unregulated: float,
    coolant_in: float,
    opening: float,
    flow: float,
    result: Any,
) -> None:
    """Write what follows from the balanced air and coolant into a row of `RESULT`."""
    air = air_state(p, heat, p.ambient, covered + beside)
    film = min(0.5 * (air.air_in + air.air_out), HOTTEST_AIR)
    entering = density(p.pressure, min(air.air_in, HOTTEST_AIR), p.humidity_ratio)
    share = covered_share(p)
    result.air_mass_flow = covered + beside
    result.air_flow = (covered + beside) / entering
    result.air_in = air.air_in if flow > 0.0 else math.nan
    result.air_out = air.air_out if flow > 0.0 else math.nan
    result.coolant_flow = flow
    result.coolant_in = coolant_in
    result.coolant_unregulated = unregulated
    result.lift = opening
    result.coolant_out = coolant_state(table, heat, coolant_in, flow).coolant_out if flow > 0.0 else math.nan
    result.Re = air_reynolds(setup.made, covered / share, film)
    result.core_drop = cooler_drop(p, setup.core, setup.made, covered / share, air.air_in, air.air_out)
    rise = required_rise(p, setup, air, p.ambient, covered)
    for i in range(int(p.fan_count)):
        at_fan, volts, speed = density_at_fan(p, i, air), setup.volts[i], setup.speed[i]
        moved = one_fan_flow(p, i, at_fan, speed, rise)
        knee = p.fan_scale[i] * speed * p.fan_flow[i][0]
        result.fan_flow[i] = moved
        result.fan_pressure[i] = rise
        result.fan_volts[i] = volts
        result.fan_amps[i] = fan_amps(p, i, volts, at_fan)
        result.fan_is_stalled[i] = 1.0 if speed > 0.0 and moved <= knee else 0.0
