"""A drive solved apart from `pack.drive`: equations written anew, LSODA at a tight tolerance, switches as events."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import RegularGridInterpolator

from shroudwright.control.plan import Plan
from shroudwright.pack.drive import COLD, WARM, Schedule
from shroudwright.pack.drive_tables import Circuit, Shed

METAL, COOLANT, RADIATOR, WAX, WAY, SENSOR, LIFT = range(7)


class Run(NamedTuple):
    """What came of a drive."""

    time: np.ndarray
    coolant: np.ndarray
    switches: int


def _opened(T: float, opens: float, span: float) -> float:
    return float(np.clip((T - opens) / span, 0.0, 1.0))


def _between(nodes: np.ndarray, at: float) -> np.ndarray:
    """Catmull and Rom's cubic along the first axis, by its four weights; the ends go on as the nearest stretch does."""
    i = int(np.clip(np.floor(at), 1, len(nodes) - 3))
    s = at - i
    weights = 0.5 * np.array([-s + 2 * s**2 - s**3, 2 - 5 * s**2 + 3 * s**3, s + 4 * s**2 - 3 * s**3, s**3 - s**2])
    return np.tensordot(weights, nodes[i - 1 : i + 3], axes=1)


def radiator(shed: Shed, levels: list[int]) -> dict[int, Callable[[float, float], np.ndarray]]:
    """Line of the coolant's drop over the rise at the inlet (its value at none, its slope), A/C off, at each level."""
    rises = shed.rise + shed.rise_step * np.arange(shed.drop.shape[4])

    def at(level: int) -> Callable[[float, float], np.ndarray]:
        lines = [
            np.array([np.polynomial.polynomial.polyfit(rises, row, 1) for row in shed.drop[level, 0, i]])
            for i in range(len(shed.speeds))
        ]

        def line(speed: float, flow: float) -> np.ndarray:
            place = (np.log(max(flow, 1e-6)) - shed.log_flow) / shed.log_flow_step
            i = int(np.clip(np.searchsorted(shed.speeds, speed, "right") - 1, 0, len(shed.speeds) - 2))
            v = float(np.clip((speed - shed.speeds[i]) / (shed.speeds[i + 1] - shed.speeds[i]), 0.0, 1.0))
            return (1.0 - v) * _between(lines[i], place) + v * _between(lines[i + 1], place)

        return line

    return {level: at(level) for level in levels}


def follow(net: Any, shed: Shed, circuit: Circuit, plan: Plan, schedule: Schedule) -> Run:
    """Follow one drive in stages, step by step of the schedule, each piece to its next switch."""
    levels = shed.drop.shape[0]
    line_at = radiator(shed, list(range(levels)))
    speeds = circuit.rpm + circuit.rpm_step * np.arange(circuit.flow.shape[1])
    flow_at = RegularGridInterpolator((speeds, np.linspace(0.0, 1.0, circuit.flow.shape[2])), circuit.flow[0])
    state = np.full(7, float(net["start"]))
    state[LIFT] = _opened(net["start"], net["opens"], net["span"]) if net["thermostat"] else 1.0
    grid = schedule.step * np.arange(len(schedule.heat) + 1)
    now_at, switches = {"stage": 0}, 0
    times, coolants = [0.0], [state[COOLANT]]
    # Steps that ask the same of the vehicle are followed in one go.
    asked = np.column_stack([schedule.heat, schedule.rpm, schedule.speed])
    edges = [0, *(np.nonzero(np.any(np.diff(asked, axis=0) != 0.0, axis=1))[0] + 1), len(asked)]
    for first, last in pairwise(edges):
        heat, rpm, speed = asked[first]
        now, end = first * schedule.step, last * schedule.step

        def slope(_: float, y: np.ndarray, heat: float = heat, rpm: float = rpm, speed: float = speed) -> np.ndarray:
            runs = rpm > 0.0
            lift = float(np.clip(y[LIFT], 0.0, 1.0)) if net["thermostat"] else 1.0
            flow = float(net["flow_scale"] * flow_at((np.clip(rpm, speeds[0], speeds[-1]), lift))) if runs else 0.0
            level = min(now_at["stage"], levels - 1)
            T = 0.5 * (y[COOLANT] + y[RADIATOR])
            wc = flow * float(np.polynomial.polynomial.polyval(T, circuit.capacity))
            none, slope = line_at[level](speed, flow)
            # In the radiator the coolant comes in so hot that it leaves at the radiator's own temperature.
            drop = (none + slope * (y[RADIATOR] - net["ambient"])) / (1.0 - slope)
            q = max(flow, 1e-6) * wc / flow * drop if flow > 0.0 else 0.0
            U = net["metal_to_coolant"] if runs else net["metal_to_still"]
            L = 0.0 if runs else net["metal_to_air"]
            cold = float(np.clip((WARM - y[COOLANT]) / (WARM - COLD), 0.0, 1.0))
            Q = net["heat_scale"] * heat * (1.0 + (net["cold_factor"] - 1.0) * cold)
            sensed = y[COOLANT] + net["sensor_place"] * (y[RADIATOR] - y[COOLANT])
            up, down = (_opened(y[WAX] + play, net["opens"], net["span"]) for play in (0.0, net["play"]))
            aim = min(max(y[LIFT], up), down)
            return np.array(
                [
                    (Q - U * (y[METAL] - y[COOLANT]) - L * (y[METAL] - net["ambient"])) / net["metal_store"],
                    (U * (y[METAL] - y[COOLANT]) - wc * (y[COOLANT] - y[RADIATOR])) / net["coolant_store"],
                    (wc * (y[COOLANT] - y[RADIATOR]) - q) / net["radiator_store"],
                    (y[COOLANT] - y[WAX]) / net["wax_lag"],
                    (sensed - y[WAY]) / net["way_lag"],
                    (y[WAY] - y[SENSOR]) / net["sensor_lag"],
                    (aim - y[LIFT]) / net["valve_lag"] if net["thermostat"] else 0.0,
                ]
            )

        while now < end - 1e-9:
            stage = now_at["stage"]
            events = [_event(plan.on_1 if stage == 0 else plan.on_2, 1.0)] if stage < 2 else []
            events += [_event(plan.off_1 if stage == 1 else plan.off_2, -1.0)] if stage > 0 else []
            done = solve_ivp(
                slope,
                (now, end),
                state,
                method="LSODA",
                rtol=1e-8,
                atol=1e-8,
                max_step=2.0,
                events=events,
                dense_output=True,
            )
            assert done.success
            kept = grid[(grid > now) & (grid <= done.t[-1])]
            times += list(kept)
            coolants += list(done.sol(kept)[COOLANT]) if len(kept) else []
            state, now = done.y[:, -1], float(done.t[-1])
            hit = [len(found) > 0 for found in done.t_events]
            if any(hit) and now < end - 1e-12:
                rises = stage < 2 and hit[0]
                after = stage + 1 if rises else stage - 1
                switches += after != stage
                now_at["stage"] = after
                # Past the threshold by a hair, so that it is not met again.
                state[SENSOR] += 1e-9 if rises else -1e-9
    return Run(np.array(times), np.array(coolants), switches)


def _event(level: float, way: float) -> Callable[[float, np.ndarray], float]:
    def crossed(_: float, y: np.ndarray) -> float:
        return float(y[SENSOR] - level)

    crossed.terminal = True  # type: ignore[attr-defined]
    crossed.direction = way  # type: ignore[attr-defined]
    return crossed
