"""The equations of the air's way through the pack, each written once for the scalar and the compiled solver.

    setup_of          cores with their areas, and each fan's volts and speed
    zone_share        share of the face in a zone
    air_state         temperatures and densities, coolers ahead and returning air included
    stack_drop        pressure lost in a stack: the coolers ahead of a spot, and the core behind them
    front_and_exit    pressure lost by all the air together
    core_key          what the loss of a plenum hangs on
    ahead_share       pressure ahead of the core over its loss
    plenum_loss       loss coefficient of the plenum at the air's working point
    standing_share    share of the air that leaves by fans that stand
    plenum_drop       pressure lost turning behind the core
    is_still          whether nothing moves the air
    moved             air the fans of one side move at a pressure rise
    leaked            bay air drawn in through gaps, less what flaps let out
    fan_amps          current of a fan in the air it meets

The face is cut two ways. By what draws: the zone behind which the fans draw, the part of it that pushers
blow at as well, and the rest, which only road air passes. By what stands ahead: every spot lies behind some
set of coolers, its stack. All stacks of a zone share the pressures before and behind the pack. A flow here
is what the whole face would pass at a spot's speed, so that shares multiply it.

The air path needs the heat to be shed but not the coolant's temperature, so the two are solved one after
the other. Every function takes ``heat`` and ``ambient`` apart from the record ``p`` so that a search may
move them.
"""

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from shroudwright.airflow.frame import head_loss, leak_flow, ram_pressure
from shroudwright.airflow.recycled import inlet_rise
from shroudwright.bench.compiled import compilable, inlined
from shroudwright.fans.curve import fan_flow
from shroudwright.fans.laws import fan_current_ratio, fan_speed_ratio, volts_at_fan
from shroudwright.materials.air import density, specific_heat
from shroudwright.pack.near import POINT, key_ahead, loss_near, ratio_near, standing_near
from shroudwright.pack.plenum import LOSSES, NOTHING_LOST, heat_ratio_at, loss_at
from shroudwright.radiator.core import (
    Core,
    Surface,
    air_friction,
    air_pressure_drop,
    air_reynolds,
    air_side,
    surface,
)

DRAWN, PUSHED, BESIDE = 0, 1, 2
ZONES = 3
HOTTEST_AIR = 550.0
LEAST_AIR = 1e-5
_NUDGE = 1.25
_LN_NUDGE = math.log(_NUDGE)

Four = tuple[float, float, float, float]


class Setup(NamedTuple):
    """What of a record does not change while it is solved."""

    core: Core
    made: Surface
    ahead: Sequence[Core]
    ahead_made: Sequence[Surface]
    volts: Four
    speed: Four


class AirState(NamedTuple):
    """Temperatures and densities of the air; ``cooler_rise`` is over each cooler ahead."""

    total: float
    specific_heat: float
    mixed: float
    air_in: float
    air_out: float
    density_mixed: float
    density_out: float
    cooler_flow: Four
    cooler_rise: Four


def setup_of(p: Any) -> Setup:
    """Read the cores and the fans of a record."""
    core = core_of(p.core)
    ahead = tuple(core_of(p.ahead[i]) for i in range(int(p.ahead_count)))
    volts, speed = fans_of(p)
    return Setup(core, surface(core), ahead, tuple(surface(cooler) for cooler in ahead), volts, speed)


@compilable
def fans_of(p: Any) -> tuple[Four, Four]:
    """Volts and speed of every fan."""
    volts = (fan_volts(p, 0), fan_volts(p, 1), fan_volts(p, 2), fan_volts(p, 3))
    speed = (fan_speed(p, 0, volts[0]), fan_speed(p, 1, volts[1]), fan_speed(p, 2, volts[2]), fan_speed(p, 3, volts[3]))
    return volts, speed


@compilable
def core_of(row: Any) -> Core:
    """Read a core from its row of the record."""
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


@compilable
def fan_volts(p: Any, i: int) -> float:
    """Volts at fan i with its tested current in the wires; 0 when stopped, absent or driven by a belt."""
    if i >= p.fan_count or p.fan_on[i] <= 0.0 or not math.isnan(p.fan_belt_speed[i]):
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
    if i < p.fan_count and p.fan_on[i] > 0.0 and not math.isnan(p.fan_belt_speed[i]):
        return p.fan_belt_speed[i]
    if volts <= 0.0:
        return 0.0
    full = fan_speed_ratio(volts, p.fan_volts[i], p.fan_stall_ratio[i], p.fan_is_brushless[i] > 0.0)
    return p.fan_turn_share[i] * full


@compilable
def fan_amps(p: Any, i: int, volts: float, at_fan: float) -> float:
    """Current of fan i at its volts in the air it really meets; 0 when stopped."""
    if volts <= 0.0:
        return 0.0
    brushless = p.fan_is_brushless[i] > 0.0
    ratio = fan_current_ratio(volts, p.fan_volts[i], p.fan_stall_ratio[i], brushless)
    return p.fan_amps[i] * p.fan_amps_share[i] * ratio * at_fan / p.fan_density[i]


@inlined
def zone_share(p: Any, zone: int) -> float:
    """Share of the face, debris taken off, in a zone."""
    if zone == DRAWN:
        return p.open_share * (p.covered_share - p.pushed_share)
    if zone == PUSHED:
        return p.open_share * p.pushed_share
    return p.open_share * (1.0 - p.covered_share)


@inlined
def stack_count(p: Any) -> int:
    """Sets of coolers a spot may stand behind, the empty one included."""
    return 1 << int(p.ahead_count)


@inlined
def zone_flow(p: Any, flow: Any, zone: int) -> float:
    """Air through a zone, [kg/s]."""
    through = 0.0
    for coolers in range(stack_count(p)):
        through += p.stack_share[coolers] * flow[zone, coolers]
    return zone_share(p, zone) * through


@compilable
def cooler_share(p: Any, i: int) -> float:
    """Share of the face cooler i stands before."""
    share = 0.0
    for coolers in range(stack_count(p)):
        if coolers >> i & 1:
            share += p.stack_share[coolers]
    return share


@inlined
def cooler_flow(p: Any, flow: Any, i: int) -> float:
    """Air through cooler i; never none, so that its heat has somewhere to go."""
    through = 0.0
    if i < p.ahead_count:
        for zone in range(ZONES):
            share = zone_share(p, zone)
            for coolers in range(stack_count(p)):
                if coolers >> i & 1:
                    through += share * p.stack_share[coolers] * flow[zone, coolers]
    return max(through, LEAST_AIR)


@compilable
def cooler_heat(p: Any, setup: Setup, i: int, through: float, capacity: float, film: float) -> tuple[float, float]:
    """Heat of cooler i: a fixed part, and a part per kelvin of its condensing temperature over its air.

    A condenser held at one temperature gives Q = C (1 - exp(-NTU)) (T_condensing - T_air).
    """
    if math.isnan(p.ahead_temperature[i]):
        return p.ahead_heat[i], 0.0
    part = p.open_share * cooler_share(p, i)
    outer, _, _, _ = air_side(setup.ahead[i], setup.ahead_made[i], through / part, film, p.humidity_ratio)
    return 0.0, -capacity * math.expm1(-p.ahead_inner_share[i] * p.j_scale * outer * part / capacity)


@compilable
def shared_face(p: Any, i: int, j: int) -> float:
    """Share of cooler i's face that cooler j stands before."""
    both, own = 0.0, 0.0
    for coolers in range(stack_count(p)):
        if coolers >> i & 1:
            own += p.stack_share[coolers]
            if coolers >> j & 1:
                both += p.stack_share[coolers]
    return both / own if own > 0.0 else 0.0


@compilable
def heats_ahead(p: Any, setup: Setup, outside: float, heat: float, through: Four, total: float, cp: float) -> Four:
    """Heat of every cooler ahead, [W].

    A condenser's heat falls as its air warms, and its air holds a share of every heat that comes round
    again; all of it is linear in the mixed temperature, which is solved for. None cools the air.
    """
    none = (0.0, 0.0, 0.0, 0.0)
    if p.ahead_count < 1.0:
        return none
    fixed, slope = none, none
    all_fixed, all_slope = 0.0, 0.0
    for i in range(int(p.ahead_count)):
        constant, per_kelvin = cooler_heat(p, setup, i, through[i], through[i] * cp, outside)
        falls = 0.0
        if per_kelvin > 0.0:
            before, falls = p.ahead_temperature[i], 1.0
            for j in range(i):
                share = shared_face(p, i, j) / (through[j] * cp)
                before -= share * fixed[j]
                falls -= share * slope[j]
            constant, falls = per_kelvin * before, per_kelvin * falls
        fixed, slope = _with(fixed, i, constant), _with(slope, i, falls)
        all_fixed += constant
        all_slope += falls
    back = p.recirculation / ((1.0 - p.recirculation) * total * cp)
    mixed = (outside + back * (heat + all_fixed)) / (1.0 + back * all_slope)
    return (
        max(fixed[0] - slope[0] * mixed, 0.0),
        max(fixed[1] - slope[1] * mixed, 0.0),
        max(fixed[2] - slope[2] * mixed, 0.0),
        max(fixed[3] - slope[3] * mixed, 0.0),
    )


@compilable
def _with(values: Four, i: int, value: float) -> Four:
    return (
        value if i == 0 else values[0],
        value if i == 1 else values[1],
        value if i == 2 else values[2],
        value if i == 3 else values[3],
    )


@inlined
def air_state(p: Any, setup: Setup, heat: float, ambient: float, flow: Any) -> AirState:
    """Temperatures and densities at the flows of every zone and stack; the air's heat balance closes exactly."""
    total = max(zone_flow(p, flow, DRAWN) + zone_flow(p, flow, PUSHED) + zone_flow(p, flow, BESIDE), LEAST_AIR)
    through = (cooler_flow(p, flow, 0), cooler_flow(p, flow, 1), cooler_flow(p, flow, 2), cooler_flow(p, flow, 3))
    back, outside = p.recirculation, ambient + p.pavement_rise
    cp = specific_heat(outside, p.humidity_ratio)
    given = heats_ahead(p, setup, outside, heat, through, total, cp)
    ahead = given[0] + given[1] + given[2] + given[3]
    rise = inlet_rise(back, heat, ahead, total * cp) + heat / (total * cp)
    cp = specific_heat(min(outside + 0.5 * rise, HOTTEST_AIR), p.humidity_ratio)
    given = heats_ahead(p, setup, outside, heat, through, total, cp)
    ahead = given[0] + given[1] + given[2] + given[3]
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
        through,
        (
            given[0] / (through[0] * cp),
            given[1] / (through[1] * cp),
            given[2] / (through[2] * cp),
            given[3] / (through[3] * cp),
        ),
    )


@inlined
def air_behind(p: Any, air: AirState, coolers: int) -> float:
    """Temperature of the air behind a set of coolers, [K]."""
    temperature = air.mixed
    for i in range(int(p.ahead_count)):
        if coolers >> i & 1:
            temperature += air.cooler_rise[i]
    return temperature


@inlined
def cooler_drop(p: Any, core: Core, made: Surface, flow: float, entering: float, leaving: float) -> float:
    """Air pressure lost in one cooler at the flow its whole face would pass, [Pa]."""
    film = min(0.5 * (entering + leaving), HOTTEST_AIR)
    f = air_friction(core, made, air_reynolds(made, flow, film))
    return air_pressure_drop(
        core,
        made,
        p.f_scale * f,
        flow,
        density(p.pressure, min(entering, HOTTEST_AIR), p.humidity_ratio),
        density(p.pressure, min(leaving, HOTTEST_AIR), p.humidity_ratio),
    )


@inlined
def stack_drop(p: Any, setup: Setup, air: AirState, coolers: int, flow: float) -> float:
    """Pressure lost in a set of coolers and the core behind them, [Pa]."""
    temperature, lost = air.mixed, 0.0
    for i in range(int(p.ahead_count)):
        if coolers >> i & 1:
            after = temperature + air.cooler_rise[i]
            lost += cooler_drop(p, setup.ahead[i], setup.ahead_made[i], flow, temperature, after)
            temperature = after
    leaving = temperature + air.air_out - air.air_in
    return lost + cooler_drop(p, setup.core, setup.made, flow, temperature, leaving)


@inlined
def front_and_exit(p: Any, setup: Setup, air: AirState, total: float) -> float:
    """Pressure all the air loses together: in at the one opening, and out of the bay, [Pa]."""
    face = setup.core.tube_length * setup.core.stack_height
    return front_drop(p, air, total, face) + exit_drop(p, air, total, face)


@inlined
def front_drop(p: Any, air: AirState, total: float, face: float) -> float:
    """Pressure lost at the opening, [Pa]."""
    return head_loss(p.front_loss, total, air.density_mixed, face)


@inlined
def exit_drop(p: Any, air: AirState, total: float, face: float) -> float:
    """Pressure lost from fan to bay and out, [Pa]."""
    return head_loss(p.exit_loss, total, air.density_out, face)


@compilable
def main_stack(p: Any) -> int:
    """Return the set of coolers that stands before most of the face."""
    most = 0
    for coolers in range(stack_count(p)):
        if p.stack_share[coolers] > p.stack_share[most]:
            most = coolers
    return most


@compilable
def core_key(p: Any, setup: Setup, air: AirState, flow: Any) -> tuple[float, float, float]:
    """Loss coefficient of core and coolers where the fans draw, the share of it linear in the speed, and that speed.

    A law a v + b v^2 that meets the loss in value and slope has the linear share 2 - dln p / dln v. The slope is taken
    over a quarter of the speed, for the loss may have kinks.
    """
    zone, most = DRAWN if zone_share(p, DRAWN) > 0.0 else PUSHED, main_stack(p)
    through = max(flow[zone, most], LEAST_AIR)
    lost, more = stack_drop(p, setup, air, most, through), stack_drop(p, setup, air, most, _NUDGE * through)
    face = setup.core.tube_length * setup.core.stack_height
    drawn = (zone_flow(p, flow, DRAWN) + zone_flow(p, flow, PUSHED)) / (p.open_share * p.covered_share)
    speed = max(drawn, LEAST_AIR) / (face * air.density_out)
    return lost / (0.5 * air.density_out * speed * speed), 2.0 - math.log(more / lost) / _LN_NUDGE, speed


@compilable
def has_plenum(p: Any) -> bool:
    """Whether the air behind the core loses anything on its way to the fans."""
    return bool(p.plenum_loss[0] != 0.0 or p.plenum_loss[LOSSES - 1] != 0.0)


@compilable
def ahead_share(p: Any, setup: Setup, air: AirState, key: tuple[float, float, float]) -> float:
    """Pressure the road air leaves ahead of the core, over the bay's, over the loss at a `core_key`."""
    head = 0.5 * air.density_out * key[2] * key[2]
    pressed = ram_pressure(p.road_speed, air.density_mixed, p.inlet_share, p.bay_share)
    return (pressed - front_and_exit(p, setup, air, air.total)) / (key[0] * head)


@compilable
def plenum_loss(p: Any, setup: Setup, air: AirState, flow: Any) -> float:
    """K of the plenum at the air's working point."""
    if not has_plenum(p):
        return 0.0
    key = core_key(p, setup, air, flow)
    if math.isnan(p.plenum_near[POINT]):
        return loss_at(p.plenum_loss, key[0], key[1])
    return loss_near(p.plenum_loss, p.plenum_near, key[0], key[1], _from_point(p, setup, air, key))


@compilable
def standing_share(p: Any, setup: Setup, air: AirState, flow: Any) -> float:
    """Share of the air behind the core that leaves by fans that stand; nan where they are fans like the others."""
    if math.isnan(p.plenum_near[POINT]) or not has_plenum(p):
        return math.nan
    key = core_key(p, setup, air, flow)
    return standing_near(p.plenum_near, key[0], key[1], _from_point(p, setup, air, key))


@compilable
def uneven_heat(p: Any, setup: Setup, air: AirState, flow: Any) -> float:
    """Heat with the plenum's uneven air over heat with even air at the air's working point."""
    if p.unevenness[0] <= NOTHING_LOST:
        return 1.0
    key = core_key(p, setup, air, flow)
    if math.isnan(p.plenum_near[POINT]):
        return heat_ratio_at(p.unevenness, key[0], key[1], key[2])
    return ratio_near(p.unevenness, p.plenum_near, key[0], key[1], _from_point(p, setup, air, key), key[2])


@inlined
def _from_point(p: Any, setup: Setup, air: AirState, key: tuple[float, float, float]) -> float:
    return key_ahead(p.plenum_near, ahead_share(p, setup, air, key))


@inlined
def plenum_drop(p: Any, setup: Setup, air: AirState, drawn: float, loss: float) -> float:
    """Pressure lost in the plenum at the air drawn through it, [Pa]."""
    face = setup.core.tube_length * setup.core.stack_height
    whole = drawn / (p.open_share * p.covered_share)
    return head_loss(loss, whole, air.density_out, face)


@compilable
def ram(p: Any, ambient: float) -> float:
    """Pressure the road air puts across the pack, [Pa]."""
    outside = density(p.pressure, ambient, p.humidity_ratio)
    return ram_pressure(p.road_speed, outside, p.inlet_share, p.bay_share)


@compilable
def is_still(p: Any, setup: Setup, ram_pressure: float) -> bool:
    """Whether nothing moves the air: no fan turns and no road air pushes."""
    for i in range(int(p.fan_count)):
        if setup.speed[i] > 0.0:
            return False
    return ram_pressure <= 0.0


@inlined
def density_at_fan(p: Any, i: int, air: AirState) -> float:
    """Air density at fan i, ahead of the core or behind it, [kg/m**3]."""
    return air.density_mixed if p.fan_is_pusher[i] > 0.0 else air.density_out


@inlined
def one_fan_flow(p: Any, i: int, at_fan: float, speed: float, rise: float) -> float:
    """Volume flow through fan i at a pressure rise; a stopped fan passes air at its loss coefficient."""
    if speed <= 0.0:
        size = p.fan_disc[i] * math.sqrt(2.0 * math.fabs(rise) / (at_fan * p.fan_stopped_loss[i]))
        return -size if rise > 0.0 else size
    at_test = rise / (speed * speed * at_fan / p.fan_density[i])
    return p.fan_scale[i] * speed * fan_flow(p.fan_flow[i], p.fan_pressure[i], int(p.fan_points[i]), at_test)


@inlined
def helps(p: Any, i: int) -> bool:
    """Whether fan i is a pusher that only helps pullers."""
    return p.pushed_share > 0.0 and p.fan_is_pusher[i] > 0.0


@inlined
def moved(p: Any, setup: Setup, air: AirState, rise: float, helpers: bool, standing: float) -> float:
    """Air the fans move at a pressure rise, [kg/s]: the pushers that help pullers, or all the others.

    Where the share of the air that leaves by standing fans is known, they are not asked.
    """
    through = 0.0
    for i in range(int(p.fan_count)):
        if helps(p, i) == helpers and (setup.speed[i] > 0.0 or math.isnan(standing)):
            at_fan = density_at_fan(p, i, air)
            through += at_fan * one_fan_flow(p, i, at_fan, setup.speed[i], rise)
    return through if math.isnan(standing) else through / (1.0 - standing)


@inlined
def leaked(p: Any, air: AirState, rise: float, lost: float) -> float:
    """Bay air drawn in through gaps less what flaps let out, [kg/s]; flaps open only outwards.

    Away from the fans the plenum stands higher than there by some share of what is lost in it.
    """
    at_gap = air.density_out
    if p.fan_count > 0.0 and p.fan_is_pusher[0] > 0.0 and p.pushed_share <= 0.0:
        at_gap = air.density_mixed
    through = leak_flow(p.leak_area, rise - p.leak_lift * lost, at_gap)
    at_flap = rise - p.flap_lift * lost
    if at_flap < 0.0:
        through += leak_flow(p.flap_area, at_flap, at_gap)
    return at_gap * through
