"""The readable scalar solve: one point at a time, with scipy's bracketed roots. The reference for the kernel.

balance_air        air through the covered zone and beside it
radiator_flow      coolant through the radiator at a thermostat lift
balance_coolant    coolant temperature that sheds the heat
heat_shed_at       heat shed with the coolant held at a temperature
operating_point    one record in, one result out
"""

import math
from typing import Any

from scipy.optimize import brentq

from shroudwright.circuit.thermostat import lift
from shroudwright.materials.coolant import coolant_properties
from shroudwright.pack import balance
from shroudwright.pack.params import RESULT, blank

_TIGHT = {"xtol": 1e-13, "rtol": 8.9e-16, "maxiter": 200}


def balance_air(p: Any, heat: float, ambient: float) -> tuple[float, float]:
    """Air flow in the zone the fans draw through and beside it.

    Parameters
    ----------
    p : record
        One row of `PARAMS`.
    heat : float
        Heat the radiator sheds, [W]
    ambient : float
        Outside air, [K]

    Returns
    -------
    covered, beside : float
        [kg/s]
    """
    setup = balance.setup_of(p)
    covered, beside = balance.LEAST_AIR, 0.0
    for _ in range(60):
        before = covered + beside
        covered = _root(lambda m, b=beside: balance.covered_imbalance(p, setup, heat, ambient, m, b))
        if balance.open_share(p) <= 0.0:
            break
        beside = _root(lambda m, c=covered: balance.open_imbalance(p, setup, heat, ambient, c, m))
        beside = 0.0 if beside <= balance.LEAST_AIR else beside
        if abs(covered + beside - before) <= 1e-13 * before:
            break
    return covered, beside


def _root(imbalance: Any) -> float:
    """Flow at which the pressures balance, or the least flow where they allow none."""
    if imbalance(balance.LEAST_AIR) <= 0.0:
        return balance.LEAST_AIR
    high = 0.5
    while imbalance(high) > 0.0:
        high *= 2.0
    return float(brentq(imbalance, balance.LEAST_AIR, high, **_TIGHT))


def radiator_flow(p: Any, table: Any, coolant_in: float, opening: float) -> float:
    """Coolant through the radiator at a thermostat lift, [m**3/s].

    Parameters
    ----------
    p : record
        One row of `PARAMS`.
    table : array
        From `materials.coolant.coolant_table`.
    coolant_in : float
        Temperature the properties are taken at, [K]
    opening : float
        Thermostat lift, [-]

    Returns
    -------
    flow : float
        [m**3/s]
    """
    if not math.isnan(p.coolant_flow):
        return float(balance.known_flow(p, opening))
    rho, _, _, mu = coolant_properties(table, coolant_in)
    setup = balance.setup_of(p)
    return float(
        brentq(
            lambda q: balance.radiator_flow_imbalance(p, setup, rho, mu, opening, q),
            0.0,
            3.0 * p.pump_flow,
            **_TIGHT,
        )
    )


def _opening(p: Any, coolant_in: float, engine_drop: float) -> float:
    """Lift of the thermostat at a coolant temperature out of the engine."""
    if p.thermostat <= 0.0:
        return 1.0
    at_wax = coolant_in - (engine_drop if p.thermostat > 1.0 else 0.0)
    return max(lift(at_wax, p.thermostat_opens, p.thermostat_span), balance.SHUT_LIFT)


def _coolant_root(p: Any, table: Any, heat: float, ambient: float, air: tuple[float, float], drop: float) -> float:
    """Coolant temperature that sheds the heat; full open where ``drop`` is nan."""
    covered, beside = air
    setup = balance.setup_of(p)
    air_in = balance.air_state(p, heat, ambient, covered + beside).air_in

    def excess(coolant_in: float) -> float:
        opening = 1.0 if math.isnan(drop) else _opening(p, coolant_in, drop)
        flow = radiator_flow(p, table, coolant_in, opening)
        per_kelvin = balance.shed_per_kelvin(p, setup, table, heat, ambient, covered, beside, coolant_in, flow)
        return per_kelvin * (coolant_in - air_in) - heat

    if air_in >= balance.HOTTEST_COOLANT or excess(balance.HOTTEST_COOLANT) < 0.0:
        return math.nan
    return float(brentq(excess, air_in, balance.HOTTEST_COOLANT, **_TIGHT))


def balance_coolant(p: Any, table: Any, heat: float, ambient: float, air: tuple[float, float]) -> tuple[float, float]:
    """Coolant into the radiator with the thermostat full open, and with it at work.

    Parameters
    ----------
    p : record
        One row of `PARAMS`.
    table : array
        From `materials.coolant.coolant_table`.
    heat : float
        Heat to shed, [W]
    ambient : float
        Outside air, [K]
    air : tuple of float
        From `balance_air`, [kg/s]

    Returns
    -------
    coolant_unregulated, coolant_in : float
        nan where no temperature sheds the heat, [K]
    """
    unregulated = _coolant_root(p, table, heat, ambient, air, math.nan)
    if p.thermostat <= 0.0 or math.isnan(unregulated):
        return unregulated, unregulated
    drop = engine_drop(p, table, heat, unregulated)
    if _opening(p, unregulated, drop) >= 1.0:
        return unregulated, unregulated
    return unregulated, _coolant_root(p, table, heat, ambient, air, drop)


def engine_drop(p: Any, table: Any, heat: float, coolant_in: float) -> float:
    """Rise of the coolant through the engine with the thermostat full open, [K rise]."""
    flow = radiator_flow(p, table, coolant_in, 1.0)
    rho, cp, _, _ = coolant_properties(table, coolant_in)
    return balance.coolant_drop(heat, flow / (1.0 - p.bypass_share), rho, cp)


def heat_shed_at(p: Any, table: Any, coolant_in: float) -> float:
    """Heat shed with the coolant held at a temperature, thermostat full open; 0 if the air is hotter, [W]."""

    def excess(heat: float) -> float:
        temperature, _ = balance_coolant_open(p, table, heat)
        return (balance.HOTTEST_COOLANT if math.isnan(temperature) else temperature) - coolant_in

    if excess(balance.LEAST_HEAT) >= 0.0:
        return 0.0
    high = 10e3
    while excess(high) < 0.0:
        high *= 2.0
    return float(brentq(excess, balance.LEAST_HEAT, high, xtol=1e-6, rtol=1e-12))


def balance_coolant_open(p: Any, table: Any, heat: float) -> tuple[float, tuple[float, float]]:
    """Coolant temperature with the thermostat full open at the record's own ambient, and the air."""
    air = balance_air(p, heat, p.ambient)
    return _coolant_root(p, table, heat, p.ambient, air, math.nan), air


def seconds_to_limit(p: Any, table: Any) -> float:
    """Seconds a full-throttle pull lasts before the coolant reaches its limit.

    C dT/dt = Q - Q_shed(T), with the heat shed taken as a straight line between start and limit.

    Parameters
    ----------
    p : record
        One row of `PARAMS` with a pull in it.
    table : array
        From `materials.coolant.coolant_table`.

    Returns
    -------
    seconds : float
        inf if the limit is never reached, 0 if the start is past it, [s]
    """
    if p.pull_start >= p.limit:
        return 0.0
    at_start = p.heat - heat_shed_at(p, table, p.pull_start)
    at_limit = p.heat - heat_shed_at(p, table, p.limit)
    return balance.seconds_between(p.heat_store, p.limit - p.pull_start, at_start, at_limit)


def ambient_held(p: Any, table: Any) -> float:
    """Outside air at which the coolant, thermostat full open, just reaches its limit, [K]."""

    def excess(ambient: float) -> float:
        temperature = _coolant_root(p, table, p.heat, ambient, balance_air(p, p.heat, ambient), math.nan)
        return (balance.HOTTEST_COOLANT if math.isnan(temperature) else temperature) - p.limit

    low, high = balance.COLDEST_AMBIENT, balance.HOTTEST_AMBIENT
    if excess(low) >= 0.0 or excess(high) <= 0.0:
        return math.nan
    return float(brentq(excess, low, high, xtol=1e-9, rtol=1e-12))


def operating_point(p: Any, table: Any) -> Any:
    """Solve one record: air, coolant, fans and the ambient held; or a pull's seconds and its end.

    Parameters
    ----------
    p : record
        One row of `PARAMS`.
    table : array
        From `materials.coolant.coolant_table`.

    Returns
    -------
    record
        One row of `RESULT`.
    """
    result = blank(1, RESULT)[0]
    setup = balance.setup_of(p)
    if not math.isnan(p.pull_start):
        at_limit = heat_shed_at(p, table, p.limit)
        air = balance_air(p, at_limit, p.ambient)
        flow = radiator_flow(p, table, p.limit, 1.0)
        balance.fill_result(p, setup, table, at_limit, air[0], air[1], p.limit, p.limit, 1.0, flow, result)
        result.seconds_to_limit = seconds_to_limit(p, table)
        return result
    air = balance_air(p, p.heat, p.ambient)
    unregulated, coolant_in = balance_coolant(p, table, p.heat, p.ambient, air)
    opening, flow = 1.0, math.nan
    if coolant_in > unregulated:
        opening = _opening(p, coolant_in, engine_drop(p, table, p.heat, unregulated))
    if not math.isnan(coolant_in):
        flow = radiator_flow(p, table, coolant_in, opening)
    balance.fill_result(p, setup, table, p.heat, air[0], air[1], unregulated, coolant_in, opening, flow, result)
    if not math.isnan(p.limit):
        result.ambient_held = ambient_held(p, table)
    return result
