"""The compiled batch: many records at once, no Python in the loop, equal to `solve` point by point.

solve_batch    every record of an array, on all cores

The air is found by trading laws for losses: each stack's loss is met in value and slope by a parabola, the
network of parabolas and the fans' own curves is solved for one pressure, and the true losses are worked out
again at the flows found, until they stand still.
"""

import math
import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import Any, get_type_hints

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.compiled import batch, compilable, inlined
from shroudwright.bench.roots import best, bracket, guess, hunt, is_found, narrow, step
from shroudwright.materials.coolant import coolant_properties
from shroudwright.pack.air_path import (
    BESIDE,
    DRAWN,
    LEAST_AIR,
    PUSHED,
    ZONES,
    AirState,
    Setup,
    air_state,
    core_of,
    fans_of,
    front_and_exit,
    is_still,
    leaked,
    moved,
    plenum_drop,
    ram,
    stack_count,
    stack_drop,
    zone_flow,
    zone_share,
)
from shroudwright.pack.coolant_path import (
    COLDEST_AMBIENT,
    HOTTEST_AMBIENT,
    HOTTEST_COOLANT,
    LEAST_HEAT,
    coolant_drop,
    exchange,
    known_flow,
    outside_conductance,
    radiator_flow_imbalance,
    thermostat_opening,
)
from shroudwright.pack.outcome import fill_result, seconds_between
from shroudwright.pack.params import MAX_AHEAD, RESULT, STACKS, blank
from shroudwright.radiator.core import Core, Surface, surface

_LIKELY_AIR = 1.0
_LIKELY_POWER = 1.4
_LIKELY_COOLANT = 380.0
_AIR_TOLERANCE = 3e-8
_FAIR_AIR, _ROUGH_AIR = 1e-6, 1e-5
_FLOW_TOLERANCE = 1e-8
_COOLANT_TOLERANCE = 1e-8
_NEARLY = 1e-5
_LAST_STEP = 0.005
_LAST_SHARE = 1e-4
_SMALL_HEAT = 1e-6
_SMALLEST_SHARE = 256
_MOST_ROUNDS = 100
_LOOKS, _EARLY = 2, 12
_FLOW, _LINEAR, _SQUARE, _POWER, _LAST_FLOW, _LAST_LOSS = 0, 1, 2, 3, 4, 5
_OUTSIDE, _LEFT, _NEXT, _BEFORE, _WORK = 6, 7, 8, 9, 10


def _record(kind: type[Any]) -> np.dtype[Any]:
    """Return a named tuple's fields as a record; a named tuple among them becomes a record inside it."""
    kinds = get_type_hints(kind)
    return np.dtype([(name, np.float64 if kinds[name] is float else _record(kinds[name])) for name in kinds])


_SHAPE, _AREAS = _record(Core), _record(Surface)


@inlined
def _at_pressure(linear: float, square: float, pressure: float) -> float:
    """Flow at which a stack's parabola loses a pressure."""
    if pressure <= 0.0:
        return 0.0
    return 2.0 * pressure / (linear + math.sqrt(max(linear * linear + 4.0 * square * pressure, 0.0)))


@inlined
def _zone_at(p: Any, work: Any, zone: int, pressure: float) -> float:
    """Air through a zone whose stacks all lose a pressure."""
    share = zone_share(p, zone)
    if share <= 0.0:
        return 0.0
    through = 0.0
    for coolers in range(stack_count(p)):
        if p.stack_share[coolers] > 0.0:
            each = _at_pressure(work[_LINEAR, zone, coolers], work[_SQUARE, zone, coolers], pressure)
            through += p.stack_share[coolers] * each
    return share * through


@inlined
def _help(p: Any, setup: Setup, air: AirState, work: Any, pressure: float) -> float:
    """Pressure the pushers add to what is there ahead of a part of the face."""
    if p.pushed_share <= 0.0:
        return 0.0
    state = hunt(0.0, -1e-3, -pressure - 1.0, math.inf)
    for _ in range(_MOST_ROUNDS):
        rise = state.point
        value = moved(p, setup, air, rise, True) - _zone_at(p, work, PUSHED, pressure + rise)
        if math.fabs(value) <= 1e-13:
            break
        state = step(state, value)
        if state.point == rise:
            break
    return state.point


@inlined
def _beside_at(
    p: Any, setup: Setup, air: AirState, work: Any, ram_pressure: float, drawn: float, start: float
) -> float:
    """Pressure left for the stacks beside the fans, near a start; none where ram is too weak."""
    if zone_share(p, BESIDE) <= 0.0:
        return 0.0
    most = ram_pressure - front_and_exit(p, setup, air, drawn)
    if most <= 0.0:
        return 0.0
    state = hunt(start if 0.0 < start < most else most, -1.3, 0.0, math.inf)
    for _ in range(_MOST_ROUNDS):
        pressure = state.point
        total = drawn + _zone_at(p, work, BESIDE, pressure)
        value = ram_pressure - front_and_exit(p, setup, air, total) - pressure
        if math.fabs(value) <= 1e-10 * most:
            break
        state = step(state, value)
        if state.point == pressure:
            break
    return state.point


@inlined
def _lay_laws(p: Any, setup: Setup, air: AirState, work: Any, first: bool) -> None:
    """Meet every stack's loss in value and slope by a parabola."""
    for zone in range(ZONES):
        if zone_share(p, zone) <= 0.0:
            continue
        for coolers in range(stack_count(p)):
            if p.stack_share[coolers] <= 0.0:
                continue
            flow = work[_FLOW, zone, coolers]
            if flow <= 0.0:
                flow = 0.05 * work[_FLOW, DRAWN, coolers] + LEAST_AIR
            lost = stack_drop(p, setup, air, coolers, flow)
            last, at_last = work[_LAST_FLOW, zone, coolers], work[_LAST_LOSS, zone, coolers]
            power = work[_POWER, zone, coolers]
            if not first and math.fabs(flow - last) > 1e-12 * flow:
                power = (lost - at_last) / (flow - last) * (flow + last) / (lost + at_last)
                power = min(max(power, 0.5), 2.5)
            work[_POWER, zone, coolers] = power
            work[_LINEAR, zone, coolers] = (2.0 - power) * lost / flow
            work[_SQUARE, zone, coolers] = (power - 1.0) * lost / (flow * flow)
            work[_LAST_FLOW, zone, coolers], work[_LAST_LOSS, zone, coolers] = flow, lost


@compilable
def _air(p: Any, setup: Setup, heat: float, ambient: float, work: Any, tolerance: float) -> AirState:
    """Balance the air of every zone and stack, from the flows in the work space and into it.

    Early on the laws are still moving, so the network is looked at no more than twice before they are laid again.
    """
    ram_pressure = ram(p, ambient)
    flow = work[_FLOW]
    if is_still(p, setup, ram_pressure):
        _keep_still(p, flow)
        return air_state(p, setup, heat, ambient, flow)
    pressure, slope, precision, beside = -1.0, -1.5, 1e-3, 0.0
    for turn in range(_MOST_ROUNDS):
        air = air_state(p, setup, heat, ambient, flow)
        _lay_laws(p, setup, air, work, turn == 0)
        if pressure < 0.0:
            pressure = _likely_pressure(p, work)
            if p.fan_count > 0.0:
                slope *= zone_flow(p, flow, DRAWN) / pressure
        state = hunt(pressure, slope, 0.0, math.inf)
        drawn, helped, value, size = 0.0, 0.0, 0.0, 1.0
        for look in range(_MOST_ROUNDS):
            pressure = state.point
            helped = _help(p, setup, air, work, pressure)
            drawn = _zone_at(p, work, DRAWN, pressure) + _zone_at(p, work, PUSHED, pressure + helped)
            beside = _beside_at(p, setup, air, work, ram_pressure, drawn, beside)
            total = drawn + _zone_at(p, work, BESIDE, beside)
            rise = pressure + plenum_drop(p, setup, air, drawn) + front_and_exit(p, setup, air, total) - ram_pressure
            if p.fan_count < 1.0:
                value, size = -rise, math.fabs(ram_pressure)
            else:
                value, size = moved(p, setup, air, rise, False) - leaked(p, air, rise) - drawn, drawn
            if math.fabs(value) <= precision * size:
                break
            state = step(state, value)
            if state.point == pressure or state.high <= 1e-9:
                break
            if look + 1 >= _LOOKS and turn < _EARLY:
                pressure = state.point
                break
        slope = state.slope
        change = _look_ahead(p, work, pressure, pressure + helped, beside)
        _go_ahead(p, work, turn)
        if change <= tolerance and math.fabs(value) <= tolerance * size:
            break
        precision = min(0.01 * change * change + 1e-13, 1e-3)
    return air_state(p, setup, heat, ambient, flow)


@inlined
def _look_ahead(p: Any, work: Any, drawn: float, pushed: float, beside: float) -> float:
    """Note the flows at the pressures found, and say how far the flows are from standing still."""
    change = 0.0
    for zone in range(ZONES):
        if zone_share(p, zone) <= 0.0:
            continue
        pressure = drawn if zone == DRAWN else pushed if zone == PUSHED else beside
        for coolers in range(stack_count(p)):
            if p.stack_share[coolers] > 0.0:
                new = _at_pressure(work[_LINEAR, zone, coolers], work[_SQUARE, zone, coolers], pressure)
                new = new if zone == BESIDE else max(new, LEAST_AIR)
                change = max(change, math.fabs(new - work[_FLOW, zone, coolers]) / max(new, LEAST_AIR))
                work[_NEXT, zone, coolers] = new
    return change


@inlined
def _go_ahead(p: Any, work: Any, turn: int) -> None:
    """Set the next flows.

    What two turns left over shows how fast the rest would die away; it is taken in at once (Anderson's mixing of
    depth one, from memory).
    """
    along, turned = 0.0, 0.0
    for zone in range(ZONES):
        for coolers in range(stack_count(p) if zone_share(p, zone) > 0.0 else 0):
            if p.stack_share[coolers] > 0.0:
                size = max(work[_NEXT, zone, coolers], LEAST_AIR)
                left = (work[_NEXT, zone, coolers] - work[_FLOW, zone, coolers]) / size
                bend = left - work[_LEFT, zone, coolers]
                along += left * bend
                turned += bend * bend
                work[_LEFT, zone, coolers] = left
    mix = min(max(along / turned, -2.0), 0.5) if turn > 1 and turned > 0.0 else 0.0
    for zone in range(ZONES):
        for coolers in range(stack_count(p) if zone_share(p, zone) > 0.0 else 0):
            if p.stack_share[coolers] > 0.0:
                new = work[_NEXT, zone, coolers]
                mixed = new - mix * (new - work[_BEFORE, zone, coolers])
                work[_FLOW, zone, coolers] = mixed if mixed > 0.2 * new else new
                work[_BEFORE, zone, coolers] = new


@compilable
def _keep_still(p: Any, flow: Any) -> None:
    """Let next to nothing through: no fan runs and no road air pushes."""
    for zone in range(ZONES):
        for coolers in range(stack_count(p)):
            flow[zone, coolers] = 0.0 if zone == BESIDE else LEAST_AIR


@compilable
def _likely_pressure(p: Any, work: Any) -> float:
    """Loss of any stack in use, to start from."""
    for coolers in range(stack_count(p)):
        if p.stack_share[coolers] > 0.0 and zone_share(p, DRAWN) > 0.0:
            return float(work[_LAST_LOSS, DRAWN, coolers])
    return 50.0


@compilable
def _start_air(p: Any, work: Any) -> None:
    """Set the flows a search starts from."""
    for zone in range(ZONES):
        for coolers in range(stack_count(p)):
            work[_FLOW, zone, coolers] = _LIKELY_AIR
            work[_POWER, zone, coolers] = _LIKELY_POWER


@compilable
def _scale_air(p: Any, work: Any, share: float) -> None:
    """Start from a share of the flows found last: at another temperature the same volume flows."""
    for zone in range(ZONES):
        for coolers in range(stack_count(p)):
            work[_FLOW, zone, coolers] *= share


@compilable
def _radiator_flow(p: Any, setup: Setup, table: Any, coolant_in: float, opening: float, start: float) -> float:
    """Coolant through the radiator."""
    if not math.isnan(p.coolant_flow):
        return known_flow(p, opening)
    rho, _, _, mu = coolant_properties(table, coolant_in)
    value = radiator_flow_imbalance(p, setup, rho, mu, opening, start)
    # Nearly all that resists goes as the flow squared.
    state = step(hunt(start, -2.0 * (p.pump_shutoff - value) / start, 0.0, math.inf), value)
    for _ in range(_MOST_ROUNDS):
        flow = state.point
        state = step(state, radiator_flow_imbalance(p, setup, rho, mu, opening, flow))
        if math.fabs(state.point - flow) <= _FLOW_TOLERANCE * flow:
            break
    return state.point


@compilable
def _coolant_open(
    p: Any, setup: Setup, table: Any, heat: float, air: AirState, work: Any, start: float
) -> tuple[float, float]:
    """Coolant temperature that sheds the heat with the thermostat full open, and the flow; nan where none does."""
    if air.air_in >= HOTTEST_COOLANT:
        return math.nan, math.nan
    flow, coolant_in = p.pump_flow, max(start, air.air_in + 1.0)
    last, at_last, slope = math.nan, math.nan, -1.0
    for _ in range(_MOST_ROUNDS):
        flow = _radiator_flow(p, setup, table, coolant_in, 1.0, flow)
        line = exchange(p, setup, table, heat, air, work[_FLOW], work[_OUTSIDE], coolant_in, flow)
        error = (heat + line.at_zero) / line.per_kelvin - coolant_in
        if coolant_in >= HOTTEST_COOLANT and error > 0.0:
            return math.nan, math.nan
        if coolant_in != last and not math.isnan(last):
            slope = min((error - at_last) / (coolant_in - last), -0.3)
            if math.fabs(error) <= _NEARLY:
                return coolant_in - error / slope, flow
        last, at_last = coolant_in, error
        coolant_in = min(max(coolant_in - error / slope, air.mixed), HOTTEST_COOLANT)
    return coolant_in, flow


@compilable
def _excess(
    p: Any,
    setup: Setup,
    table: Any,
    heat: float,
    air: AirState,
    work: Any,
    drop: float,
    coolant_in: float,
    start: float,
) -> tuple[float, float]:
    """Heat shed less heat to shed with the thermostat at work, and the coolant flow there."""
    opening = thermostat_opening(p, coolant_in, drop)
    flow = _radiator_flow(p, setup, table, coolant_in, opening, max(start, 1e-3 * p.pump_flow))
    line = exchange(p, setup, table, heat, air, work[_FLOW], work[_OUTSIDE], coolant_in, flow)
    return line.per_kelvin * coolant_in - line.at_zero - heat, flow


@compilable
def _coolant_regulated(
    p: Any, setup: Setup, table: Any, heat: float, air: AirState, work: Any, drop: float, open_at: float
) -> float:
    """Coolant temperature that sheds the heat with the thermostat at work, between full open and shut.

    Throttled, the coolant is hotter than full open would have it, and no hotter than the wax full open.
    """
    low, flow = open_at, p.pump_flow
    at_low, flow = _excess(p, setup, table, heat, air, work, drop, low, flow)
    high = p.thermostat_opens + p.thermostat_span + (drop if p.thermostat > 1.0 else 0.0)
    at_high, flow = _excess(p, setup, table, heat, air, work, drop, high, p.pump_flow)
    if at_low >= 0.0:
        return low
    while at_high < 0.0:
        high += 5.0
        if high >= HOTTEST_COOLANT:
            return math.nan
        at_high, flow = _excess(p, setup, table, heat, air, work, drop, high, flow)
    state = bracket(low, at_low, high, at_high)
    for _ in range(_MOST_ROUNDS):
        if is_found(state, _COOLANT_TOLERANCE, _SMALL_HEAT):
            break
        trial = guess(state)
        value, flow = _excess(p, setup, table, heat, air, work, drop, trial, flow)
        state = narrow(state, trial, value, _COOLANT_TOLERANCE)
    return best(state)


@compilable
def _shed_at(p: Any, setup: Setup, table: Any, coolant_in: float, work: Any, likely: float) -> float:
    """Heat shed with the coolant held at a temperature, thermostat full open; 0 if the air is hotter."""
    heat, last, at_last, slope = likely, math.nan, math.nan, -1.0
    flow = _radiator_flow(p, setup, table, coolant_in, 1.0, p.pump_flow)
    for _ in range(_MOST_ROUNDS):
        air = _air(p, setup, heat, p.ambient, work, _FAIR_AIR)
        outside_conductance(p, setup, air, work[_FLOW], work[_OUTSIDE])
        line = exchange(p, setup, table, heat, air, work[_FLOW], work[_OUTSIDE], coolant_in, flow)
        error = line.per_kelvin * coolant_in - line.at_zero - heat
        if heat <= LEAST_HEAT and error < 0.0:
            return 0.0
        if heat != last and not math.isnan(last):
            slope = min((error - at_last) / (heat - last), -0.3)
            if math.fabs(error) <= _LAST_SHARE * heat:
                return heat - error / slope
        last, at_last = heat, error
        heat = max(heat - error / slope, LEAST_HEAT)
    return heat


@compilable
def _spare(p: Any, setup: Setup, table: Any, air: AirState, work: Any, flow: float) -> float:
    """Kelvins the limit lies over the coolant temperature that sheds the heat, properties taken at the limit."""
    line = exchange(p, setup, table, p.heat, air, work[_FLOW], work[_OUTSIDE], p.limit, flow)
    return p.limit - (p.heat + line.at_zero) / line.per_kelvin


@compilable
def _ambient_held(p: Any, setup: Setup, table: Any, air: AirState, work: Any) -> float:
    """Outside air at which the coolant just reaches its limit, thermostat full open; nan where none does.

    ``air`` is that of the record's own ambient, the first point of the search.
    """
    flow = _radiator_flow(p, setup, table, p.limit, 1.0, p.pump_flow)
    last, at_last, slope = p.ambient, math.nan, -1.0
    if air.air_in < HOTTEST_COOLANT:
        at_last = _spare(p, setup, table, air, work, flow)
    ambient = p.ambient if math.isnan(at_last) else p.ambient + at_last
    for _ in range(_MOST_ROUNDS):
        ambient = min(max(ambient, COLDEST_AMBIENT), HOTTEST_AMBIENT)
        _scale_air(p, work, last / ambient)
        there = _air(p, setup, p.heat, ambient, work, _ROUGH_AIR)
        outside_conductance(p, setup, there, work[_FLOW], work[_OUTSIDE])
        spare = _spare(p, setup, table, there, work, flow)
        if (ambient <= COLDEST_AMBIENT and spare < 0.0) or (ambient >= HOTTEST_AMBIENT and spare > 0.0):
            return math.nan
        known = ambient != last and not math.isnan(at_last)
        if known:
            slope = min((spare - at_last) / (ambient - last), -0.3)
        last, at_last = ambient, spare
        ambient -= spare / slope
        if math.fabs(spare) <= (_LAST_STEP if known else 0.01 * _LAST_STEP):
            return ambient
    return math.nan


@compilable
def _steady(p: Any, setup: Setup, table: Any, work: Any, result: Any) -> None:
    """Balance a case that goes on for ever."""
    air = _air(p, setup, p.heat, p.ambient, work, _AIR_TOLERANCE)
    outside_conductance(p, setup, air, work[_FLOW], work[_OUTSIDE])
    start = _LIKELY_COOLANT if math.isnan(p.limit) else p.limit
    unregulated, flow = _coolant_open(p, setup, table, p.heat, air, work, start)
    coolant_in, opening = unregulated, 1.0
    if p.thermostat > 0.0 and not math.isnan(unregulated):
        rho, cp, _, _ = coolant_properties(table, unregulated)
        drop = coolant_drop(p.heat, flow / (1.0 - p.bypass_share), rho, cp)
        if thermostat_opening(p, unregulated, drop) < 1.0:
            coolant_in = _coolant_regulated(p, setup, table, p.heat, air, work, drop, unregulated)
            opening = thermostat_opening(p, coolant_in, drop)
            flow = _radiator_flow(p, setup, table, coolant_in, opening, max(opening * p.pump_flow, 1e-3 * p.pump_flow))
    fill_result(p, setup, table, p.heat, air, work[_FLOW], unregulated, coolant_in, opening, flow, result)
    if not math.isnan(p.limit):
        result.ambient_held = _ambient_held(p, setup, table, air, work)


@compilable
def _pull(p: Any, setup: Setup, table: Any, work: Any, result: Any) -> None:
    """Time a pull; what is reported of air and coolant is its end, with the coolant at the limit."""
    at_limit = _shed_at(p, setup, table, p.limit, work, p.heat)
    air = _air(p, setup, at_limit, p.ambient, work, _AIR_TOLERANCE)
    flow = _radiator_flow(p, setup, table, p.limit, 1.0, p.pump_flow)
    fill_result(p, setup, table, at_limit, air, work[_FLOW], p.limit, p.limit, 1.0, flow, result)
    if p.pull_start >= p.limit:
        result.seconds_to_limit = 0.0
    else:
        air_in = min(air.air_in, p.pull_start - 1.0)
        likely = at_limit * (p.pull_start - air_in) / (p.limit - air_in)
        at_start = _shed_at(p, setup, table, p.pull_start, work, likely)
        result.seconds_to_limit = seconds_between(
            p.heat_store, p.limit - p.pull_start, p.heat - at_start, p.heat - at_limit
        )


@compilable
def _lay_cores(p: Any, cores: Any, surfaces: Any) -> None:
    """Write shape and areas of the core and the coolers ahead, as plain numbers in a row each."""
    for k in range(1 + int(p.ahead_count)):
        for field in range(cores.shape[1]):
            cores[k, field] = p.core[field] if k == 0 else p.ahead[k - 1, field]
        made = surface(core_of(cores[k]))
        plain = made[:-1]
        for field in range(len(plain)):
            surfaces[k, field] = plain[field]
        for field in range(len(made.friction)):
            surfaces[k, len(plain) + field] = made.friction[field]


@batch
def _run(params: Any, table: Any, results: Any, cores: Any, shapes: Any, surfaces: Any, areas: Any, work: Any) -> None:
    for i in range(params.shape[0]):
        _lay_cores(params[i], cores, surfaces)
        volts, speed = fans_of(params[i])
        setup = Setup(shapes[0], areas[0], shapes[1:], areas[1:], volts, speed)
        _start_air(params[i], work)
        if math.isnan(params[i].pull_start):
            _steady(params[i], setup, table, work, results[i])
        else:
            _pull(params[i], setup, table, work, results[i])


def run_points(params: NDArray[Any], table: NDArray[np.float64], results: NDArray[Any]) -> None:
    """Solve records one after another on this core, into rows of `RESULT`.

    A core's numbers are kept in records that compiled code points at: handed over by value they would be
    copied at every call.
    """
    shapes, areas = np.zeros(1 + MAX_AHEAD, _SHAPE), np.zeros(1 + MAX_AHEAD, _AREAS)
    cores, surfaces = (kept.view(np.float64).reshape(1 + MAX_AHEAD, -1) for kept in (shapes, areas))
    _run(params, table, results, cores, shapes, surfaces, areas, np.zeros((_WORK, ZONES, STACKS)))


def solve_batch(params: NDArray[Any], table: NDArray[np.float64]) -> NDArray[Any]:
    """Solve every record, sharing the rows out over the machine's cores.

    Parameters
    ----------
    params : array
        Rows of `PARAMS`, shape (n,).
    table : array
        From `materials.coolant.coolant_table`.

    Returns
    -------
    array
        Rows of `RESULT`, shape (n,), as attributes too.
    """
    results = blank(len(params), RESULT)
    cores = min(os.cpu_count() or 1, max(1, len(params) // _SMALLEST_SHARE))
    edges = np.linspace(0, len(params), cores + 1).astype(int)
    with ThreadPoolExecutor(cores) as pool:
        parts = pairwise(edges)
        list(pool.map(lambda part: run_points(params[slice(*part)], table, results[slice(*part)]), parts))
    return results
