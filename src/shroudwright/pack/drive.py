"""A drive in time: metal, coolant, radiator, thermostat, sensor and fans, second by second.

NETWORK     one drive's numbers
OUTCOME     what came of it
Schedule    what the vehicle does, second by second
simulate    follow many drives of one schedule

C_m Tm' = Q - U (Tm - Tc) - L (Tm - Ta);  C_c Tc' = U (Tm - Tc) - w c (Tc - Tr);  C_r Tr' = w c (Tc - Tr) - q(Tr)

q is the heat a balanced pack sheds when its coolant leaves at Tr: so that a drive that settles settles where the pack
does. The lift follows the wax through a play as wide as the thermostat's hysteresis; the sensor lags twice, by the
coolant's way to it and by its own mass.

Over a step the three lumps have constant coefficients, y' = M y + b, and take h (I - hM/2 + (hM)**2/12)**-1 y'(0): the
exponential to the fifth power of h. Lags follow straight lines exactly. A step ends where the sensor meets a threshold.
"""

import math
import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.compiled import batch, compilable, inlined
from shroudwright.control.plan import STAGES, Plan
from shroudwright.pack.drive_fans import by_share, crossing, in_stages, is_held_off
from shroudwright.pack.drive_tables import (
    LEAST_FLOW,
    MOST_EFFECT,
    Circuit,
    Shed,
    at_level,
    column,
    drop_at,
    flow_at,
    level_of,
)

Numbers = NDArray[np.float64]

NETWORK_FIELDS = {
    "ambient": "[K]",
    "metal_store": "engine metal and oil, [J/K]",
    "coolant_store": "coolant in the engine, [J/K]",
    "radiator_store": "core and the coolant in it, [J/K]",
    "metal_to_coolant": "conductance with the engine turning, [W/K]",
    "metal_to_still": "conductance to coolant that stands, [W/K]",
    "metal_to_air": "conductance to what is under the hood with the engine stopped, [W/K]",
    "heat_scale": "heat over the schedule's, [-]",
    "shed_scale": "heat shed over the tables', coolant leaving as hot, [-]",
    "flow_scale": "coolant flow over the table's, [-]",
    "bypass_share": "of the pump's flow, [-]",
    "thermostat": "0 none, 1 at the engine's outlet, 2 at its inlet",
    "opens": "[K]",
    "span": "[K rise]",
    "play": "hysteresis of the thermostat, [K rise]",
    "wax_lag": "[s]",
    "valve_lag": "[s]",
    "way_lag": "coolant's way to the sensor, [s]",
    "sensor_lag": "[s]",
    "sensor_place": "0 engine outlet, 1 radiator outlet, between: share of the way, [-]",
    "cold_factor": "heat of a cold engine over that of a warm one, [-]",
    "limit": "[K]",
    "start": "temperature of everything at the start, [K]",
}
NETWORK = np.dtype([(name, np.float64) for name in NETWORK_FIELDS])

OUTCOME_FIELDS = {
    "peak": "hottest coolant out of the engine, [K]",
    "over_limit": "time past the limit, [s]",
    "first_over": "time of first passing it; inf if never, [s]",
    "fan_share": "time any fan ran over all time, [-]",
    "starts_1": "of the first stage, or of any fan, [-]",
    "starts_2": "of the second stage, [-]",
    "least_cycle": "shortest time from start to start; inf under two, [s]",
    "energy": "electrical, of the fans, [J]",
    "least_volts": "[V]",
    "full_share": "time all fans ran full over all time, [-]",
    "heat_in": "given to metal and coolant, [J]",
    "heat_shed": "by the radiator, [J]",
    "heat_lost": "to what is under the hood, [J]",
    "heat_kept": "stored from start to end, [J]",
    "end": "coolant out of the engine at the end, [K]",
    "on_time": "of the longest run of the first stage, [s]",
}
OUTCOME = np.dtype([(name, np.float64) for name in OUTCOME_FIELDS])

COLD, WARM = 348.15, 358.15
"""Between these a cold engine's heat fades to a warm one's; 80 C is the middle, measured on one car, [K]"""
FOREVER, PAST = 1e9, 1e-7
_FEWEST = 16
_STATE = np.dtype(
    [
        (name, np.float64)
        for name in (
            *("metal", "coolant", "radiator", "wax", "way", "sensor", "enters", "lift", "lift_rate"),
            *("stage", "share", "wound", "since", "started", "ran", "is_hot"),
        )
    ]
)
_ROAD = np.dtype(
    [
        *((name, np.int32) for name in ("at", "rpm_at", "runs", "cooled", "may_run", "is_cut")),
        *((name, np.float64) for name in ("along", "rpm_along", "heat")),
    ]
)
"""One step of the road: places in the tables of speed and engine speed, and what does not hang on temperatures"""


class Schedule(NamedTuple):
    """One value for every step."""

    step: float
    """[s]"""
    heat: Numbers
    """to metal and coolant, [W]"""
    rpm: Numbers
    """0 with the engine stopped"""
    speed: Numbers
    """[m/s]"""
    air_conditioning: Numbers
    """1 or 0"""


class _Left(NamedTuple):
    """What is left of each lag after a step, [-]."""

    way: float
    sensor: float
    wax: float
    valve: float


@inlined
def _left_after(net: Any, h: float) -> _Left:
    return _Left(
        math.exp(-h / net.way_lag),
        math.exp(-h / net.sensor_lag),
        math.exp(-h / net.wax_lag),
        math.exp(-h / net.valve_lag),
    )


@inlined
def _lagged(x: float, start: float, change: float, late: float, left: float) -> float:
    """Lag behind a straight line that starts somewhere and changes by so much; ``late``: of the lag over the step."""
    behind = change * late
    return start + change - behind + (x - start + behind) * left


@inlined
def _opened(temperature: float, opens: float, span: float) -> float:
    return min(max((temperature - opens) / span, 0.0), 1.0)


@inlined
def _warmed(
    s: Any, net: Any, U: float, L: float, h: float, Q: float, q: float, slope: float, wc: float
) -> tuple[float, float, float, float, float, float]:
    """Changes of metal, coolant and radiator over a step, and how far their means lie from half-way."""
    a, b, c = h / net.metal_store, h / net.coolant_store, h / net.radiator_store
    f1 = a * (Q - U * (s.metal - s.coolant) - L * (s.metal - net.ambient))
    f2 = b * (U * (s.metal - s.coolant) - wc * (s.coolant - s.radiator))
    f3 = c * (wc * (s.coolant - s.radiator) - q)
    A12, A21, A23, A32 = a * U, b * U, b * wc, c * wc
    A11, A22, A33 = -A12 - a * L, -A21 - A23, -A32 - c * slope
    D11 = 1.0 - 0.5 * A11 + (A11 * A11 + A12 * A21) / 12.0
    D12 = A12 * ((A11 + A22) / 12.0 - 0.5)
    D13 = A12 * A23 / 12.0
    D21 = A21 * ((A11 + A22) / 12.0 - 0.5)
    D22 = 1.0 - 0.5 * A22 + (A21 * A12 + A22 * A22 + A23 * A32) / 12.0
    D23 = A23 * ((A22 + A33) / 12.0 - 0.5)
    D31 = A32 * A21 / 12.0
    D32 = A32 * ((A22 + A33) / 12.0 - 0.5)
    D33 = 1.0 - 0.5 * A33 + (A32 * A23 + A33 * A33) / 12.0
    by2, by3 = D21 / D11, D31 / D11
    D22, D23, f2 = D22 - by2 * D12, D23 - by2 * D13, f2 - by2 * f1
    D32, D33, f3 = D32 - by3 * D12, D33 - by3 * D13, f3 - by3 * f1
    by3 = D32 / D22
    d3 = (f3 - by3 * f2) / (D33 - by3 * D23)
    d2 = (f2 - D23 * d3) / D22
    d1 = (f1 - D12 * d2 - D13 * d3) / D11
    m1 = -(A11 * d1 + A12 * d2) / 12.0
    m2 = -(A21 * d1 + A22 * d2 + A23 * d3) / 12.0
    m3 = -(A32 * d2 + A33 * d3) / 12.0
    return d1, d2, d3, m1, m2, m3


@inlined
def _sensed(s: Any, net: Any, h: float, left: _Left, start: float, change: float) -> tuple[float, float]:
    """Coolant at the sensor and the sensor itself after a step: two lags, one behind the other."""
    a, b = net.way_lag, net.sensor_lag
    a += 1e-6 * b if a == b else 0.0
    rate = change / h
    gap = s.way - start + a * rate
    way = start + change - a * rate + gap * left.way
    through = gap * a / (a - b)
    late = (a + b) * rate
    return way, start + change - late + through * left.way + (s.sensor - start + late - through) * left.sensor


@inlined
def _wax(s: Any, net: Any, h: float, left: _Left, start: float, change: float) -> None:
    """Wax after its lag, lift after its play and its own lag."""
    wax = _lagged(s.wax, start, change, net.wax_lag / h, left.wax)
    aim = min(max(s.lift, _opened(s.wax, net.opens, net.span)), _opened(s.wax + net.play, net.opens, net.span))
    then = min(max(s.lift, _opened(wax, net.opens, net.span)), _opened(wax + net.play, net.opens, net.span))
    s.lift = _lagged(s.lift, aim, then - aim, net.valve_lag / h, left.valve)
    s.lift_rate = (then - s.lift) / net.valve_lag
    s.wax = wax


@compilable
def _begin(s: Any, net: Any, o: Any) -> None:
    s.metal = s.coolant = s.radiator = s.wax = s.way = s.sensor = s.enters = net.start
    s.lift = _opened(s.wax, net.opens, net.span) if net.thermostat > 0.0 else 1.0
    s.lift_rate = 0.0
    s.stage = s.share = s.wound = s.ran = s.is_hot = 0.0
    s.since, s.started = FOREVER, -1.0
    o.peak, o.first_over, o.least_volts, o.least_cycle = net.start, math.inf, math.inf, math.inf
    o.over_limit = o.fan_share = o.full_share = o.starts_1 = o.starts_2 = o.energy = o.on_time = 0.0
    o.heat_in = o.heat_shed = o.heat_lost = 0.0


@inlined
def _count(s: Any, net: Any, o: Any, h: float, time: float, amps: float, volts: float) -> None:
    o.energy += h * amps * volts
    o.least_volts = min(o.least_volts, volts)
    if s.share > 0.0:
        o.fan_share += h
        s.ran += h
        o.on_time = max(o.on_time, s.ran)
    if s.share >= 1.0:
        o.full_share += h
    if s.coolant > net.limit:
        o.over_limit += h
        o.first_over = min(o.first_over, time)
    o.peak = max(o.peak, s.coolant)


@inlined
def _sheds(
    s: Any, net: Any, shed: Any, road: Any, low: int, part: float, flow: float, wc: float
) -> tuple[float, float]:
    """Heat the radiator sheds now, [W], and how it grows with its own temperature, [W/K].

    What enters it is what would leave it at its temperature. About what entered a step ago, x: drop = d + e (T_in - x)
    with T_in = T_radiator + drop, so drop = (d + e (T_radiator - x)) / (1 - e).
    """
    d, e = drop_at(shed, low, part, road.cooled, road.at, road.along, flow, s.enters - net.ambient)
    e = min(max(e, 0.0), MOST_EFFECT)
    drop = (d + e * (s.radiator - s.enters)) / (1.0 - e)
    s.enters = s.radiator + drop
    return net.shed_scale * wc * drop, net.shed_scale * wc * e / (1.0 - e)


@inlined
def _step(
    s: Any, net: Any, shed: Any, circuit: Any, plan: Any, road: Any, h: float, left: _Left, o: Any, time: float
) -> float:
    """Follow one step, or the part of it up to the sensor's next threshold; return the time taken."""
    runs, cooled = road.runs > 0, road.cooled > 0
    may_run = road.may_run > 0 and not is_held_off(s, plan, road.is_cut > 0)
    if plan.way == STAGES:
        in_stages(s, plan, cooled, may_run, shed.drop.shape[0], time, o)
    else:
        by_share(s, plan, cooled, may_run, h, time, o)
    low, part = level_of(s.share, shed.drop.shape[0])
    flow, whole = 0.0, 0.0
    if runs:
        lift = s.lift + 0.5 * h * s.lift_rate if net.thermostat > 0.0 else 1.0
        flow = net.flow_scale * flow_at(circuit.flow, road.rpm_at, road.rpm_along, lift, s.coolant)
        if net.thermostat > 1.0:
            whole = net.flow_scale * flow_at(circuit.flow, road.rpm_at, road.rpm_along, 1.0, s.coolant)
    mean = 0.5 * (s.coolant + s.radiator)
    c = circuit.capacity
    capacity = c[0] + mean * (c[1] + mean * (c[2] + mean * c[3]))
    wetted = max(flow, LEAST_FLOW)
    q, slope = _sheds(s, net, shed, road, low, part, wetted, wetted * capacity)
    cold = min(max((WARM - s.coolant) / (WARM - COLD), 0.0), 1.0)
    Q = net.heat_scale * road.heat * (1.0 + (net.cold_factor - 1.0) * cold)
    U, L = (net.metal_to_coolant, 0.0) if runs else (net.metal_to_still, net.metal_to_air)
    wc = flow * capacity
    d1, d2, d3, m1, m2, m3 = _warmed(s, net, U, L, h, Q, q, slope, wc)
    place = net.sensor_place
    start, change = s.coolant + m2 + place * (s.radiator + m3 - s.coolant - m2), d2 + place * (d3 - d2)
    way, sensor = _sensed(s, net, h, left, start, change)
    if plan.way == STAGES:
        per = h / net.sensor_lag
        share = crossing(plan, s.stage, s.sensor, sensor, per * (s.way - s.sensor), per * (way - sensor))
        if share < 1.0:
            h *= min(share + PAST, 1.0)
            left = _left_after(net, h)
            d1, d2, d3, m1, m2, m3 = _warmed(s, net, U, L, h, Q, q, slope, wc)
            start, change = s.coolant + m2 + place * (s.radiator + m3 - s.coolant - m2), d2 + place * (d3 - d2)
            way, sensor = _sensed(s, net, h, left, start, change)
    o.heat_in += h * Q
    o.heat_lost += h * L * (s.metal + 0.5 * d1 + m1 - net.ambient)
    o.heat_shed += h * (q + slope * (0.5 * d3 + m3))
    if net.thermostat > 0.0:
        warmer = Q * (1.0 - net.bypass_share) / (whole * capacity) if net.thermostat > 1.0 and runs else 0.0
        _wax(s, net, h, left, s.coolant + m2 - warmer, d2)
    s.metal, s.coolant, s.radiator, s.way, s.sensor = s.metal + d1, s.coolant + d2, s.radiator + d3, way, sensor
    amps = at_level(shed.amps, low, part, road.at, road.along)
    volts = at_level(shed.volts, low, part, road.at, road.along)
    _count(s, net, o, h, time, amps, volts)
    s.since += h
    return h


@batch
def _laid(shed: Any, circuit: Any, plan: Any, schedule: Any, roads: Any) -> None:
    """Write what each step asks of a drive, whatever its temperatures."""
    stopped_for, is_cut, speeds = 0.0, 0, circuit.flow.shape[1]
    for k in range(roads.shape[0]):
        road, speed = roads[k], schedule.speed[k]
        road.at, road.along = column(shed.speeds, speed)
        along = min(max((schedule.rpm[k] - circuit.rpm) / circuit.rpm_step, 0.0), speeds - 1.0)
        road.rpm_at = min(int(along), speeds - 2)
        road.rpm_along = along - road.rpm_at
        runs = schedule.rpm[k] > 0.0
        stopped_for = 0.0 if runs else stopped_for + schedule.step
        if speed > plan.cut_above:
            is_cut = 1
        elif speed < plan.cut_below:
            is_cut = 0
        road.runs, road.is_cut, road.heat = int(runs), is_cut, schedule.heat[k]
        road.cooled = int(runs and schedule.air_conditioning[k] > 0.0)
        road.may_run = int(runs or stopped_for <= plan.after_run)


@batch
def _follow(
    nets: Any,
    shed: Any,
    circuit: Any,
    plan: Any,
    roads: Any,
    step: float,
    every: int,
    states: Any,
    traces: Any,
    out: Any,
) -> None:
    """Follow each drive; ``traces`` keeps coolant, sensor, share of full and lift every so many steps."""
    for n in range(nets.shape[0]):
        net, s, o = nets[n], states[n], out[n]
        _begin(s, net, o)
        whole = _left_after(net, step)
        for k in range(roads.shape[0]):
            if every > 0 and k % every == 0:
                row = traces[n, k // every]
                row[0], row[1], row[2], row[3] = s.coolant, s.sensor, s.share, s.lift
            gone = _step(s, net, shed, circuit, plan, roads[k], step, whole, o, k * step)
            while step - gone > 1e-9 * step:
                h = step - gone
                gone += _step(s, net, shed, circuit, plan, roads[k], h, _left_after(net, h), o, k * step + gone)
        time = roads.shape[0] * step
        o.fan_share /= time
        o.full_share /= time
        o.end = s.coolant
        o.heat_kept = net.metal_store * (s.metal - net.start) + net.coolant_store * (s.coolant - net.start)
        o.heat_kept += net.radiator_store * (s.radiator - net.start)


class Followed(NamedTuple):
    """Drives as they went."""

    outcome: NDArray[Any]
    """rows of `OUTCOME`, one per drive"""
    traces: Numbers | None
    """(drives, kept steps, 4): coolant out of the engine and sensor, [K], fans' share of full and lift, [-]"""


def simulate(
    nets: NDArray[Any], shed: Shed, circuit: Circuit, plan: Plan, schedule: Schedule, *, every: int = 0
) -> Followed:
    """Follow drives of one schedule under one plan, on all cores.

    Parameters
    ----------
    nets : array
        Rows of `NETWORK`, one per drive.
    shed : Shed
        What radiator and fans do at their levels.
    circuit : Circuit
        Coolant flow.
    plan : Plan
        What the controller is set to.
    schedule : Schedule
        What the vehicle does.
    every : int
        Steps between what is kept of the traces; 0 keeps none.

    Returns
    -------
    Followed
        What came of each drive.

    Notes
    -----
    Limits: three lumps, mixed through; no boiling; outside the tables heat goes on as at their ends.
    Accuracy: at a step of 1 s within 0.1 K of the same equations solved to 1e-8; the lumps are the guess.

    References
    ----------
    Lumped heat balances; steady heat from the balanced pack. Lags and hysteresis: see `job.driving`.
    """
    out = np.zeros(len(nets), OUTCOME).view(np.recarray)
    roads = np.zeros(len(schedule.heat), _ROAD)
    _laid(shed, circuit, plan, schedule, roads)
    states = np.zeros(len(nets), _STATE)
    kept = -(-len(schedule.heat) // every) if every else 0
    traces = np.zeros((len(nets), kept, 4))
    cores = min(os.cpu_count() or 1, max(1, len(nets) // _FEWEST))
    edges = np.linspace(0, len(nets), cores + 1).astype(int)

    def part(edge: tuple[int, int]) -> None:
        rows = slice(*edge)
        _follow(nets[rows], shed, circuit, plan, roads, schedule.step, every, states[rows], traces[rows], out[rows])

    if cores == 1:
        part((0, len(nets)))
    else:
        with ThreadPoolExecutor(cores) as pool:
            list(pool.map(part, pairwise(edges)))
    return Followed(out, traces if every else None)
