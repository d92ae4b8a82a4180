"""A drive solved apart from `pack.drive`: equations written anew, LSODA at a tight tolerance, switches as events."""

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from scipy.integrate import solve_ivp

from shroudwright.control.plan import Plan
from shroudwright.pack.drive import COLD, WARM, Schedule
from shroudwright.pack.drive_tables import THICK, THIN, Circuit, Shed

METAL, COOLANT, RADIATOR, WAX, WAY, SENSOR, LIFT = range(7)
TIGHT, LONGEST = 1e-8, 2.0
SAME = 1e-10
"""Kelvin to which what enters the radiator is found"""


class Run(NamedTuple):
    """What came of a drive."""

    time: np.ndarray
    coolant: np.ndarray
    switched: np.ndarray

    def switches(self, before: float) -> int:
        """Changes of the fans' level up to a time."""
        return int(np.count_nonzero(self.switched < before))


def _clip(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


def _opened(T: float, opens: float, span: float) -> float:
    return _clip((T - opens) / span, 0.0, 1.0)


def _hermite(at: float, nodes: list[float]) -> tuple[float, float]:
    """Cubic with the nodes' central differences as its slopes, and its own slope; straight on past the ends."""
    i = int(_clip(math.floor(at), 1, len(nodes) - 3))
    s = _clip(at - i, -1.0, 2.0)
    p, q = nodes[i], nodes[i + 1]
    m, n = 0.5 * (q - nodes[i - 1]), 0.5 * (nodes[i + 2] - p)
    value = (1 + 2 * s) * (1 - s) ** 2 * p + s * (1 - s) ** 2 * m + s * s * (3 - 2 * s) * q + s * s * (s - 1) * n
    slope = 6 * s * (s - 1) * (p - q) + (1 - s) * (1 - 3 * s) * m + s * (3 * s - 2) * n
    return value + slope * (at - i - s), slope


class _Road:
    """One stretch on which the vehicle asks the same: what radiator and circuit make of it."""

    def __init__(
        self, net: Any, shed: Shed, circuit: Circuit, heat: float, rpm: float, speed: float, cooled: float
    ) -> None:
        self.shed, self.circuit, self.heat, self.runs = shed, circuit, heat, rpm > 0.0
        i = int(_clip(np.searchsorted(shed.speeds, speed, "right") - 1, 0, len(shed.speeds) - 2))
        v = _clip((speed - shed.speeds[i]) / (shed.speeds[i + 1] - shed.speeds[i]), 0.0, 1.0)
        drop = shed.drop[:, int(self.runs and cooled > 0.0)]
        self.drop = ((1.0 - v) * drop[:, i] + v * drop[:, i + 1]).transpose(0, 2, 1).tolist()
        nodes = circuit.rpm + circuit.rpm_step * np.arange(circuit.flow.shape[1])
        at = np.clip(rpm, nodes[0], nodes[-1])
        lifts = range(circuit.flow.shape[2])
        self.flows = [
            [float(net["flow_scale"] * np.interp(at, nodes, each[:, j])) for j in lifts] for each in circuit.flow
        ]

    def flow(self, lift: float, coolant: float) -> float:
        """Through the radiator, straight between nodes."""
        if not self.runs:
            return 0.0
        at = _clip(lift, 0.0, 1.0) * (len(self.flows[0]) - 1)
        j = min(int(at), len(self.flows[0]) - 2)
        thick, thin = (each[j] + (at - j) * (each[j + 1] - each[j]) for each in self.flows)
        return thick + _clip((coolant - THICK) / (THIN - THICK), -1.0, 2.0) * (thin - thick)

    def drop_between(self, level: int, flow: float, leaves: float, guess: float, ambient: float) -> float:
        """Drop of coolant that comes in so hot that it leaves at a temperature, by Newton's method."""
        shed = self.shed
        along = (math.log(flow) - shed.log_flow) / shed.log_flow_step
        i = int(_clip(math.floor(along), 1, shed.drop.shape[3] - 3))
        near = [_hermite(_clip(along, i - 1.0, i + 2.0), row)[0] for row in self.drop[level]]
        enters = guess
        for _ in range(30):
            drop, slope = _hermite((enters - ambient - shed.rise) / shed.rise_step, near)
            off = enters - leaves - drop
            enters -= off / (1.0 - min(slope / shed.rise_step, 0.985))
            if abs(off) < SAME:
                break
        return enters - leaves


def _slope_of(net: Any, road: _Road, level: int) -> Callable[[float, np.ndarray], list[float]]:
    """Rates of the seven states on a stretch of road with its fans at a level."""
    known = {name: float(net[name]) for name in net.dtype.names}
    Ta, place, opens, span = (known[name] for name in ("ambient", "sensor_place", "opens", "span"))
    U = known["metal_to_coolant"] if road.runs else known["metal_to_still"]
    L = 0.0 if road.runs else known["metal_to_air"]
    c = [float(each) for each in road.circuit.capacity]

    def slope(_: float, y: np.ndarray) -> list[float]:
        Tm, Tc, Tr, wax, way, sensor, x = (float(each) for each in y)
        flow = road.flow(x if known["thermostat"] else 1.0, Tc)
        mean = 0.5 * (Tc + Tr)
        heat_capacity = c[0] + c[1] * mean + c[2] * mean**2 + c[3] * mean**3
        wetted = max(flow, 1e-6)
        q = known["shed_scale"] * wetted * heat_capacity * road.drop_between(level, wetted, Tr, Tc, Ta)
        wc = flow * heat_capacity
        Q = known["heat_scale"] * road.heat
        Q *= 1.0 + (known["cold_factor"] - 1.0) * _clip((WARM - Tc) / (WARM - COLD), 0.0, 1.0)
        by_wax = Tc
        if known["thermostat"] > 1.0 and road.runs:
            by_wax -= Q * (1.0 - known["bypass_share"]) / (road.flow(1.0, Tc) * heat_capacity)
        aim = min(max(x, _opened(wax, opens, span)), _opened(wax + known["play"], opens, span))
        return [
            (Q - U * (Tm - Tc) - L * (Tm - Ta)) / known["metal_store"],
            (U * (Tm - Tc) - wc * (Tc - Tr)) / known["coolant_store"],
            (wc * (Tc - Tr) - q) / known["radiator_store"],
            (by_wax - wax) / known["wax_lag"],
            (Tc + place * (Tr - Tc) - way) / known["way_lag"],
            (way - sensor) / known["sensor_lag"],
            (aim - x) / known["valve_lag"] if known["thermostat"] else 0.0,
        ]

    return slope


def follow(net: Any, shed: Shed, circuit: Circuit, plan: Plan, schedule: Schedule) -> Run:
    """Follow one drive in stages, each stretch of road to its next switch."""
    levels = shed.drop.shape[0]
    state = np.full(7, float(net["start"]))
    state[LIFT] = _opened(net["start"], net["opens"], net["span"]) if net["thermostat"] else 1.0
    grid = schedule.step * np.arange(len(schedule.heat) + 1)
    stage = 0
    switched: list[float] = []
    times, coolants = [0.0], [float(state[COOLANT])]
    asked = np.column_stack(schedule[1:])
    edges = [0, *(np.nonzero(np.any(np.diff(asked, axis=0) != 0.0, axis=1))[0] + 1), len(asked)]
    for first, last in pairwise(edges):
        road = _Road(net, shed, circuit, *(float(each) for each in asked[first]))
        now, end = first * schedule.step, last * schedule.step
        asked_for = _stage(plan, float(state[SENSOR]), stage) if road.runs else 0
        if asked_for != stage:
            stage = asked_for
            switched.append(now)
        while now < end - 1e-9:
            events = [_event(plan.on_1 if stage == 0 else plan.on_2, 1.0)] if stage < 2 and road.runs else []
            events += [_event(plan.off_1 if stage == 1 else plan.off_2, -1.0)] if stage > 0 else []
            kept = grid[(grid > now) & (grid <= end + 1e-9)]
            done = solve_ivp(
                _slope_of(net, road, min(stage, levels - 1)),
                (now, end),
                state,
                method="LSODA",
                rtol=TIGHT,
                atol=TIGHT,
                max_step=LONGEST,
                events=events,
                t_eval=np.minimum(kept, end),
            )
            assert done.success
            times += list(done.t)
            coolants += list(done.y[COOLANT]) if len(done.t) else []
            hit = next((i for i, found in enumerate(done.t_events) if len(found)), None)
            if hit is None:
                state, now = done.y[:, -1], end
                continue
            state, now = done.y_events[hit][0].copy(), float(done.t_events[hit][0])
            rises = stage < 2 and hit == 0
            stage += 1 if rises else -1
            switched.append(now)
            # Past the threshold by a hair, so that it is not met again.
            state[SENSOR] += 1e-9 if rises else -1e-9
    return Run(np.array(times), np.array(coolants), np.array(switched))


def _stage(plan: Plan, sensed: float, stage: int) -> int:
    """Each stage stays on down to its own OFF."""
    thresholds = (plan.on_1, plan.off_1), (plan.on_2, plan.off_2)
    one, two = (sensed > off if stage > n else sensed >= on for n, (on, off) in enumerate(thresholds))
    return 2 if two else int(one)


def _event(level: float, way: float) -> Callable[[float, np.ndarray], float]:
    def crossed(_: float, y: np.ndarray) -> float:
        return float(y[SENSOR] - level)

    crossed.terminal = True  # type: ignore[attr-defined]
    crossed.direction = way  # type: ignore[attr-defined]
    return crossed
