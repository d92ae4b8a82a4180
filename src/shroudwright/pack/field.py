"""The air between core and shroud, drawn along the plate to the openings: pressure and face speed in every cell.

Field          what is found
solve_field    cells, core law and fans -> Field

Depth-averaged momentum with the rotation of the air left out: the head H = p + s, s = beta rho u^2 / 2, falls as

    grad H = -(rho / h) (beta v + lam u / 4) u

so the air the core lets in is itself the resistance. Newton on the heads and on the pressure in each opening,
by conjugate gradients behind one multigrid cycle; the dynamic head and the resistance follow, damped. The balance
of every cell is checked at the end, and a search that does not close it is started again from a deep plenum made
shallow in steps.
"""

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.airflow.frame import ORIFICE_COEFFICIENT
from shroudwright.bench.compiled import batch, compilable
from shroudwright.fans.curve import fan_flow
from shroudwright.pack.cells import Blowers, Cells, Law

Numbers = NDArray[np.float64]
QUICK, FINE = 1e-4, 1e-8
"""Share of the air by which the cells' balances may be out, [-]"""
_TURNS = 150
_DEEPER = (16.0, 4.0, 2.0, 1.4)
_LEVELS = 6
_MOST_CYCLES, _INEXACT = 40, 1e-2
_LEAST_RESISTANCE = 1e-6
_NEAREST = 0.05
"""Least distance from a cell's centre to an opening's edge, over the spacing, [-]"""
_LEAST_NORMAL = 0.2
"""Least share of the speed into an opening that a face of a cell sees, [-]"""
_SOFTENED = 5.0
"""Pressure under which a gap's flow is held straight, [Pa]"""


class Field(NamedTuple):
    """Air behind a core, cell by cell."""

    flow: Numbers
    """Out through each opening, [m**3/s]"""
    pressure: Numbers
    """In each opening, [Pa]"""
    head: Numbers
    """Of each cell; that of the opening where one holds the cell, [Pa]"""
    dynamic: Numbers
    """Dynamic head along the plate, [Pa]"""
    speed: Numbers
    """Air through the core in each cell over the core's area there; nan where there is no core, [m/s]"""
    gap_flow: float
    """In from the bay, [m**3/s]"""
    flap_flow: float
    """Out by the flaps, [m**3/s]"""
    unbalanced: float
    """Sum of what every cell and opening is out by, over the air, [-]"""
    has_settled: bool
    """Whether that is within the tolerance."""
    turns: int


@compilable
def core_speed(drop: float, linear: float, square: float) -> float:
    """Face speed at a pressure drop over the core, a v + b v|v|; signed, [m/s]."""
    root = math.sqrt(linear * linear + 4.0 * square * math.fabs(drop))
    return 2.0 * drop / (linear + root) if linear + root > 0.0 else 0.0


@compilable
def _core_slope(drop: float, linear: float, square: float) -> float:
    return 1.0 / math.sqrt(linear * linear + 4.0 * square * math.fabs(drop) + 1e-12)


@compilable
def _through_hole(area: float, drop: float, density: float) -> float:
    """Flow over the drop through a sharp hole, held straight near nothing: the secant."""
    return ORIFICE_COEFFICIENT * area * math.sqrt(2.0 / (density * (math.fabs(drop) + _SOFTENED)))


@compilable
def _fan(flow: Any, pressure: Any, points: int, stopped: float, rise: float) -> tuple[float, float]:
    """Flow through a fan at a rise, and its slope."""
    if stopped > 0.0:
        size = math.sqrt(math.fabs(rise) / stopped)
        return -math.copysign(size, rise), -0.5 / math.sqrt(stopped * (math.fabs(rise) + 1e-6))
    step = 1e-4 * pressure[0]
    at = fan_flow(flow, pressure, points, rise)
    return at, min(
        (fan_flow(flow, pressure, points, rise + step) - fan_flow(flow, pressure, points, rise - step)) / (2.0 * step),
        -1e-9,
    )


@compilable
def _level(buffer: Any, at: Any, size: Any, level: int) -> Any:
    return buffer[at[level] : at[level + 1]].reshape((size[level, 0], size[level, 1]))


@compilable
def _relax(x: Any, b: Any, gx: Any, gy: Any, inverse: Any, colour: int) -> None:
    """One sweep over the cells of a colour."""
    rows, columns = x.shape
    for j in range(rows):
        for i in range((j + colour) & 1, columns, 2):
            total = b[j, i]
            if i > 0:
                total += gx[j, i] * x[j, i - 1]
            if i < columns - 1:
                total += gx[j, i + 1] * x[j, i + 1]
            if j > 0:
                total += gy[j, i] * x[j - 1, i]
            if j < rows - 1:
                total += gy[j + 1, i] * x[j + 1, i]
            x[j, i] = total * inverse[j, i]


@compilable
def _coarsen(gx: Any, gy: Any, own: Any, size: Any, at: Any, at_x: Any, at_y: Any, inverse: Any) -> None:
    """Fill every coarser level: what a cell holds adds up, what joins two cells is twice as long."""
    for level in range(_LEVELS):
        fine_x = gx[at_x[level] : at_x[level + 1]].reshape((size[level, 0], size[level, 1] + 1))
        fine_y = gy[at_y[level] : at_y[level + 1]].reshape((size[level, 0] + 1, size[level, 1]))
        fine_own, fine_inverse = _level(own, at, size, level), _level(inverse, at, size, level)
        rows, columns = fine_own.shape
        for j in range(rows):
            for i in range(columns):
                whole = fine_own[j, i] + fine_x[j, i] + fine_x[j, i + 1] + fine_y[j, i] + fine_y[j + 1, i]
                fine_inverse[j, i] = 1.0 / whole if whole > 0.0 else 0.0
        if level == _LEVELS - 1:
            return
        coarse_x = gx[at_x[level + 1] : at_x[level + 2]].reshape((size[level + 1, 0], size[level + 1, 1] + 1))
        coarse_y = gy[at_y[level + 1] : at_y[level + 2]].reshape((size[level + 1, 0] + 1, size[level + 1, 1]))
        coarse_own = _level(own, at, size, level + 1)
        coarse_x[:], coarse_y[:], coarse_own[:] = 0.0, 0.0, 0.0
        for j in range(rows):
            for i in range(columns):
                coarse_own[j // 2, i // 2] += fine_own[j, i]
                if i % 2 == 0:
                    coarse_x[j // 2, i // 2] += 0.5 * fine_x[j, i]
                if j % 2 == 0:
                    coarse_y[j // 2, i // 2] += 0.5 * fine_y[j, i]


@compilable
def _cycle(x: Any, b: Any, gx: Any, gy: Any, inverse: Any, size: Any, at: Any, at_x: Any, at_y: Any) -> None:
    """One multigrid cycle from nothing, the same forwards and backwards; ``b`` of the coarser levels is written."""
    for level in range(_LEVELS):
        xs, bs, ins = _level(x, at, size, level), _level(b, at, size, level), _level(inverse, at, size, level)
        fx = gx[at_x[level] : at_x[level + 1]].reshape((size[level, 0], size[level, 1] + 1))
        fy = gy[at_y[level] : at_y[level + 1]].reshape((size[level, 0] + 1, size[level, 1]))
        xs[:] = 0.0
        if level == _LEVELS - 1:
            for _ in range(3):
                _relax(xs, bs, fx, fy, ins, 0)
                _relax(xs, bs, fx, fy, ins, 1)
                _relax(xs, bs, fx, fy, ins, 1)
                _relax(xs, bs, fx, fy, ins, 0)
            break
        _relax(xs, bs, fx, fy, ins, 0)
        _relax(xs, bs, fx, fy, ins, 1)
        coarse = _level(b, at, size, level + 1)
        coarse[:] = 0.0
        rows, columns = xs.shape
        # After the second colour is swept only cells of the first are out of balance.
        for j in range(rows):
            for i in range(j & 1, columns, 2):
                if ins[j, i] == 0.0:
                    continue
                out = bs[j, i] - xs[j, i] / ins[j, i]
                if i > 0:
                    out += fx[j, i] * xs[j, i - 1]
                if i < columns - 1:
                    out += fx[j, i + 1] * xs[j, i + 1]
                if j > 0:
                    out += fy[j, i] * xs[j - 1, i]
                if j < rows - 1:
                    out += fy[j + 1, i] * xs[j + 1, i]
                coarse[j // 2, i // 2] += out
    for level in range(_LEVELS - 2, -1, -1):
        xs, bs, ins = _level(x, at, size, level), _level(b, at, size, level), _level(inverse, at, size, level)
        fx = gx[at_x[level] : at_x[level + 1]].reshape((size[level, 0], size[level, 1] + 1))
        fy = gy[at_y[level] : at_y[level + 1]].reshape((size[level, 0] + 1, size[level, 1]))
        coarse = _level(x, at, size, level + 1)
        rows, columns = xs.shape
        for j in range(rows):
            for i in range(columns):
                if ins[j, i] > 0.0:
                    xs[j, i] += coarse[j // 2, i // 2]
        _relax(xs, bs, fx, fy, ins, 1)
        _relax(xs, bs, fx, fy, ins, 0)


@batch
def _search(
    cells: Any, law: Any, blowers: Any, head: Any, pressure: Any, dynamic: Any, speed: Any, tolerance: float, most: int
) -> tuple[int, float, float, float]:
    """Balance every cell and opening in place; the turns taken, what is out, and the flows of gaps and flaps."""
    dx, dy = cells.dx, cells.dy
    rows, columns = cells.depth.shape
    openings = len(pressure)
    area = dx * dy
    half_rho = 0.5 * law.density * law.profile
    size = np.empty((_LEVELS, 2), np.int64)
    at, at_x, at_y = np.zeros(_LEVELS + 1, np.int64), np.zeros(_LEVELS + 1, np.int64), np.zeros(_LEVELS + 1, np.int64)
    size[0, 0], size[0, 1] = rows, columns
    for level in range(_LEVELS):
        if level > 0:
            size[level, 0], size[level, 1] = (size[level - 1, 0] + 1) // 2, (size[level - 1, 1] + 1) // 2
        at[level + 1] = at[level] + size[level, 0] * size[level, 1]
        at_x[level + 1] = at_x[level] + size[level, 0] * (size[level, 1] + 1)
        at_y[level + 1] = at_y[level] + (size[level, 0] + 1) * size[level, 1]
    all_gx, all_gy = np.zeros(at_x[_LEVELS]), np.zeros(at_y[_LEVELS])
    all_own, all_inverse = np.zeros(at[_LEVELS]), np.zeros(at[_LEVELS])
    all_x, all_b = np.zeros(at[_LEVELS]), np.zeros(at[_LEVELS])
    gx = all_gx[: at_x[1]].reshape((rows, columns + 1))
    gy = all_gy[: at_y[1]].reshape((rows + 1, columns))
    own, b, z = _level(all_own, at, size, 0), _level(all_b, at, size, 0), _level(all_x, at, size, 0)
    qx, qy = np.zeros((rows, columns + 1)), np.zeros((rows + 1, columns))
    out, slope, resist = np.zeros((rows, columns)), np.zeros((rows, columns)), np.zeros((rows, columns))
    change, residual, direction = np.zeros((rows, columns)), np.zeros((rows, columns)), np.zeros((rows, columns))
    product = np.zeros((rows, columns))
    inside = np.zeros((rows, columns), np.bool_)
    window = np.zeros((rows, columns))
    disc_area, gap_area, flap_area = np.zeros(openings), np.zeros(openings), np.zeros(openings)
    edges = 0
    for j in range(rows):
        for i in range(columns):
            under, most_of, biggest = 0.0, -1, 0.0
            for k in range(openings):
                share = cells.disc[k, j, i]
                under += share
                disc_area[k] += area * cells.core[j, i] * share
                if share > biggest:
                    most_of, biggest = k, share
            inside[j, i] = cells.wet[j, i] and cells.opening[j, i] < 0
            rest = area * cells.core[j, i] * max(1.0 - under, 0.0)
            if inside[j, i]:
                window[j, i] = rest
                for dj, di in ((0, -1), (0, 1), (-1, 0), (1, 0)):
                    jj, ii = j + dj, i + di
                    if 0 <= jj < rows and 0 <= ii < columns and cells.opening[jj, ii] >= 0:
                        edges += 1
            else:
                k = cells.opening[j, i] if cells.opening[j, i] >= 0 else most_of
                if k >= 0:
                    gap_area[k] += cells.gap[j, i]
                    flap_area[k] += cells.flap[j, i]
                    if cells.wet[j, i]:
                        disc_area[k] += rest
    edge_at, edge_to = np.zeros((edges, 3), np.int64), np.zeros(edges, np.int64)
    edge_near, edge_normal, edge_g = np.zeros(edges), np.zeros(edges), np.zeros(edges)
    e = 0
    for j in range(rows):
        for i in range(columns):
            if not inside[j, i]:
                continue
            for way in range(4):
                di = -1 if way == 0 else 1 if way == 1 else 0
                dj = -1 if way == 2 else 1 if way == 3 else 0
                jj, ii = j + dj, i + di
                if not (0 <= jj < rows and 0 <= ii < columns):
                    continue
                k = cells.opening[jj, ii]
                if k < 0:
                    continue
                passes = cells.open_x[j, min(i, ii)] if dj == 0 else cells.open_y[min(j, jj), i]
                away_x = (i + 0.5) * dx - cells.circles[k, 0]
                away_y = (j + 0.5) * dy - cells.circles[k, 1]
                spacing = dx if dj == 0 else dy
                radius = cells.circles[k, 2]
                along, across = (away_x, away_y) if dj == 0 else (away_y, away_x)
                chord = math.sqrt(max(radius * radius - across * across, 0.0))
                near = math.fabs(along) - chord
                edge_normal[e] = max(chord / radius, _LEAST_NORMAL)
                edge_at[e, 0], edge_at[e, 1], edge_at[e, 2] = j, i, way
                edge_to[e] = k
                edge_near[e] = min(max(near, _NEAREST * spacing), spacing) if passes else -1.0
                e += 1
    damping, before, worst = 0.85, math.inf, math.inf
    gap_flow, flap_flow = 0.0, 0.0
    turn = 0
    fan_out, fan_own = np.zeros(openings), np.zeros(openings)
    while True:
        # Resistance from the speeds of the last turn.
        drift = 0.0
        for j in range(rows):
            for i in range(columns):
                if inside[j, i]:
                    h = cells.depth[j, i]
                    v = core_speed(law.ahead - head[j, i] + dynamic[j, i], law.linear, law.square)
                    ux = (qx[j, i] + qx[j, i + 1]) / (2.0 * dy * h)
                    uy = (qy[j, i] + qy[j + 1, i]) / (2.0 * dx * h)
                    held = law.profile * max(v, 0.0) + 0.25 * law.friction * math.sqrt(ux * ux + uy * uy)
                    fresh = law.density / (h * h) * max(held, _LEAST_RESISTANCE)
                    if resist[j, i] > 0.0:
                        moves = math.log(fresh / resist[j, i])
                        drift += window[j, i] * max(v, 0.0) * math.fabs(moves)
                        resist[j, i] *= math.exp(damping * moves)
                    else:
                        resist[j, i] = fresh
        for e in range(edges):
            j, i = edge_at[e, 0], edge_at[e, 1]
            edge_g[e] = 0.0
            if edge_near[e] < 0.0:
                continue
            way, h, k = edge_at[e, 2], cells.depth[j, i], edge_to[e]
            along_x = way < 2
            span = dy if along_x else dx
            fall = head[j, i] - pressure[k]
            even = edge_near[e] * resist[j, i] / span
            square = law.turning * half_rho / (span * h * edge_normal[e]) ** 2
            flow = core_speed(fall, even, square)
            edge_g[e] = 1.0 / math.sqrt(even * even + 4.0 * square * math.fabs(fall))
            if way == 0:
                qx[j, i] = -flow
            elif way == 1:
                qx[j, i + 1] = flow
            elif way == 2:
                qy[j, i] = -flow
            else:
                qy[j + 1, i] = flow
        for j in range(rows):
            for i in range(columns):
                if i < columns - 1 and inside[j, i] and inside[j, i + 1]:
                    g = 0.0
                    if cells.open_x[j, i]:
                        g = dy / (0.5 * dx * (resist[j, i] + resist[j, i + 1]))
                    gx[j, i + 1] = g
                    qx[j, i + 1] = g * (head[j, i] - head[j, i + 1])
                if j < rows - 1 and inside[j, i] and inside[j + 1, i]:
                    g = 0.0
                    if cells.open_y[j, i]:
                        g = dx / (0.5 * dy * (resist[j, i] + resist[j + 1, i]))
                    gy[j + 1, i] = g
                    qy[j + 1, i] = g * (head[j, i] - head[j + 1, i])
        # What every cell and opening is out by, and how that changes with its head.
        air, off = 0.0, drift
        gap_flow, flap_flow = 0.0, 0.0
        least = np.min(pressure)
        for j in range(rows):
            for i in range(columns):
                if not inside[j, i]:
                    out[j, i] = 0.0
                    continue
                h = cells.depth[j, i]
                ux = (qx[j, i] + qx[j, i + 1]) / (2.0 * dy * h)
                uy = (qy[j, i] + qy[j + 1, i]) / (2.0 * dx * h)
                highest = max(head[j, i] - least, 0.0) / max(law.turning, 0.1)
                moved = min(half_rho * (ux * ux + uy * uy), highest) - dynamic[j, i]
                dynamic[j, i] += damping * moved
                static = head[j, i] - dynamic[j, i]
                drop = law.ahead - static
                v = core_speed(drop, law.linear, law.square)
                slope[j, i] = window[j, i] * _core_slope(drop, law.linear, law.square)
                let_in = window[j, i] * v
                air += math.fabs(let_in)
                off += slope[j, i] * math.fabs(moved)
                more = static - law.bay
                if cells.gap[j, i] > 0.0:
                    secant = _through_hole(cells.gap[j, i], more, law.density)
                    let_in -= secant * more
                    gap_flow -= secant * more
                    slope[j, i] += secant
                if cells.flap[j, i] > 0.0 and more > 0.0:
                    secant = _through_hole(cells.flap[j, i], more, law.density)
                    let_in -= secant * more
                    flap_flow += secant * more
                    slope[j, i] += secant
                out[j, i] = qx[j, i + 1] - qx[j, i] + qy[j + 1, i] - qy[j, i] - let_in
                off += math.fabs(out[j, i])
                own[j, i] = slope[j, i]
        for k in range(openings):
            drop = law.ahead - pressure[k]
            let_in = disc_area[k] * core_speed(drop, law.linear, law.square)
            fan_own[k] = disc_area[k] * _core_slope(drop, law.linear, law.square)
            air += math.fabs(let_in)
            more = pressure[k] - law.bay
            if gap_area[k] > 0.0:
                secant = _through_hole(gap_area[k], more, law.density)
                let_in -= secant * more
                gap_flow -= secant * more
                fan_own[k] += secant
            if flap_area[k] > 0.0 and more > 0.0:
                secant = _through_hole(flap_area[k], more, law.density)
                let_in -= secant * more
                flap_flow += secant * more
                fan_own[k] += secant
            taken, falls = _fan(blowers.flow[k], blowers.pressure[k], blowers.points[k], blowers.stopped[k], -more)
            fan_out[k] = taken - let_in
            fan_own[k] -= falls
        for e in range(edges):
            j, i, way, k = edge_at[e, 0], edge_at[e, 1], edge_at[e, 2], edge_to[e]
            if edge_near[e] < 0.0:
                continue
            flow = -qx[j, i] if way == 0 else qx[j, i + 1] if way == 1 else -qy[j, i] if way == 2 else qy[j + 1, i]
            fan_out[k] -= flow
            fan_own[k] += edge_g[e]
            own[j, i] += edge_g[e]
        for k in range(openings):
            off += math.fabs(fan_out[k])
        worst = off / max(air, 1e-12)
        if worst <= tolerance or turn >= most or not worst < math.inf:
            break
        damping = min(1.05 * damping, 0.95) if worst < before else max(0.7 * damping, 0.15)
        before = worst
        turn += 1
        # Newton: conjugate gradients on the cells, the openings' pressures taken out.
        for j in range(rows):
            for i in range(columns):
                residual[j, i] = -out[j, i]
                change[j, i] = 0.0
        for e in range(edges):
            k = edge_to[e]
            residual[edge_at[e, 0], edge_at[e, 1]] -= edge_g[e] * fan_out[k] / fan_own[k]
        _coarsen(all_gx, all_gy, all_own, size, at, at_x, at_y, all_inverse)
        direction[:] = 0.0
        old, first = 0.0, 0.0
        for tried in range(_MOST_CYCLES):
            b[:] = residual
            _cycle(all_x, all_b, all_gx, all_gy, all_inverse, size, at, at_x, at_y)
            new = 0.0
            for j in range(rows):
                for i in range(columns):
                    new += residual[j, i] * z[j, i]
            if tried == 0:
                first = new
            elif new <= _INEXACT * first:
                break
            share = new / old if tried > 0 else 0.0
            old = new
            for j in range(rows):
                for i in range(columns):
                    direction[j, i] = z[j, i] + share * direction[j, i]
            for j in range(rows):
                for i in range(columns):
                    d = direction[j, i]
                    total = slope[j, i] * d
                    if i > 0:
                        total += gx[j, i] * (d - direction[j, i - 1])
                    if i < columns - 1:
                        total += gx[j, i + 1] * (d - direction[j, i + 1])
                    if j > 0:
                        total += gy[j, i] * (d - direction[j - 1, i])
                    if j < rows - 1:
                        total += gy[j + 1, i] * (d - direction[j + 1, i])
                    product[j, i] = total
            joined = np.zeros(openings)
            for e in range(edges):
                d = direction[edge_at[e, 0], edge_at[e, 1]]
                product[edge_at[e, 0], edge_at[e, 1]] += edge_g[e] * d
                joined[edge_to[e]] += edge_g[e] * d
            for e in range(edges):
                k = edge_to[e]
                product[edge_at[e, 0], edge_at[e, 1]] -= edge_g[e] * joined[k] / fan_own[k]
            along = 0.0
            for j in range(rows):
                for i in range(columns):
                    along += direction[j, i] * product[j, i]
            if not along > 0.0:
                break
            step = new / along
            for j in range(rows):
                for i in range(columns):
                    change[j, i] += step * direction[j, i]
                    residual[j, i] -= step * product[j, i]
        for k in range(openings):
            fan_out[k] = -fan_out[k]
        for e in range(edges):
            fan_out[edge_to[e]] += edge_g[e] * change[edge_at[e, 0], edge_at[e, 1]]
        for j in range(rows):
            for i in range(columns):
                head[j, i] += change[j, i]
        for k in range(openings):
            pressure[k] += fan_out[k] / fan_own[k]
    for j in range(rows):
        for i in range(columns):
            under, speed[j, i] = 0.0, 0.0
            if cells.core[j, i] <= 0.0:
                speed[j, i] = math.nan
                continue
            for k in range(openings):
                share = cells.disc[k, j, i]
                if cells.opening[j, i] == k and cells.wet[j, i]:
                    share = 1.0 - (np.sum(cells.disc[:, j, i]) - share)
                under += share
                speed[j, i] += share * core_speed(law.ahead - pressure[k], law.linear, law.square)
            if inside[j, i]:
                rest = max(1.0 - under, 0.0)
                speed[j, i] += rest * core_speed(law.ahead - head[j, i] + dynamic[j, i], law.linear, law.square)
    return turn, worst, gap_flow, flap_flow


def solve_field(
    cells: Cells, law: Law, blowers: Blowers, start: Field | None = None, tolerance: float = QUICK
) -> Field:
    shape = cells.depth.shape
    openings = len(cells.circles)
    if start is None:
        pressure = np.full(openings, law.bay)
        head = np.full(shape, 0.0)
        head[:] = law.bay - 0.3 * float(np.max(blowers.pressure))
        pressure[:] = head[0, 0]
        dynamic = np.zeros(shape)
    else:
        head, pressure, dynamic = start.head.copy(), start.pressure.copy(), start.dynamic.copy()
    speed = np.empty(shape)
    turns, off, gap, flap = _search(cells, law, blowers, head, pressure, dynamic, speed, tolerance, _TURNS)
    rise = law.bay - pressure
    flow = np.array(
        [
            _fan(
                blowers.flow[k], blowers.pressure[k], int(blowers.points[k]), float(blowers.stopped[k]), float(rise[k])
            )[0]
            for k in range(openings)
        ]
    )
    return Field(flow, pressure, head, dynamic, speed, gap, flap, off, off <= tolerance, turns)
