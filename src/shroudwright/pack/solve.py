"""The readable scalar solve: one point at a time, with scipy's roots. The reference for the kernel.

balance_air        air through every zone and stack
radiator_flow      coolant through the radiator at a thermostat lift
balance_coolant    coolant temperature that sheds the heat
heat_shed_at       heat shed with the coolant held at a temperature
operating_point    one record in, one result out
"""

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, root

from shroudwright.bench.errors import ShopError
from shroudwright.materials.coolant import coolant_properties
from shroudwright.pack import air_path, coolant_path
from shroudwright.pack.air_path import BESIDE, DRAWN, LEAST_AIR, PUSHED, ZONES, AirState
from shroudwright.pack.outcome import fill_result, seconds_between
from shroudwright.pack.params import RESULT, STACKS, blank

_TIGHT = {"xtol": 1e-13, "rtol": 8.9e-16, "maxiter": 200}
_STARTS = (1.0, 0.3, 3.0, 0.05, 0.6)
_BALANCED = 1e-9


class AirBalance(NamedTuple):
    """Air flows, shape (zones, stacks), kg/s as if the whole face passed them, and the air's state there."""

    flow: NDArray[np.float64]
    air: AirState


def balance_air(p: Any, heat: float, ambient: float) -> AirBalance:
    """Air through every zone and stack.

    One stack drawn through is one bracketed root; else every pressure is balanced at once, first without
    the stacks beside the fans, which only join where ram is left for them.

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
    flow : array
        What the whole face would pass at each zone's and stack's speed, [kg/s]
    air : AirState
        Temperatures and densities there.

    Raises
    ------
    ShopError
        If no balance is found.
    """
    path = _Path(p, heat, ambient)
    spots = path.spots(DRAWN) + path.spots(PUSHED)
    if air_path.is_still(p, path.setup, air_path.ram(p, ambient)):
        flow = np.zeros((ZONES, STACKS))
        flow[tuple(zip(*spots, strict=True))] = LEAST_AIR
        return AirBalance(flow, path.air(flow))
    flow = path.one(spots[0]) if len(spots) == 1 else path.all(spots)
    if path.spots(BESIDE) and path.left_beside(flow) > 0.0:
        flow = path.all(spots + path.spots(BESIDE))
    return AirBalance(flow, path.air(flow))


class _Path:
    """The air path of one record at one heat and ambient."""

    def __init__(self, p: Any, heat: float, ambient: float) -> None:
        self.p, self.heat, self.ambient = p, heat, ambient
        self.setup = air_path.setup_of(p)

    def spots(self, zone: int) -> list[tuple[int, int]]:
        """Zone and stack of every part of the face in a zone."""
        if air_path.zone_share(self.p, zone) <= 0.0:
            return []
        stacks = range(air_path.stack_count(self.p))
        return [(zone, coolers) for coolers in stacks if self.p.stack_share[coolers] > 0.0]

    def air(self, flow: NDArray[np.float64]) -> AirState:
        return air_path.air_state(self.p, self.setup, self.heat, self.ambient, flow)

    def before_and_behind(self, air: AirState) -> float:
        """Pressure left over the stacks beside the fans: ram less what all the air loses together."""
        return air_path.ram(self.p, self.ambient) - air_path.front_and_exit(self.p, self.setup, air, air.total)

    def left_beside(self, flow: NDArray[np.float64]) -> float:
        return self.before_and_behind(self.air(flow))

    def imbalances(self, flow: NDArray[np.float64], spots: list[tuple[int, int]]) -> list[float]:
        """What must be nothing: the fans' air, the helpers' air, and each further stack's pressure."""
        p, setup, air = self.p, self.setup, self.air(flow)
        lost = {spot: air_path.stack_drop(p, setup, air, spot[1], flow[spot]) for spot in spots}
        first = next(spot for spot in spots if spot[0] == DRAWN)
        pushed = next((spot for spot in spots if spot[0] == PUSHED), None)
        helped = air_path.zone_flow(p, flow, PUSHED)
        drawn = air_path.zone_flow(p, flow, DRAWN) + helped
        in_plenum = air_path.plenum_drop(p, setup, air, drawn, air_path.plenum_loss(p, setup, air, flow))
        rise = lost[first] + in_plenum - self.before_and_behind(air)
        scale = 1.0 + abs(lost[first])
        if p.fan_count < 1.0:
            found = [-rise / scale]
        else:
            standing = air_path.standing_share(p, setup, air, flow)
            fans = air_path.moved(p, setup, air, rise, False, standing)
            through = fans - air_path.leaked(p, air, rise, in_plenum)
            found = [(through - drawn) / max(drawn, LEAST_AIR)]
        if pushed is not None:
            more = air_path.moved(p, setup, air, lost[pushed] - lost[first], True, math.nan)
            found.append((more - helped) / helped)
        for spot in spots:
            if spot[0] == DRAWN and spot != first:
                found.append((lost[spot] - lost[first]) / scale)
            elif spot[0] == PUSHED and pushed is not None and spot != pushed:
                found.append((lost[spot] - lost[pushed]) / scale)
            elif spot[0] == BESIDE:
                found.append((lost[spot] - self.before_and_behind(air)) / scale)
        return found

    def one(self, spot: tuple[int, int]) -> NDArray[np.float64]:
        """Balance one stack, or the least flow where the pressures allow none."""
        flow = np.zeros((ZONES, STACKS))

        def imbalance(at: float) -> float:
            flow[spot] = at
            return self.imbalances(flow, [spot])[0]

        high = 1.0
        if imbalance(LEAST_AIR) > 0.0:
            while imbalance(high) > 0.0:
                high *= 2.0
            flow[spot] = brentq(imbalance, LEAST_AIR, high, **_TIGHT)
        return flow

    def all(self, spots: list[tuple[int, int]]) -> NDArray[np.float64]:
        """Balance several stacks at once, in the logarithms of their flows."""
        flow = np.zeros((ZONES, STACKS))

        def imbalances(logs: NDArray[np.float64]) -> list[float]:
            for spot, log in zip(spots, logs, strict=True):
                flow[spot] = math.exp(min(max(log, -20.0), 5.0))
            return self.imbalances(flow, spots)

        for start in _STARTS:
            found = root(imbalances, np.full(len(spots), math.log(start)), method="hybr", options={"xtol": 1e-14})
            if np.max(np.abs(imbalances(found.x))) <= _BALANCED:
                return flow
        raise ShopError("the air of this pack finds no balance")


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
        return float(coolant_path.known_flow(p, opening))
    rho, _, _, mu = coolant_properties(table, coolant_in)
    setup = air_path.setup_of(p)
    return float(
        brentq(
            lambda q: coolant_path.radiator_flow_imbalance(p, setup, rho, mu, opening, q),
            0.0,
            3.0 * p.pump_flow,
            **_TIGHT,
        )
    )


def _coolant_root(p: Any, table: Any, heat: float, balance: AirBalance, drop: float) -> float:
    """Coolant temperature that sheds the heat; full open where ``drop`` is nan."""
    flow, air = balance
    setup = air_path.setup_of(p)
    outside = np.zeros_like(flow)
    uneven = coolant_path.outside_conductance(p, setup, air, flow, outside)

    def excess(coolant_in: float) -> float:
        q = radiator_flow(p, table, coolant_in, coolant_path.thermostat_opening(p, coolant_in, drop))
        line = coolant_path.exchange(p, setup, table, heat, air, flow, outside, uneven, coolant_in, q)
        return line.per_kelvin * coolant_in - line.at_zero - heat

    hottest = coolant_path.HOTTEST_COOLANT
    if air.air_in >= hottest or excess(hottest) < 0.0:
        return math.nan
    return float(brentq(excess, air.mixed, hottest, **_TIGHT))


def balance_coolant(p: Any, table: Any, heat: float, balance: AirBalance) -> tuple[float, float]:
    """Coolant into the radiator with the thermostat full open, and with it at work.

    Parameters
    ----------
    p : record
        One row of `PARAMS`.
    table : array
        From `materials.coolant.coolant_table`.
    heat : float
        Heat to shed, [W]
    balance : AirBalance
        From `balance_air`.

    Returns
    -------
    coolant_unregulated, coolant_in : float
        nan where no temperature sheds the heat, [K]
    """
    unregulated = _coolant_root(p, table, heat, balance, math.nan)
    if p.thermostat <= 0.0 or math.isnan(unregulated):
        return unregulated, unregulated
    drop = engine_drop(p, table, heat, unregulated)
    if coolant_path.thermostat_opening(p, unregulated, drop) >= 1.0:
        return unregulated, unregulated
    return unregulated, _coolant_root(p, table, heat, balance, drop)


def engine_drop(p: Any, table: Any, heat: float, coolant_in: float) -> float:
    """Rise of the coolant through the engine with the thermostat full open, [K rise]."""
    flow = radiator_flow(p, table, coolant_in, 1.0)
    rho, cp, _, _ = coolant_properties(table, coolant_in)
    return coolant_path.coolant_drop(heat, flow / (1.0 - p.bypass_share), rho, cp)


def heat_shed_at(p: Any, table: Any, coolant_in: float) -> float:
    """Heat shed with the coolant held at a temperature, thermostat full open; 0 if the air is hotter, [W]."""

    def excess(heat: float) -> float:
        temperature, _ = balance_coolant_open(p, table, heat)
        return (coolant_path.HOTTEST_COOLANT if math.isnan(temperature) else temperature) - coolant_in

    if excess(coolant_path.LEAST_HEAT) >= 0.0:
        return 0.0
    high = 10e3
    while excess(high) < 0.0:
        high *= 2.0
    return float(brentq(excess, coolant_path.LEAST_HEAT, high, xtol=1e-6, rtol=1e-12))


def balance_coolant_open(p: Any, table: Any, heat: float) -> tuple[float, AirBalance]:
    """Coolant temperature with the thermostat full open at the record's own ambient, and the air."""
    balance = balance_air(p, heat, p.ambient)
    return _coolant_root(p, table, heat, balance, math.nan), balance


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
    return seconds_between(p.heat_store, p.limit - p.pull_start, at_start, at_limit)


def ambient_held(p: Any, table: Any) -> float:
    """Outside air at which the coolant, thermostat full open, just reaches its limit, [K]."""

    def excess(ambient: float) -> float:
        temperature = _coolant_root(p, table, p.heat, balance_air(p, p.heat, ambient), math.nan)
        return (coolant_path.HOTTEST_COOLANT if math.isnan(temperature) else temperature) - p.limit

    low, high = coolant_path.COLDEST_AMBIENT, coolant_path.HOTTEST_AMBIENT
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
    setup = air_path.setup_of(p)
    if not math.isnan(p.pull_start):
        at_limit = heat_shed_at(p, table, p.limit)
        flow, air = balance_air(p, at_limit, p.ambient)
        q = radiator_flow(p, table, p.limit, 1.0)
        fill_result(p, setup, table, at_limit, air, flow, p.limit, p.limit, 1.0, q, result)
        result.seconds_to_limit = seconds_to_limit(p, table)
        return result
    balance = balance_air(p, p.heat, p.ambient)
    unregulated, coolant_in = balance_coolant(p, table, p.heat, balance)
    opening, q = 1.0, math.nan
    if coolant_in > unregulated:
        opening = coolant_path.thermostat_opening(p, coolant_in, engine_drop(p, table, p.heat, unregulated))
    if not math.isnan(coolant_in):
        q = radiator_flow(p, table, coolant_in, opening)
    fill_result(p, setup, table, p.heat, balance.air, balance.flow, unregulated, coolant_in, opening, q, result)
    if not math.isnan(p.limit):
        result.ambient_held = ambient_held(p, table)
    return result
