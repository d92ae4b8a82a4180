"""The compiled batch: many records at once, no Python in the loop, equal to `solve` point by point.

solve_batch    every record of an array, on all cores
"""

import math
import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.compiled import batch, compilable
from shroudwright.bench.roots import best, bracket, guess, is_found, narrow
from shroudwright.circuit.thermostat import lift
from shroudwright.materials.coolant import coolant_properties
from shroudwright.pack.balance import (
    COLDEST_AMBIENT,
    HOTTEST_AMBIENT,
    HOTTEST_COOLANT,
    LEAST_AIR,
    LEAST_HEAT,
    SHUT_LIFT,
    Setup,
    air_state,
    coolant_drop,
    covered_imbalance,
    fill_result,
    known_flow,
    open_imbalance,
    open_share,
    radiator_flow_imbalance,
    seconds_between,
    setup_of,
    shed_per_kelvin,
)
from shroudwright.pack.params import RESULT, blank

_AIR_TOLERANCE = 1e-10
_SMALL_AIR = 1e-11
_COOLANT_TOLERANCE = 1e-8
_SMALL_HEAT = 1e-6
_LAST_STEP = 0.003
_LIKELY_COOLANT = 380.0
_SMALLEST_SHARE = 256


@compilable
def _covered_flow(
    p: Any, setup: Setup, heat: float, ambient: float, beside: float, start: float, reach: float
) -> float:
    """Air through the covered zone, hunted outwards from a start."""
    near = start
    at_near = covered_imbalance(p, setup, heat, ambient, near, beside)
    rising = at_near > 0.0
    while True:
        far = near * reach if rising else max(near / reach, LEAST_AIR)
        at_far = covered_imbalance(p, setup, heat, ambient, far, beside)
        if (at_far > 0.0) != rising:
            break
        if far <= LEAST_AIR:
            return LEAST_AIR
        near, at_near, reach = far, at_far, reach * reach
    state = bracket(near, at_near, far, at_far)
    for _ in range(100):
        if is_found(state, _AIR_TOLERANCE, _SMALL_AIR):
            break
        flow = guess(state)
        state = narrow(state, flow, covered_imbalance(p, setup, heat, ambient, flow, beside), _AIR_TOLERANCE)
    return best(state)


@compilable
def _open_flow(p: Any, setup: Setup, heat: float, ambient: float, covered: float, start: float, reach: float) -> float:
    """Air through the zone beside the fans, hunted outwards from a start; none where ram is too weak."""
    if open_imbalance(p, setup, heat, ambient, covered, LEAST_AIR) <= 0.0:
        return 0.0
    near = start
    at_near = open_imbalance(p, setup, heat, ambient, covered, near)
    rising = at_near > 0.0
    while True:
        far = near * reach if rising else max(near / reach, LEAST_AIR)
        at_far = open_imbalance(p, setup, heat, ambient, covered, far)
        if (at_far > 0.0) != rising:
            break
        near, at_near, reach = far, at_far, reach * reach
    state = bracket(near, at_near, far, at_far)
    for _ in range(100):
        if is_found(state, _AIR_TOLERANCE):
            break
        flow = guess(state)
        state = narrow(state, flow, open_imbalance(p, setup, heat, ambient, covered, flow), _AIR_TOLERANCE)
    return best(state)


@compilable
def _air(p: Any, setup: Setup, heat: float, ambient: float, start: float) -> tuple[float, float]:
    """Air through both zones; each depends on the other only through the air's temperatures."""
    covered, beside, reach = start, 0.0, 1.01
    for _ in range(40):
        before = covered + beside
        covered = _covered_flow(p, setup, heat, ambient, beside, max(covered, 1e-3), reach)
        if open_share(p) <= 0.0:
            break
        beside = _open_flow(p, setup, heat, ambient, covered, max(beside, 1e-3), max(reach, 1.001))
        reach = 1.0 + min(max(0.3 * math.fabs(covered + beside - before) / before, 1e-7), 0.01)
        if math.fabs(covered + beside - before) <= _AIR_TOLERANCE * before:
            break
    return covered, beside


@compilable
def _radiator_flow(p: Any, setup: Setup, table: Any, coolant_in: float, opening: float, start: float) -> float:
    """Coolant through the radiator, hunted outwards from a start."""
    if not math.isnan(p.coolant_flow):
        return known_flow(p, opening)
    rho, _, _, mu = coolant_properties(table, coolant_in)
    near, reach = start, 1.01
    at_near = radiator_flow_imbalance(p, setup, rho, mu, opening, near)
    rising = at_near > 0.0
    while True:
        far = near * reach if rising else near / reach
        at_far = radiator_flow_imbalance(p, setup, rho, mu, opening, far)
        if (at_far > 0.0) != rising:
            break
        near, at_near, reach = far, at_far, reach * reach
    state = bracket(near, at_near, far, at_far)
    tolerance = 1e-10 * p.pump_flow
    for _ in range(100):
        if is_found(state, tolerance, 1e-9 * p.pump_shutoff):
            break
        flow = guess(state)
        state = narrow(state, flow, radiator_flow_imbalance(p, setup, rho, mu, opening, flow), tolerance)
    return best(state)


@compilable
def _opening(p: Any, coolant_in: float, drop: float) -> float:
    if p.thermostat <= 0.0 or math.isnan(drop):
        return 1.0
    at_wax = coolant_in - (drop if p.thermostat > 1.0 else 0.0)
    return max(lift(at_wax, p.thermostat_opens, p.thermostat_span), SHUT_LIFT)


@compilable
def _excess(
    p: Any,
    setup: Setup,
    table: Any,
    heat: float,
    ambient: float,
    covered: float,
    beside: float,
    drop: float,
    coolant_in: float,
    start_flow: float,
) -> tuple[float, float]:
    """Heat shed less heat to shed at a coolant temperature, and the coolant flow there."""
    flow = _radiator_flow(p, setup, table, coolant_in, _opening(p, coolant_in, drop), start_flow)
    air_in = air_state(p, heat, ambient, covered + beside).air_in
    per_kelvin = shed_per_kelvin(p, setup, table, heat, ambient, covered, beside, coolant_in, flow)
    return per_kelvin * (coolant_in - air_in) - heat, flow


@compilable
def _coolant(
    p: Any,
    setup: Setup,
    table: Any,
    heat: float,
    ambient: float,
    covered: float,
    beside: float,
    drop: float,
    start: float,
) -> float:
    """Coolant temperature that sheds the heat, hunted outwards from a start; full open where drop is nan."""
    air_in = air_state(p, heat, ambient, covered + beside).air_in
    if air_in >= HOTTEST_COOLANT:
        return math.nan
    flow = p.pump_flow
    near, reach = max(start, air_in + 1.0), 1.5
    at_near, flow = _excess(p, setup, table, heat, ambient, covered, beside, drop, near, flow)
    rising = at_near < 0.0
    while True:
        far = min(near + reach, HOTTEST_COOLANT) if rising else max(near - reach, air_in)
        at_far = -heat
        if far > air_in:
            at_far, flow = _excess(p, setup, table, heat, ambient, covered, beside, drop, far, flow)
        if (at_far < 0.0) != rising:
            break
        if far >= HOTTEST_COOLANT:
            return math.nan
        slope = max(math.fabs(at_far - at_near) / reach, 1e-9)
        near, at_near, reach = far, at_far, max(1.05 * math.fabs(at_far) / slope, reach)
    state = bracket(near, at_near, far, at_far)
    for _ in range(100):
        if is_found(state, _COOLANT_TOLERANCE, _SMALL_HEAT):
            break
        trial = guess(state)
        value, flow = _excess(p, setup, table, heat, ambient, covered, beside, drop, trial, flow)
        state = narrow(state, trial, value, _COOLANT_TOLERANCE)
    return best(state)


@compilable
def _open_coolant(
    p: Any, setup: Setup, table: Any, heat: float, ambient: float, start_air: float, start: float
) -> tuple[float, float]:
    """Coolant temperature with the thermostat full open, and the covered zone's air."""
    covered, beside = _air(p, setup, heat, ambient, start_air)
    return _coolant(p, setup, table, heat, ambient, covered, beside, math.nan, start), max(covered, 1e-3)


@compilable
def _shed_at(p: Any, setup: Setup, table: Any, coolant_in: float, start_air: float) -> float:
    """Heat shed with the coolant held at a temperature; 0 if the air is hotter. Nearly a straight line."""
    last, at_last = 0.0, p.ambient - coolant_in
    heat = p.heat
    for _ in range(40):
        found, start_air = _open_coolant(p, setup, table, heat, p.ambient, start_air, coolant_in)
        if math.isnan(found):
            heat *= 0.5
            continue
        error = found - coolant_in
        slope = (error - at_last) / (heat - last)
        last, at_last = heat, error
        heat = max(heat - error / slope, LEAST_HEAT) if slope > 0.0 else 0.5 * heat
        if math.fabs(error) <= _LAST_STEP:
            return heat
        if heat == last:
            return 0.0
    return heat


@compilable
def _ambient_held(p: Any, setup: Setup, table: Any, unregulated: float, start_air: float) -> float:
    low, high = COLDEST_AMBIENT, HOTTEST_AMBIENT
    ambient = p.ambient if math.isnan(unregulated) else p.ambient + p.limit - unregulated
    last, at_last = p.ambient, unregulated - p.limit
    for _ in range(40):
        ambient = min(max(ambient, low), high)
        found, start_air = _open_coolant(p, setup, table, p.heat, ambient, start_air, p.limit)
        if math.isnan(found):
            found = HOTTEST_COOLANT
        error = found - p.limit
        if (ambient <= low and error > 0.0) or (ambient >= high and error < 0.0):
            return math.nan
        slope = (error - at_last) / (ambient - last) if ambient != last else 1.0
        slope = slope if slope > 0.2 and not math.isnan(slope) else 1.0
        last, at_last = ambient, error
        ambient -= error / slope
        if math.fabs(error) <= _LAST_STEP:
            return ambient
    return math.nan


@compilable
def _steady(p: Any, setup: Setup, table: Any, result: Any) -> None:
    """Balance a case that goes on for ever."""
    covered, beside = _air(p, setup, p.heat, p.ambient, 0.5)
    start = _LIKELY_COOLANT if math.isnan(p.limit) else p.limit
    unregulated = _coolant(p, setup, table, p.heat, p.ambient, covered, beside, math.nan, start)
    coolant_in, opening, flow = unregulated, 1.0, math.nan
    if not math.isnan(unregulated):
        flow = _radiator_flow(p, setup, table, unregulated, 1.0, p.pump_flow)
        if p.thermostat > 0.0:
            rho, cp, _, _ = coolant_properties(table, unregulated)
            drop = coolant_drop(p.heat, flow / (1.0 - p.bypass_share), rho, cp)
            if _opening(p, unregulated, drop) < 1.0:
                warm = p.thermostat_opens + p.thermostat_span + drop
                coolant_in = _coolant(p, setup, table, p.heat, p.ambient, covered, beside, drop, warm)
                opening = _opening(p, coolant_in, drop)
                flow = _radiator_flow(p, setup, table, coolant_in, opening, opening * p.pump_flow)
    fill_result(p, setup, table, p.heat, covered, beside, unregulated, coolant_in, opening, flow, result)
    if not math.isnan(p.limit):
        result.ambient_held = _ambient_held(p, setup, table, unregulated, max(covered, 1e-3))


@compilable
def _pull(p: Any, setup: Setup, table: Any, result: Any) -> None:
    """Time a pull; what is reported of air and coolant is its end, with the coolant at the limit."""
    at_limit = _shed_at(p, setup, table, p.limit, 0.5)
    covered, beside = _air(p, setup, at_limit, p.ambient, 0.5)
    flow = _radiator_flow(p, setup, table, p.limit, 1.0, p.pump_flow)
    fill_result(p, setup, table, at_limit, covered, beside, p.limit, p.limit, 1.0, flow, result)
    if p.pull_start >= p.limit:
        result.seconds_to_limit = 0.0
    else:
        at_start = _shed_at(p, setup, table, p.pull_start, max(covered, 1e-3))
        result.seconds_to_limit = seconds_between(
            p.heat_store, p.limit - p.pull_start, p.heat - at_start, p.heat - at_limit
        )


@batch
def run_points(params: Any, table: Any, results: Any) -> None:
    """Solve records one after another on this core, into rows of `RESULT`."""
    for i in range(params.shape[0]):
        setup = setup_of(params[i])
        if math.isnan(params[i].pull_start):
            _steady(params[i], setup, table, results[i])
        else:
            _pull(params[i], setup, table, results[i])


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
