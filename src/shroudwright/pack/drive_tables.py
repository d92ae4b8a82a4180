"""What a drive looks up: heat shed, what the fans draw, and coolant flow, in tables.

Shed        heat the radiator sheds, and what the fans draw, in tables made of balanced packs
Circuit     coolant flow over engine speed and lift
circuit_of  the table of a circuit
"""

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.compiled import batch, compilable, inlined
from shroudwright.circuit.pump import LEAK_LIFT
from shroudwright.materials.coolant import coolant_properties
from shroudwright.pack.air_path import Setup, fans_of
from shroudwright.pack.kernel import AREAS, SHAPE, lay_cores, radiator_flow
from shroudwright.pack.params import MAX_AHEAD

Numbers = NDArray[np.float64]

LEAST_FLOW, MOST_EFFECT = 1e-6, 0.985
THICK, THIN = 350.0, 380.0
"""Coolant temperatures of a circuit's table, [K]"""
LIFTS = 81
"""Nodes of lift in a circuit's table"""
COLDEST_FIT, HOTTEST_FIT = 345.0, 390.0
"""Coolant between which its heat capacity is fitted, [K]"""


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


@compilable
def column(nodes: Any, at: float) -> tuple[int, float]:
    """Node below, and the share of the way to the next."""
    low = 0
    while low < nodes.shape[0] - 2 and at > nodes[low + 1]:
        low += 1
    return low, min(max((at - nodes[low]) / (nodes[low + 1] - nodes[low]), 0.0), 1.0)


@inlined
def level_of(share: float, levels: int) -> tuple[int, float]:
    """Fan level below a share of full, and the share of the way to the next."""
    at = min(max(share, 0.0), 1.0) * (levels - 1)
    low = min(int(at), levels - 2)
    return low, at - low


@inlined
def at_level(table: Any, low: int, part: float, at: int, v: float) -> float:
    """Amps or volts between two levels and two speeds."""
    value = table[low, at] + v * (table[low, at + 1] - table[low, at])
    if part > 0.0:
        upper = table[low + 1, at] + v * (table[low + 1, at + 1] - table[low + 1, at])
        value += part * (upper - value)
    return value


@inlined
def flow_at(table: Any, i: int, s: float, lift: float, coolant: float) -> float:
    """Radiator flow: straight between the nodes of engine speed and lift, and over the coolant's temperature."""
    lifts = table.shape[2]
    b = min(max(lift, 0.0), 1.0) * (lifts - 1)
    j = min(int(b), lifts - 2)
    u = b - j
    thin = min(max((coolant - THICK) / (THIN - THICK), -1.0), 2.0)
    value = 0.0
    for at in range(2):
        low = table[at, i, j] + u * (table[at, i, j + 1] - table[at, i, j])
        high = table[at, i + 1, j] + u * (table[at, i + 1, j + 1] - table[at, i + 1, j])
        value += (thin if at == 1 else 1.0 - thin) * (low + s * (high - low))
    return value


@inlined
def _place(at: float, nodes: int) -> tuple[int, float]:
    """Stretch of a cubic, and the share of the way along it; past the ends the nearest stretch goes on for one more."""
    i = min(max(math.floor(at), 1), nodes - 3)
    return i, min(max(at - i, -1.0), 2.0)


@inlined
def _weights(s: float) -> tuple[float, float, float, float]:
    """Of four nodes, between the middle two: Catmull and Rom's cubic."""
    return (
        0.5 * s * (s * (2.0 - s) - 1.0),
        1.0 + 0.5 * s * s * (3.0 * s - 5.0),
        0.5 * s * (s * (4.0 - 3.0 * s) + 1.0),
        0.5 * s * s * (s - 1.0),
    )


@inlined
def drop_at(
    shed: Any, low: int, part: float, cooled: int, at: int, v: float, flow: float, rise: float
) -> tuple[float, float]:
    """Drop of the coolant and its slope over the rise: cubics over rise and the flow's logarithm, straight over speed.

    Past the last rise it goes on straight.
    """
    drop = shed.drop
    i, s = _place((math.log(flow) - shed.log_flow) / shed.log_flow_step, drop.shape[3])
    up = (rise - shed.rise) / shed.rise_step
    j, u = _place(up, drop.shape[4])
    a, b, c, d = _weights(s)
    w0, w1, w2, w3 = 0.0, 0.0, 0.0, 0.0
    for side in range(4):
        m, n = low + side // 2, at + side % 2
        weight = (part if side > 1 else 1.0 - part) * (v if side % 2 == 1 else 1.0 - v)
        if weight > 0.0:
            for row in range(4):
                share = weight * (a if row == 0 else b if row == 1 else c if row == 2 else d)
                w0 += share * drop[m, cooled, n, i - 1 + row, j - 1]
                w1 += share * drop[m, cooled, n, i - 1 + row, j]
                w2 += share * drop[m, cooled, n, i - 1 + row, j + 1]
                w3 += share * drop[m, cooled, n, i - 1 + row, j + 2]
    first, second, third = 0.5 * (w2 - w0), w0 - 2.5 * w1 + 2.0 * w2 - 0.5 * w3, 1.5 * (w1 - w2) + 0.5 * (w3 - w0)
    value, slope = w1 + u * (first + u * (second + u * third)), first + u * (2.0 * second + 3.0 * u * third)
    return value + slope * (up - j - u), slope / shed.rise_step


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
