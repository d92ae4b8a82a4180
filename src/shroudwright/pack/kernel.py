"""The compiled batch: many records at once, no Python in the loop, equal to `solve` point by point.

    solve_batch    every record of an array, on all cores
"""

import math
import os
from concurrent.futures import ThreadPoolExecutor
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
    SHUT_LIFT,
    air_state,
    coolant_drop,
    covered_imbalance,
    fill_result,
    open_imbalance,
    open_share,
    radiator_flow_imbalance,
    seconds_between,
    shed_per_kelvin,
)
from shroudwright.pack.params import RESULT, blank

_AIR_TOLERANCE = 1e-10
_COOLANT_TOLERANCE = 1e-8
_SMALLEST_SHARE = 256


@compilable
def _covered_flow(p: Any, heat: float, ambient: float, beside: float, start: float) -> float:
    low, high = LEAST_AIR, start
    at_low = covered_imbalance(p, heat, ambient, low, beside)
    if at_low <= 0.0:
        return LEAST_AIR
    at_high = covered_imbalance(p, heat, ambient, high, beside)
    while at_high > 0.0:
        low, at_low = high, at_high
        high *= 2.0
        at_high = covered_imbalance(p, heat, ambient, high, beside)
    state = bracket(low, at_low, high, at_high)
    for _ in range(100):
        if is_found(state, _AIR_TOLERANCE):
            break
        flow = guess(state)
        state = narrow(state, flow, covered_imbalance(p, heat, ambient, flow, beside), _AIR_TOLERANCE)
    return best(state)


@compilable
def _open_flow(p: Any, heat: float, ambient: float, covered: float, start: float) -> float:
    low, high = LEAST_AIR, start
    at_low = open_imbalance(p, heat, ambient, covered, low)
    if at_low <= 0.0:
        return 0.0
    at_high = open_imbalance(p, heat, ambient, covered, high)
    while at_high > 0.0:
        low, at_low = high, at_high
        high *= 2.0
        at_high = open_imbalance(p, heat, ambient, covered, high)
    state = bracket(low, at_low, high, at_high)
    for _ in range(100):
        if is_found(state, _AIR_TOLERANCE):
            break
        flow = guess(state)
        state = narrow(state, flow, open_imbalance(p, heat, ambient, covered, flow), _AIR_TOLERANCE)
    return best(state)


@compilable
def _air(p: Any, heat: float, ambient: float, start: float) -> tuple[float, float]:
    covered, beside = start, 0.0
    for _ in range(40):
        before = covered + beside
        covered = _covered_flow(p, heat, ambient, beside, max(covered, 1e-3))
        if open_share(p) <= 0.0:
            break
        beside = _open_flow(p, heat, ambient, covered, max(beside, 1e-3))
        if math.fabs(covered + beside - before) <= _AIR_TOLERANCE * before:
            break
    return covered, beside


@compilable
def _radiator_flow(p: Any, table: Any, coolant_in: float, opening: float) -> float:
    if not math.isnan(p.coolant_flow):
        return p.coolant_flow * opening
    rho, _, _, mu = coolant_properties(table, coolant_in)
    high = 3.0 * p.pump_flow
    tolerance = 1e-10 * p.pump_flow
    state = bracket(
        high,
        radiator_flow_imbalance(p, rho, mu, opening, high),
        0.0,
        radiator_flow_imbalance(p, rho, mu, opening, 0.0),
    )
    for _ in range(100):
        if is_found(state, tolerance):
            break
        flow = guess(state)
        state = narrow(state, flow, radiator_flow_imbalance(p, rho, mu, opening, flow), tolerance)
    return best(state)


@compilable
def _opening(p: Any, coolant_in: float, drop: float) -> float:
    if p.thermostat <= 0.0 or math.isnan(drop):
        return 1.0
    at_wax = coolant_in - (drop if p.thermostat > 1.0 else 0.0)
    return max(lift(at_wax, p.thermostat_opens, p.thermostat_span), SHUT_LIFT)


@compilable
def _excess(
    p: Any, table: Any, heat: float, ambient: float, covered: float, beside: float, drop: float, coolant_in: float
) -> float:
    flow = _radiator_flow(p, table, coolant_in, _opening(p, coolant_in, drop))
    air_in = air_state(p, heat, ambient, covered + beside).air_in
    per_kelvin = shed_per_kelvin(p, table, heat, ambient, covered, beside, coolant_in, flow)
    return per_kelvin * (coolant_in - air_in) - heat


@compilable
def _coolant(
    p: Any, table: Any, heat: float, ambient: float, covered: float, beside: float, drop: float, start: float
) -> float:
    """Coolant temperature that sheds the heat; thermostat full open where drop is nan."""
    low = air_state(p, heat, ambient, covered + beside).air_in
    if low >= HOTTEST_COOLANT:
        return math.nan
    at_low = -heat
    high = min(max(start, low + 10.0), HOTTEST_COOLANT)
    at_high = _excess(p, table, heat, ambient, covered, beside, drop, high)
    while at_high < 0.0:
        if high >= HOTTEST_COOLANT:
            return math.nan
        step = 1.5 * (high - low) * max(-at_high / (at_high - at_low), 0.05)
        low, at_low = high, at_high
        high = min(high + step, HOTTEST_COOLANT)
        at_high = _excess(p, table, heat, ambient, covered, beside, drop, high)
    state = bracket(low, at_low, high, at_high)
    for _ in range(100):
        if is_found(state, _COOLANT_TOLERANCE):
            break
        trial = guess(state)
        state = narrow(
            state, trial, _excess(p, table, heat, ambient, covered, beside, drop, trial), _COOLANT_TOLERANCE
        )
    return best(state)


@compilable
def _open_coolant(p: Any, table: Any, heat: float, ambient: float, start_air: float, start: float) -> float:
    covered, beside = _air(p, heat, ambient, start_air)
    return _coolant(p, table, heat, ambient, covered, beside, math.nan, start)


@compilable
def _shed_at(p: Any, table: Any, coolant_in: float, start_air: float) -> float:
    """Heat shed with the coolant held at a temperature; coolant over air is nearly in proportion to heat."""
    heat = p.heat
    for _ in range(30):
        found = _open_coolant(p, table, heat, p.ambient, start_air, coolant_in)
        if math.isnan(found):
            heat *= 0.5
            continue
        over = found - p.ambient - p.pavement_rise
        better = heat * (coolant_in - p.ambient - p.pavement_rise) / over
        if math.fabs(better - heat) <= 1e-9 * heat:
            return better
        heat = max(better, 1.0)
    return heat


@compilable
def _ambient_held(p: Any, table: Any, unregulated: float, start_air: float) -> float:
    low, high = COLDEST_AMBIENT, HOTTEST_AMBIENT
    ambient = p.ambient if math.isnan(unregulated) else p.ambient + p.limit - unregulated
    found = unregulated
    last, at_last = p.ambient, unregulated - p.limit
    for _ in range(40):
        ambient = min(max(ambient, low), high)
        found = _open_coolant(p, table, p.heat, ambient, start_air, p.limit)
        if math.isnan(found):
            found = HOTTEST_COOLANT
        error = found - p.limit
        if math.fabs(error) <= 1e-6:
            return ambient
        if (ambient <= low and error > 0.0) or (ambient >= high and error < 0.0):
            return math.nan
        slope = (error - at_last) / (ambient - last) if ambient != last else 1.0
        last, at_last = ambient, error
        ambient -= error / (slope if slope > 0.2 and not math.isnan(slope) else 1.0)
    return math.nan


@compilable
def _point(p: Any, table: Any, result: Any) -> None:
    covered, beside = _air(p, p.heat, p.ambient, 0.5)
    unregulated = _coolant(p, table, p.heat, p.ambient, covered, beside, math.nan, p.limit)
    coolant_in, opening, flow = unregulated, 1.0, math.nan
    if not math.isnan(unregulated):
        flow = _radiator_flow(p, table, unregulated, 1.0)
        if p.thermostat > 0.0:
            rho, cp, _, _ = coolant_properties(table, unregulated)
            drop = coolant_drop(p.heat, flow / (1.0 - p.bypass_share), rho, cp)
            if _opening(p, unregulated, drop) < 1.0:
                start = p.thermostat_opens + p.thermostat_span + drop
                coolant_in = _coolant(p, table, p.heat, p.ambient, covered, beside, drop, start)
                opening = _opening(p, coolant_in, drop)
                flow = _radiator_flow(p, table, coolant_in, opening)
    fill_result(p, table, covered, beside, unregulated, coolant_in, opening, flow, result)
    result.ambient_held = _ambient_held(p, table, unregulated, max(covered, 1e-3))
    if not math.isnan(p.pull_start):
        if p.pull_start >= p.limit:
            result.seconds_to_limit = 0.0
        else:
            at_start = p.heat - _shed_at(p, table, p.pull_start, max(covered, 1e-3))
            at_limit = p.heat - _shed_at(p, table, p.limit, max(covered, 1e-3))
            result.seconds_to_limit = seconds_between(
                p.heat_store, p.limit - p.pull_start, at_start, at_limit
            )


@batch
def _run(params: Any, table: Any, results: Any) -> None:
    for i in range(params.shape[0]):
        _point(params[i], table, results[i])


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
        parts = zip(edges[:-1], edges[1:], strict=True)
        list(pool.map(lambda part: _run(params[slice(*part)], table, results[slice(*part)]), parts))
    return results
