"""The compiled batch: many records at once, no Python in the loop, equal to `solve` point by point.

solve_batch    every record of an array, on all cores
unknown_flows  what it starts from where nothing is near
balance_air    the air of one record at a heat
radiator_flow  coolant through the radiator at a lift of the thermostat
lay_cores      shape and areas of a record's cores, for whoever balances part of it
"""

import math
import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import Any, get_type_hints

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.compiled import batch, compilable
from shroudwright.bench.roots import best, bracket, guess, hunt, is_found, narrow, step
from shroudwright.materials.coolant import coolant_properties
from shroudwright.pack.air_path import ZONES, AirState, Setup, core_of, fans_of
from shroudwright.pack.air_search import FLOW, OUTSIDE, SLOTS, UNEVEN, scale_air, search_air, start_air
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
from shroudwright.pack.params import MAX_AHEAD, PARAMS, RESULT, STACKS, blank
from shroudwright.radiator.core import Core, Surface, surface

_LIKELY_COOLANT = 380.0
_AIR_TOLERANCE = 1e-8
_FAIR_AIR, _ROUGH_AIR = 1e-6, 2e-6
_STEADY_AIR = 1e-7
_FLOW_TOLERANCE = 1e-8
_COOLANT_TOLERANCE = 1e-8
_NEARLY = 1e-5
_LAST_STEP = 0.005
_LAST_SHARE = 1e-4
_SMALL_HEAT = 1e-6
_SMALLEST_SHARE = 256
_MOST_ROUNDS = 100


def _record(kind: type[Any]) -> np.dtype[Any]:
    """Return a named tuple's fields as a record; a named tuple among them becomes a record inside it."""
    kinds = get_type_hints(kind)
    return np.dtype([(name, np.float64 if kinds[name] is float else _record(kinds[name])) for name in kinds])


SHAPE, AREAS = _record(Core), _record(Surface)


@compilable
def radiator_flow(p: Any, setup: Setup, table: Any, coolant_in: float, opening: float, start: float) -> float:
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
        flow = radiator_flow(p, setup, table, coolant_in, 1.0, flow)
        line = exchange(p, setup, table, heat, air, work[FLOW], work[OUTSIDE], work[UNEVEN, 0, 0], coolant_in, flow)
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
    flow = radiator_flow(p, setup, table, coolant_in, opening, max(start, 1e-3 * p.pump_flow))
    line = exchange(p, setup, table, heat, air, work[FLOW], work[OUTSIDE], work[UNEVEN, 0, 0], coolant_in, flow)
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
    flow = radiator_flow(p, setup, table, coolant_in, 1.0, p.pump_flow)
    for _ in range(_MOST_ROUNDS):
        air = search_air(p, setup, heat, p.ambient, work, _FAIR_AIR)
        work[UNEVEN, 0, 0] = outside_conductance(p, setup, air, work[FLOW], work[OUTSIDE])
        line = exchange(p, setup, table, heat, air, work[FLOW], work[OUTSIDE], work[UNEVEN, 0, 0], coolant_in, flow)
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
    line = exchange(p, setup, table, p.heat, air, work[FLOW], work[OUTSIDE], work[UNEVEN, 0, 0], p.limit, flow)
    return p.limit - (p.heat + line.at_zero) / line.per_kelvin


@compilable
def _ambient_held(p: Any, setup: Setup, table: Any, air: AirState, work: Any) -> float:
    """Outside air at which the coolant just reaches its limit, thermostat full open; nan where none does.

    ``air`` is that of the record's own ambient, the first point of the search.
    """
    flow = radiator_flow(p, setup, table, p.limit, 1.0, p.pump_flow)
    last, at_last, slope = p.ambient, math.nan, -1.0
    if air.air_in < HOTTEST_COOLANT:
        at_last = _spare(p, setup, table, air, work, flow)
    ambient = p.ambient if math.isnan(at_last) else p.ambient + at_last
    for _ in range(_MOST_ROUNDS):
        ambient = min(max(ambient, COLDEST_AMBIENT), HOTTEST_AMBIENT)
        scale_air(p, work, last / ambient)
        there = search_air(p, setup, p.heat, ambient, work, _ROUGH_AIR)
        work[UNEVEN, 0, 0] = outside_conductance(p, setup, there, work[FLOW], work[OUTSIDE])
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
    air = search_air(p, setup, p.heat, p.ambient, work, _AIR_TOLERANCE)
    work[UNEVEN, 0, 0] = outside_conductance(p, setup, air, work[FLOW], work[OUTSIDE])
    start = _LIKELY_COOLANT if math.isnan(p.limit) else p.limit
    unregulated, flow = _coolant_open(p, setup, table, p.heat, air, work, start)
    coolant_in, opening = unregulated, 1.0
    if p.thermostat > 0.0 and not math.isnan(unregulated):
        rho, cp, _, _ = coolant_properties(table, unregulated)
        drop = coolant_drop(p.heat, flow / (1.0 - p.bypass_share), rho, cp)
        if thermostat_opening(p, unregulated, drop) < 1.0:
            coolant_in = _coolant_regulated(p, setup, table, p.heat, air, work, drop, unregulated)
            opening = thermostat_opening(p, coolant_in, drop)
            flow = radiator_flow(p, setup, table, coolant_in, opening, max(opening * p.pump_flow, 1e-3 * p.pump_flow))
    fill_result(p, setup, table, p.heat, air, work[FLOW], unregulated, coolant_in, opening, flow, result)
    if not math.isnan(p.limit):
        result.ambient_held = _ambient_held(p, setup, table, air, work)


@compilable
def _pull(p: Any, setup: Setup, table: Any, work: Any, result: Any) -> None:
    """Time a pull; what is reported of air and coolant is its end, with the coolant at the limit."""
    at_limit = _shed_at(p, setup, table, p.limit, work, p.heat)
    air = search_air(p, setup, at_limit, p.ambient, work, _AIR_TOLERANCE)
    flow = radiator_flow(p, setup, table, p.limit, 1.0, p.pump_flow)
    fill_result(p, setup, table, at_limit, air, work[FLOW], p.limit, p.limit, 1.0, flow, result)
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
def lay_cores(p: Any, cores: Any, surfaces: Any) -> None:
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
def _run(
    params: Any,
    table: Any,
    results: Any,
    flows: Any,
    cores: Any,
    shapes: Any,
    surfaces: Any,
    areas: Any,
    work: Any,
) -> None:
    for i in range(params.shape[0]):
        lay_cores(params[i], cores, surfaces)
        volts, speed = fans_of(params[i])
        setup = Setup(shapes[0], areas[0], shapes[1:], areas[1:], volts, speed)
        start_air(params[i], work, flows[i])
        if math.isnan(params[i].pull_start):
            _steady(params[i], setup, table, work, results[i])
        else:
            _pull(params[i], setup, table, work, results[i])
        flows[i] = work[FLOW]


def _cores() -> tuple[NDArray[Any], NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Room for a record's cores: as numbers and as records, shapes and areas."""
    shapes, areas = np.zeros(1 + MAX_AHEAD, SHAPE), np.zeros(1 + MAX_AHEAD, AREAS)
    cores, surfaces = (kept.view(np.float64).reshape(1 + MAX_AHEAD, -1) for kept in (shapes, areas))
    return cores, shapes, surfaces, areas


def unknown_flows(count: int) -> NDArray[np.float64]:
    """Return air of no record known: what `solve_batch` starts from where nothing is near."""
    return np.full((count, ZONES, STACKS), np.nan)


def run_points(
    params: NDArray[Any], table: NDArray[np.float64], results: NDArray[Any], flows: NDArray[np.float64] | None = None
) -> None:
    """Solve records one after another on this core, into rows of `RESULT`.

    A core's numbers are kept in records that compiled code points at: handed over by value they would be
    copied at every call.
    """
    flows = unknown_flows(len(params)) if flows is None else flows
    _run(params, table, results, flows, *_cores(), np.zeros((SLOTS, ZONES, STACKS)))


@batch
def _air(p: Any, heat: float, cores: Any, shapes: Any, surfaces: Any, areas: Any, work: Any) -> AirState:
    lay_cores(p[0], cores, surfaces)
    volts, speed = fans_of(p[0])
    setup = Setup(shapes[0], areas[0], shapes[1:], areas[1:], volts, speed)
    work[FLOW] = np.nan
    start_air(p[0], work, work[FLOW])
    return search_air(p[0], setup, heat, p[0].ambient, work, _STEADY_AIR)


def balance_air(p: Any, heat: float) -> tuple[AirState, NDArray[np.float64]]:
    """Balance the air of one record.

    Parameters
    ----------
    p : record
        A row of `PARAMS`.
    heat : float
        Given to the air, [W]

    Returns
    -------
    AirState
    flow : array
        Mass flow of every zone and stack, shape (ZONES, STACKS), [kg/s]
    """
    work = np.zeros((SLOTS, ZONES, STACKS))
    return _air(np.array([p], PARAMS), float(heat), *_cores(), work), work[FLOW]


def solve_batch(
    params: NDArray[Any], table: NDArray[np.float64], flows: NDArray[np.float64] | None = None
) -> NDArray[Any]:
    """Solve every record, sharing the rows out over the machine's cores.

    Parameters
    ----------
    params : array
        Rows of `PARAMS`, shape (n,).
    table : array
        From `materials.coolant.coolant_table`.
    flows : array, optional
        Air of every zone and stack to start from, such as a neighbour's; it holds what was found when this returns.
        From `unknown_flows` where none is known, [kg/s]

    Returns
    -------
    array
        Rows of `RESULT`, shape (n,), as attributes too.
    """
    results = blank(len(params), RESULT)
    flows = unknown_flows(len(params)) if flows is None else flows
    cores = min(os.cpu_count() or 1, max(1, len(params) // _SMALLEST_SHARE))
    edges = np.linspace(0, len(params), cores + 1).astype(int)

    def run(part: tuple[int, int]) -> None:
        own = slice(*part)
        run_points(params[own], table, results[own], flows[own])

    with ThreadPoolExecutor(cores) as pool:
        list(pool.map(run, pairwise(edges)))
    return results
