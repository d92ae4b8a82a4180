"""A drive in time: metal, coolant, radiator, thermostat, sensor and fans, second by second.

Shed        heat the radiator sheds, and what the fans draw, in tables made of balanced packs
Circuit     coolant flow over engine speed and lift, in a table
NETWORK     one drive's numbers
Schedule    what the vehicle does, second by second
simulate    follow many drives of one schedule

C_m Tm' = Q - U (Tm - Tc) - L (Tm - Ta);  C_c Tc' = U (Tm - Tc) - w c (Tc - Tr);  C_r Tr' = w c (Tc - Tr) - q(Tr)

q is the heat a balanced pack sheds when its coolant leaves at Tr: so that a drive that settles settles where the pack
does. The lift follows the wax through a play as wide as the thermostat's hysteresis; the sensor lags twice, by the
coolant's way to it and by its own mass.
"""

import math
import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.compiled import batch, compilable
from shroudwright.circuit.pump import LEAK_LIFT
from shroudwright.control.plan import MAP, STAGES, Plan
from shroudwright.materials.coolant import coolant_properties
from shroudwright.pack.air_path import Setup, fans_of
from shroudwright.pack.kernel import AREAS, SHAPE, lay_cores, radiator_flow
from shroudwright.pack.params import MAX_AHEAD

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
    "shed_scale": "heat shed over the tables', [-]",
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

COLD = 353.15
"""Under this an engine counts as cold; measured on one car, [K]"""
DEAD_BAND = 1.0
"""Of a straight line, under its start, [K rise]"""
LEAST_FLOW, FOREVER, PAST, MOST_EFFECT = 1e-6, 1e9, 1e-7, 0.985
THICK, THIN = 350.0, 380.0
"""Coolant temperatures of a circuit's table, [K]"""
LIFTS = 81
"""Nodes of lift in a circuit's table"""
COLDEST_FIT, HOTTEST_FIT = 345.0, 390.0
"""Coolant between which its heat capacity is fitted, [K]"""
_FEWEST = 16
_STATE = np.dtype(
    [
        (name, np.float64)
        for name in (
            *("metal", "coolant", "radiator", "wax", "way", "sensor", "lift", "lift_rate"),
            *("stage", "share", "wound", "since", "started", "ran", "stopped_for", "is_cut"),
        )
    ]
)


class Shed(NamedTuple):
    """Tables over fan level, A/C, road speed, coolant flow and rise of the radiator's inlet over ambient."""

    speeds: Numbers
    """rising, [m/s]"""
    log_flow: float
    log_flow_step: float
    """of the flow nodes, natural logarithm of m**3/s"""
    rise: float
    rise_step: float
    """of the nodes, [K rise]"""
    drop: Numbers
    """(levels, 2, speeds, flows, rises) of the coolant across the radiator, [K]"""
    amps: Numbers
    """(levels, speeds), of all fans, [A]"""
    volts: Numbers
    """(levels, speeds), at the post, [V]"""


class Circuit(NamedTuple):
    """Radiator flow over the engine's speed and the lift."""

    rpm: float
    rpm_step: float
    flow: Numbers
    """(2, speeds, lifts from 0 to 1) with the coolant at `THICK` and at `THIN`, [m**3/s]"""
    capacity: Numbers
    """(4,) density times specific heat of the coolant as a cubic in K, [J/m**3/K]"""


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


@compilable
def _cubic(a: float, b: float, c: float, d: float, s: float) -> float:
    """Catmull and Rom's cubic between b and c."""
    return b + 0.5 * s * (c - a + s * (2.0 * a - 5.0 * b + 4.0 * c - d + s * (3.0 * (b - c) + d - a)))


@compilable
def _drop_at(
    drop: Any, level: int, cooled: int, at: int, share: float, log_flow: float, rise: float
) -> tuple[float, float]:
    """Drop of the coolant and its slope over the rise; flow and rise counted in nodes."""
    flows, rises = drop.shape[3], drop.shape[4]
    i = min(max(math.floor(log_flow), 1), flows - 3)
    s = min(max(log_flow - i, -1.0), 2.0)
    j = min(max(math.floor(rise + 0.5), 1), rises - 2)
    u = rise - j
    value, slope = 0.0, 0.0
    for side in range(2):
        weight = 1.0 - share if side == 0 else share
        if weight == 0.0:
            continue
        row = drop[level, cooled, at + side]
        low = _cubic(row[i - 1, j - 1], row[i, j - 1], row[i + 1, j - 1], row[i + 2, j - 1], s)
        mid = _cubic(row[i - 1, j], row[i, j], row[i + 1, j], row[i + 2, j], s)
        high = _cubic(row[i - 1, j + 1], row[i, j + 1], row[i + 1, j + 1], row[i + 2, j + 1], s)
        first, second = 0.5 * (high - low), high - 2.0 * mid + low
        value += weight * (mid + u * (first + 0.5 * u * second))
        slope += weight * (first + u * second)
    return value, slope


@compilable
def _flow_at(table: Any, rpm: float, rpm_step: float, rpm_now: float, lift: float, coolant: float) -> float:
    """Radiator flow: straight between the nodes of engine speed and lift, and over the coolant's temperature."""
    _, speeds, lifts = table.shape
    a = min(max((rpm_now - rpm) / rpm_step, 0.0), speeds - 1.0)
    i = min(int(a), speeds - 2)
    b = min(max(lift, 0.0), 1.0) * (lifts - 1)
    j = min(int(b), lifts - 2)
    s, u = a - i, b - j
    thin = min(max((coolant - THICK) / (THIN - THICK), -1.0), 2.0)
    value = 0.0
    for at in range(2):
        low = (1.0 - u) * table[at, i, j] + u * table[at, i, j + 1]
        high = (1.0 - u) * table[at, i + 1, j] + u * table[at, i + 1, j + 1]
        value += (thin if at == 1 else 1.0 - thin) * ((1.0 - s) * low + s * high)
    return value


@compilable
def _opened(temperature: float, opens: float, span: float) -> float:
    return min(max((temperature - opens) / span, 0.0), 1.0)


@compilable
def _level_of(share: float, levels: int) -> tuple[int, float]:
    """Fan level below a share of full, and the share of the way to the next."""
    at = min(max(share, 0.0), 1.0) * (levels - 1)
    low = min(int(at), levels - 2)
    return low, at - low


@compilable
def _asked(plan: Any, sensed: float, stage: float) -> float:
    """Stage that the sensor asks for, each stage with its own hysteresis."""
    if sensed >= plan.on_2 or (stage >= 2.0 and sensed > plan.off_2):
        return 2.0
    if sensed >= plan.on_1 or (stage >= 1.0 and sensed > plan.off_1):
        return 1.0
    return 0.0


@compilable
def _crossing(plan: Any, stage: float, before: float, after: float) -> float:
    """Share of a step at which the sensor reaches the next threshold; 1 where it does not."""
    first = 1.0
    if stage < 2.0:
        limit = plan.on_1 if stage < 1.0 else plan.on_2
        if before < limit <= after:
            first = (limit - before) / (after - before)
    if stage > 0.0:
        limit = plan.off_1 if stage < 2.0 else plan.off_2
        if after <= limit < before:
            first = min(first, (before - limit) / (before - after))
    return first


@compilable
def _started(s: Any, o: Any, time: float) -> None:
    o.starts_1 += 1.0
    if s.started >= 0.0:
        o.least_cycle = min(o.least_cycle, time - s.started)
    s.started, s.ran = time, 0.0


@compilable
def _in_stages(s: Any, plan: Any, cooled: bool, may_run: bool, levels: int, time: float, o: Any) -> None:
    """Set the fans' share of full by stages, each held for its least time."""
    asked = _asked(plan, s.sensor, s.stage)
    if cooled:
        asked = max(asked, min(plan.air_conditioning, 2.0))
    if not may_run:
        asked = 0.0
    if asked != s.stage and s.since >= (plan.least_on if s.stage > 0.0 else plan.least_off):
        if s.stage == 0.0:
            _started(s, o, time)
        if asked == 2.0 and s.stage < 2.0:
            o.starts_2 += 1.0
        s.stage, s.since = asked, 0.0
    s.share = min(s.stage / (levels - 1.0), 1.0)


@compilable
def _by_share(s: Any, plan: Any, cooled: bool, may_run: bool, h: float, time: float, o: Any) -> None:
    """Set the fans' share of full by a straight line over the sensor, or by a loop that seeks a temperature.

    A loop's integral is fed back what the limits cut off, so that it does not wind up.
    """
    if plan.way == MAP:
        if plan.start < s.sensor:
            wanted = plan.least + (1.0 - plan.least) * min((s.sensor - plan.start) / (plan.full - plan.start), 1.0)
        else:
            wanted = plan.least if s.share > 0.0 and s.sensor > plan.start - DEAD_BAND else 0.0
    else:
        aim = plan.gain * (s.sensor - plan.start) + s.wound
        wanted = min(max(aim, 0.0), 1.0)
        s.wound += h * plan.integral * ((s.sensor - plan.start) + (wanted - aim) / plan.gain)
        wanted = wanted if wanted >= plan.least else 0.0
    if cooled:
        wanted = max(wanted, min(plan.air_conditioning, 1.0))
    if not may_run:
        wanted = 0.0
    before, most = s.share, plan.ramp * h
    s.share = min(max(wanted, before - most), before + most)
    if s.share < plan.least:
        s.share = plan.least if wanted >= plan.least else 0.0
    if before == 0.0 and s.share > 0.0:
        _started(s, o, time)


@compilable
def _column(speeds: Any, speed: float) -> tuple[int, float]:
    """Speed node below, and the share of the way to the next."""
    at = 0
    while at < speeds.shape[0] - 2 and speed > speeds[at + 1]:
        at += 1
    return at, min(max((speed - speeds[at]) / (speeds[at + 1] - speeds[at]), 0.0), 1.0)


@compilable
def _sheds(s: Any, net: Any, shed: Any, cooled: int, at: int, v: float, flow: float, wc: float) -> tuple[float, float]:
    """Heat the radiator sheds now, [W], and how it grows with its own temperature, [W/K].

    What enters it is what would leave it at its temperature: drop = d + e (T_in - T_coolant) with T_in = T_radiator +
    drop, so drop = (d + e (T_radiator - T_coolant)) / (1 - e).
    """
    log_flow = (math.log(max(flow, LEAST_FLOW)) - shed.log_flow) / shed.log_flow_step
    rise = (s.coolant - net.ambient - shed.rise) / shed.rise_step
    low, part = _level_of(s.share, shed.drop.shape[0])
    d, e = _drop_at(shed.drop, low, cooled, at, v, log_flow, rise)
    if part > 0.0:
        d_up, e_up = _drop_at(shed.drop, low + 1, cooled, at, v, log_flow, rise)
        d, e = d + part * (d_up - d), e + part * (e_up - e)
    e = min(max(net.shed_scale * e / shed.rise_step, 0.0), MOST_EFFECT)
    each = net.shed_scale * wc / (1.0 - e)
    return each * d + wc / (1.0 - e) * e * (s.radiator - s.coolant), wc / (1.0 - e) * e


@compilable
def _at_level(table: Any, share: float, at: int, v: float) -> float:
    """Amps or volts at a share of full and a speed."""
    low, part = _level_of(share, table.shape[0])
    value = table[low, at] + v * (table[low, at + 1] - table[low, at])
    if part > 0.0:
        upper = table[low + 1, at] + v * (table[low + 1, at + 1] - table[low + 1, at])
        value += part * (upper - value)
    return value


@compilable
def _warmed(
    s: Any, net: Any, U: float, L: float, h: float, Q: float, q: float, slope: float, wc: float
) -> tuple[float, float, float]:
    """Changes of metal, coolant and radiator over a step: an implicit trapezoid of a chain, by elimination."""
    half = 0.5 * h
    f_metal = Q - U * (s.metal - s.coolant) - L * (s.metal - net.ambient)
    f_coolant = U * (s.metal - s.coolant) - wc * (s.coolant - s.radiator)
    f_radiator = wc * (s.coolant - s.radiator) - q
    a1 = net.metal_store + half * (U + L)
    a2 = net.coolant_store + half * (U + wc) - (half * U) ** 2 / a1
    a3 = net.radiator_store + half * (wc + slope) - (half * wc) ** 2 / a2
    g2 = h * f_coolant + half * U / a1 * h * f_metal
    g3 = h * f_radiator + half * wc / a2 * g2
    d3 = g3 / a3
    d2 = (g2 + half * wc * d3) / a2
    return (h * f_metal + half * U * d2) / a1, d2, d3


@compilable
def _sensed(s: Any, net: Any, h: float, d2: float, d3: float) -> tuple[float, float]:
    """Coolant at the sensor and the sensor itself after a step: two lags, one behind the other."""
    coolant, radiator = s.coolant + 0.5 * d2, s.radiator + 0.5 * d3
    there = coolant + net.sensor_place * (radiator - coolant)
    way = there + (s.way - there) * math.exp(-h / net.way_lag)
    between = 0.5 * (s.way + way)
    return way, between + (s.sensor - between) * math.exp(-h / net.sensor_lag)


@compilable
def _wax(s: Any, net: Any, h: float, at_wax: float) -> None:
    """Wax after its lag, lift after its play and its own lag."""
    wax = at_wax + (s.wax - at_wax) * math.exp(-h / net.wax_lag)
    middle = 0.5 * (s.wax + wax)
    up, down = _opened(middle, net.opens, net.span), _opened(middle + net.play, net.opens, net.span)
    aim = min(max(s.lift, up), down)
    lift = aim + (s.lift - aim) * math.exp(-h / net.valve_lag)
    s.lift_rate, s.lift = (lift - s.lift) / h, lift
    s.wax = wax


@compilable
def _begin(s: Any, net: Any, o: Any) -> None:
    s.metal = s.coolant = s.radiator = s.wax = s.way = s.sensor = net.start
    s.lift = _opened(s.wax, net.opens, net.span) if net.thermostat > 0.0 else 1.0
    s.lift_rate = 0.0
    s.stage = s.share = s.wound = s.ran = s.stopped_for = s.is_cut = 0.0
    s.since, s.started = FOREVER, -1.0
    o.peak, o.first_over, o.least_volts, o.least_cycle = net.start, math.inf, math.inf, math.inf
    o.over_limit = o.fan_share = o.full_share = o.starts_1 = o.starts_2 = o.energy = o.on_time = 0.0
    o.heat_in = o.heat_shed = o.heat_lost = 0.0


@compilable
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


@compilable
def _step(s: Any, net: Any, shed: Any, circuit: Any, plan: Any, schedule: Any, k: int, left: float, o: Any) -> float:
    """Follow one step, or the part of it up to the sensor's next threshold; return the time taken."""
    rpm, speed = schedule.rpm[k], schedule.speed[k]
    runs, time = rpm > 0.0, (k + 1) * schedule.step - left
    cooled = int(runs and schedule.air_conditioning[k] > 0.0)
    may_run = (runs or s.stopped_for <= plan.after_run) and not (s.is_cut > 0.0 and s.sensor < plan.hot)
    if plan.way == STAGES:
        _in_stages(s, plan, cooled > 0, may_run, shed.drop.shape[0], time, o)
    else:
        _by_share(s, plan, cooled > 0, may_run, left, time, o)
    at, v = _column(shed.speeds, speed)
    flow, whole = 0.0, 0.0
    if runs:
        lift = min(max(s.lift + 0.5 * left * s.lift_rate, 0.0), 1.0) if net.thermostat > 0.0 else 1.0
        flow = net.flow_scale * _flow_at(circuit.flow, circuit.rpm, circuit.rpm_step, rpm, lift, s.coolant)
        whole = net.flow_scale * _flow_at(circuit.flow, circuit.rpm, circuit.rpm_step, rpm, 1.0, s.coolant)
    mean = 0.5 * (s.coolant + s.radiator)
    c = circuit.capacity
    capacity = c[0] + mean * (c[1] + mean * (c[2] + mean * c[3]))
    q, slope = _sheds(s, net, shed, cooled, at, v, flow, max(flow, LEAST_FLOW) * capacity)
    Q = net.heat_scale * schedule.heat[k] * (net.cold_factor if s.coolant < COLD else 1.0)
    U, L = (net.metal_to_coolant, 0.0) if runs else (net.metal_to_still, net.metal_to_air)
    h = left
    d1, d2, d3 = _warmed(s, net, U, L, h, Q, q, slope, flow * capacity)
    way, sensor = _sensed(s, net, h, d2, d3)
    if plan.way == STAGES:
        share = _crossing(plan, s.stage, s.sensor, sensor) * (1.0 + PAST) + PAST
        if share < 1.0:
            h *= share
            d1, d2, d3 = _warmed(s, net, U, L, h, Q, q, slope, flow * capacity)
            way, sensor = _sensed(s, net, h, d2, d3)
    o.heat_in += h * Q
    o.heat_lost += h * L * (s.metal + 0.5 * d1 - net.ambient)
    o.heat_shed += h * (q + 0.5 * slope * d3)
    at_wax = s.coolant + 0.5 * d2
    if net.thermostat > 1.0 and runs:
        at_wax -= Q * (1.0 - net.bypass_share) / (whole * capacity)
    s.metal, s.coolant, s.radiator, s.way, s.sensor = s.metal + d1, s.coolant + d2, s.radiator + d3, way, sensor
    if net.thermostat > 0.0:
        _wax(s, net, h, at_wax)
    _count(s, net, o, h, time, _at_level(shed.amps, s.share, at, v), _at_level(shed.volts, s.share, at, v))
    s.since += h
    return h


@batch
def _follow(
    nets: Any, shed: Any, circuit: Any, plan: Any, schedule: Any, every: int, states: Any, traces: Any, out: Any
) -> None:
    """Follow each drive; ``traces`` keeps coolant, sensor, share of full and lift every so many steps."""
    for n in range(nets.shape[0]):
        net, s, o = nets[n], states[n], out[n]
        _begin(s, net, o)
        for k in range(schedule.heat.shape[0]):
            if every > 0 and k % every == 0:
                row = traces[n, k // every]
                row[0], row[1], row[2], row[3] = s.coolant, s.sensor, s.share, s.lift
            s.stopped_for = 0.0 if schedule.rpm[k] > 0.0 else s.stopped_for + schedule.step
            if schedule.speed[k] > plan.cut_above:
                s.is_cut = 1.0
            elif schedule.speed[k] < plan.cut_below:
                s.is_cut = 0.0
            left = schedule.step
            while left > 1e-9 * schedule.step:
                left -= _step(s, net, shed, circuit, plan, schedule, k, left, o)
        time = schedule.heat.shape[0] * schedule.step
        o.fan_share /= time
        o.full_share /= time
        o.end = s.coolant
        o.heat_kept = net.metal_store * (s.metal - net.start) + net.coolant_store * (s.coolant - net.start)
        o.heat_kept += net.radiator_store * (s.radiator - net.start)


@batch
def _flows(
    params: Any,
    table: Any,
    warm: float,
    lifts: Any,
    cores: Any,
    shapes: Any,
    surfaces: Any,
    areas: Any,
    out: Any,
) -> None:
    for i in range(params.shape[0]):
        lay_cores(params[i], cores, surfaces)
        volts, speed = fans_of(params[i])
        setup = Setup(shapes[0], areas[0], shapes[1:], areas[1:], volts, speed)
        flow = params[i].pump_flow
        for j in range(lifts.shape[0] - 1, -1, -1):
            out[i, j] = flow = radiator_flow(params[i], setup, table, warm, lifts[j], flow)


def circuit_of(params: NDArray[Any], rpm: Numbers, table: Numbers) -> Circuit:
    """Work out the radiator's flow over engine speed and lift.

    Parameters
    ----------
    params : array
        Rows of `PARAMS`, one for each engine speed.
    rpm : array
        Those speeds, evenly spaced, [rpm]
    table : array
        From `materials.coolant.coolant_table`.

    Returns
    -------
    Circuit
    """
    lifts = np.maximum(np.linspace(0.0, 1.0, LIFTS), LEAK_LIFT)
    flow = np.zeros((2, len(params), LIFTS))
    shapes, areas = np.zeros(1 + MAX_AHEAD, SHAPE), np.zeros(1 + MAX_AHEAD, AREAS)
    cores, surfaces = (kept.view(np.float64).reshape(1 + MAX_AHEAD, -1) for kept in (shapes, areas))
    for at, warm in enumerate((THICK, THIN)):
        _flows(params, table, warm, lifts, cores, shapes, surfaces, areas, flow[at])
    coolant = np.linspace(COLDEST_FIT, HOTTEST_FIT, 9)
    heats = np.array([rho * cp for rho, cp, _, _ in (coolant_properties(table, float(T)) for T in coolant)])
    capacity = np.array([float(each) for each in np.polynomial.Polynomial.fit(coolant, heats, 3).convert().coef])
    return Circuit(float(rpm[0]), float(rpm[1] - rpm[0]), flow, capacity)


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
    Accuracy: at a step of 0.25 s within 0.05 K of the same equations solved to 1e-9; the lumps are the guess.

    References
    ----------
    Lumped heat balances; steady heat from the balanced pack. Lags and hysteresis: see `job.driving`.
    """
    out = np.zeros(len(nets), OUTCOME).view(np.recarray)
    states = np.zeros(len(nets), _STATE)
    kept = -(-len(schedule.heat) // every) if every else 0
    traces = np.zeros((len(nets), kept, 4))
    cores = min(os.cpu_count() or 1, max(1, len(nets) // _FEWEST))
    edges = np.linspace(0, len(nets), cores + 1).astype(int)

    def part(edge: tuple[int, int]) -> None:
        rows = slice(*edge)
        _follow(nets[rows], shed, circuit, plan, schedule, every, states[rows], traces[rows], out[rows])

    with ThreadPoolExecutor(cores) as pool:
        list(pool.map(part, pairwise(edges)))
    return Followed(out, traces if every else None)
