"""The air between core and shroud, drawn along the plate to the openings: pressure and face speed in every cell.

Field          what is found
solve_field    cells, core law and fans -> Field

Depth-averaged momentum with the rotation of the air left out: the head H = p + s, s = beta rho u^2 / 2, falls as

    grad H = -(rho / h) (beta v + lam u / 4) u

so the air the core lets in is itself the resistance. Newton on the heads and on the pressure in each opening,
by conjugate gradients behind one multigrid cycle; the dynamic head and the resistance follow, damped. More air is
more dynamic head, and that lets in more air still: left to itself the pair creeps, more slowly the finer the cells,
so near the answer each turn is shortened by what the last ones did. The balance of every cell is checked at the end,
and a search that does not close it is started again from a deep plenum made shallow in steps.
"""

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.airflow.frame import ORIFICE_COEFFICIENT, leak_flow
from shroudwright.bench.compiled import batch, compilable, inlined
from shroudwright.fans.curve import fan_flow
from shroudwright.pack.cells import Blowers, Cells, Law
from shroudwright.pack.gradients import Edges, change_of
from shroudwright.pack.multigrid import Levels, cells_of, joints_x, joints_y, levels
from shroudwright.pack.shortcut import past_of, shorten

Numbers = NDArray[np.float64]
QUICK, FINE = 1e-4, 1e-8
"""Share of the air by which the cells' balances may be out, [-]"""
_TURNS = 150
_HASTY, _GENTLE = 0.95, 0.3
_LEAST_DAMPING = 0.1
_LIKELY_PULL = 0.3
_DEEPER = (16.0, 4.0, 2.0, 1.4)
_NEAR = 0.03
"""Share of the air out at which turns are shortened, [-]"""
_SURE = 0.5
"""Damping under which they are not: a search set back that often jumps, and jumps have no end to guess, [-]"""
_LEAST_RESISTANCE = 1e-6
_NEAREST = 0.05
"""Least distance from a cell's centre to an opening's edge, over the spacing, [-]"""
_LEAST_NORMAL = 0.2
"""Least share of the speed into an opening that a face of a cell sees, [-]"""
_DOUBLINGS, _HALVINGS = 20, 50
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


@inlined
def core_speed(drop: float, linear: float, square: float) -> float:
    """Face speed at a pressure drop over the core, a v + b v|v|; signed, [m/s]."""
    root = math.sqrt(linear * linear + 4.0 * square * math.fabs(drop))
    return 2.0 * drop / (linear + root) if linear + root > 0.0 else 0.0


@inlined
def _core_slope(drop: float, linear: float, square: float) -> float:
    return 1.0 / math.sqrt(linear * linear + 4.0 * square * math.fabs(drop) + 1e-12)


@inlined
def _through_hole(area: float, drop: float, density: float) -> float:
    """Flow over the drop through a sharp hole, held straight near nothing: the secant."""
    return ORIFICE_COEFFICIENT * area * math.sqrt(2.0 / (density * (math.fabs(drop) + _SOFTENED)))


@inlined
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


class _Work(NamedTuple):
    """What a search holds for every cell and opening."""

    inside: Any
    window: Any
    """Core area from which a cell of the plenum draws, [m**2]"""
    under: Any
    """Share of a cell under all openings, [-]"""
    qx: Any
    qy: Any
    along: Any
    resist: Any
    out: Any
    slope: Any
    disc_area: Any
    gap_area: Any
    flap_area: Any
    fan_out: Any
    fan_own: Any


@compilable
def _work_of(cells: Cells) -> _Work:
    """Say which cells draw for themselves; the rest lies under the openings."""
    rows, columns = cells.depth.shape
    openings = len(cells.circles)
    area = cells.dx * cells.dy
    inside, window, under = np.zeros((rows, columns), np.bool_), np.zeros((rows, columns)), np.zeros((rows, columns))
    disc_area, gap_area, flap_area = np.zeros(openings), np.zeros(openings), np.zeros(openings)
    for j in range(rows):
        for i in range(columns):
            holder, most = cells.opening[j, i], 0.0
            for k in range(openings):
                share = cells.disc[k, j, i]
                under[j, i] += share
                disc_area[k] += area * cells.core[j, i] * share
                if cells.opening[j, i] < 0 and share > most:
                    holder, most = k, share
            rest = area * cells.core[j, i] * max(1.0 - under[j, i], 0.0)
            if cells.wet[j, i] and cells.opening[j, i] < 0:
                inside[j, i], window[j, i] = True, rest
            elif holder >= 0:
                gap_area[holder] += cells.gap[j, i]
                flap_area[holder] += cells.flap[j, i]
                if cells.wet[j, i]:
                    disc_area[holder] += rest
    return _Work(
        inside,
        window,
        under,
        np.zeros((rows, columns + 1)),
        np.zeros((rows + 1, columns)),
        np.zeros((rows, columns)),
        np.zeros((rows, columns)),
        np.zeros((rows, columns)),
        np.zeros((rows, columns)),
        disc_area,
        gap_area,
        flap_area,
        np.zeros(openings),
        np.zeros(openings),
    )


@compilable
def _edge_list(cells: Cells, inside: Any) -> Any:
    """Row, column, way and opening of every face between the plenum and an opening, shape (4, faces)."""
    rows, columns = inside.shape
    found = np.empty((4, 4 * rows * columns), np.int64)
    count = 0
    for j in range(rows):
        for i in range(columns):
            if not inside[j, i]:
                continue
            for way in range(4):
                jj, ii = j + (way == 3) - (way == 2), i + (way == 1) - (way == 0)
                if not (0 <= jj < rows and 0 <= ii < columns) or cells.opening[jj, ii] < 0:
                    continue
                if cells.open_x[j, min(i, ii)] if way < 2 else cells.open_y[min(j, jj), i]:
                    found[0, count], found[1, count] = j, i
                    found[2, count], found[3, count] = way, cells.opening[jj, ii]
                    count += 1
    return found[:, :count].copy()


@compilable
def _edges_of(cells: Cells, law: Law, inside: Any) -> Edges:
    """List the faces by which air enters an opening, each cut where the grid line meets the circle.

    The air enters square to the circle, so a face sees the normal's share of its speed.
    """
    row, column, way, opening = _edge_list(cells, inside)
    even, square = np.zeros(len(row)), np.zeros(len(row))
    for e in range(len(row)):
        k = opening[e]
        away_x = (column[e] + 0.5) * cells.dx - cells.circles[k, 0]
        away_y = (row[e] + 0.5) * cells.dy - cells.circles[k, 1]
        along, across = (away_x, away_y) if way[e] < 2 else (away_y, away_x)
        spacing, face = (cells.dx, cells.dy) if way[e] < 2 else (cells.dy, cells.dx)
        chord = math.sqrt(max(cells.circles[k, 2] ** 2 - across * across, 0.0))
        normal = max(chord / cells.circles[k, 2], _LEAST_NORMAL)
        even[e] = min(max(math.fabs(along) - chord, _NEAREST * spacing), spacing) / face
        lost = 0.5 * law.turning * law.profile * law.density
        square[e] = lost / (face * cells.depth[row[e], column[e]] * normal) ** 2
    return Edges(row, column, way, opening, even, square, np.zeros(len(row)))


@compilable
def _along(cells: Cells, inside: Any, qx: Any, qy: Any, along: Any) -> None:
    """Set the speed along the plate in every cell, squared, [m**2/s**2]."""
    rows, columns = inside.shape
    for j in range(rows):
        for i in range(columns):
            if inside[j, i]:
                ux = (qx[j, i] + qx[j, i + 1]) / (2.0 * cells.dy * cells.depth[j, i])
                uy = (qy[j, i] + qy[j + 1, i]) / (2.0 * cells.dx * cells.depth[j, i])
                along[j, i] = ux * ux + uy * uy


@compilable
def _resist(cells: Cells, law: Law, work: _Work, head: Any, dynamic: Any, damping: float) -> float:
    """Set every cell's resistance from the speeds last found, damped; the air that this would move, [m**3/s]."""
    drift = 0.0
    rows, columns = head.shape
    for j in range(rows):
        for i in range(columns):
            if not work.inside[j, i]:
                continue
            h = cells.depth[j, i]
            v = max(core_speed(law.ahead - head[j, i] + dynamic[j, i], law.linear, law.square), 0.0)
            held = law.profile * v + 0.25 * law.friction * math.sqrt(work.along[j, i])
            fresh = law.density / (h * h) * max(held, _LEAST_RESISTANCE)
            if work.resist[j, i] > 0.0:
                moves = math.log(fresh / work.resist[j, i])
                drift += work.window[j, i] * v * math.fabs(moves)
                work.resist[j, i] *= math.exp(damping * moves)
            else:
                work.resist[j, i] = fresh
    return drift


@compilable
def _flow(cells: Cells, work: _Work, edges: Edges, net: Levels, head: Any, pressure: Any) -> None:
    """Set the flow over every face, and how it changes with the heads."""
    rows, columns = head.shape
    gx, gy = joints_x(net, 0), joints_y(net, 0)
    for j in range(rows):
        for i in range(columns):
            if not work.inside[j, i]:
                continue
            if i < columns - 1 and work.inside[j, i + 1] and cells.open_x[j, i]:
                gx[j, i + 1] = 2.0 * cells.dy / (cells.dx * (work.resist[j, i] + work.resist[j, i + 1]))
                work.qx[j, i + 1] = gx[j, i + 1] * (head[j, i] - head[j, i + 1])
            if j < rows - 1 and work.inside[j + 1, i] and cells.open_y[j, i]:
                gy[j + 1, i] = 2.0 * cells.dx / (cells.dy * (work.resist[j, i] + work.resist[j + 1, i]))
                work.qy[j + 1, i] = gy[j + 1, i] * (head[j, i] - head[j + 1, i])
    for e in range(len(edges.row)):
        j, i, way = edges.row[e], edges.column[e], edges.way[e]
        fall = head[j, i] - pressure[edges.opening[e]]
        even = edges.even[e] * work.resist[j, i]
        into = core_speed(fall, even, edges.square[e])
        edges.slope[e] = _core_slope(fall, even, edges.square[e])
        if way < 2:
            work.qx[j, i + way] = into if way == 1 else -into
        else:
            work.qy[j + way - 2, i] = into if way == 3 else -into


@inlined
def _holes(gap: float, flap: float, more: float, density: float) -> tuple[float, float, float]:
    """Air out by gaps, air out by flaps, and the secant of both, at a pressure over the bay's."""
    leaks = _through_hole(gap, more, density)
    opened = _through_hole(flap, more, density) if more > 0.0 else 0.0
    return leaks * more, opened * more, leaks + opened


@compilable
def _balance(
    cells: Cells,
    law: Law,
    blowers: Blowers,
    work: _Work,
    edges: Edges,
    net: Levels,
    head: Any,
    pressure: Any,
    dynamic: Any,
    damping: float,
) -> tuple[float, float, float, float]:
    """Set what every cell and opening is out by and how that changes; the air, the sum out, gaps in, flaps out."""
    rows, columns = head.shape
    own = cells_of(net, net.own, 0)
    air, off, gaps, flaps = 0.0, 0.0, 0.0, 0.0
    # At an opening's edge no head is left over its pressure but what is lost on turning in.
    most_dynamic = -np.min(pressure)
    for j in range(rows):
        for i in range(columns):
            if not work.inside[j, i]:
                continue
            highest = max(head[j, i] + most_dynamic, 0.0) / max(law.turning, 0.1)
            fresh = 0.5 * law.density * law.profile * work.along[j, i]
            moved = min(fresh, highest) - dynamic[j, i]
            dynamic[j, i] += damping * moved
            static = head[j, i] - dynamic[j, i]
            let_in = work.window[j, i] * core_speed(law.ahead - static, law.linear, law.square)
            work.slope[j, i] = work.window[j, i] * _core_slope(law.ahead - static, law.linear, law.square)
            air += math.fabs(let_in)
            off += work.slope[j, i] * math.fabs(moved)
            if cells.gap[j, i] > 0.0 or cells.flap[j, i] > 0.0:
                leaks, opened, secant = _holes(cells.gap[j, i], cells.flap[j, i], static - law.bay, law.density)
                let_in -= leaks + opened
                work.slope[j, i] += secant
                gaps -= leaks
                flaps += opened
            work.out[j, i] = work.qx[j, i + 1] - work.qx[j, i] + work.qy[j + 1, i] - work.qy[j, i] - let_in
            off += math.fabs(work.out[j, i])
            own[j, i] = work.slope[j, i]
    for k in range(len(pressure)):
        let_in = work.disc_area[k] * core_speed(law.ahead - pressure[k], law.linear, law.square)
        work.fan_own[k] = work.disc_area[k] * _core_slope(law.ahead - pressure[k], law.linear, law.square)
        air += math.fabs(let_in)
        leaks, opened, secant = _holes(work.gap_area[k], work.flap_area[k], pressure[k] - law.bay, law.density)
        gaps -= leaks
        flaps += opened
        taken, falls = _fan(
            blowers.flow[k], blowers.pressure[k], blowers.points[k], blowers.stopped[k], law.bay - pressure[k]
        )
        work.fan_out[k] = taken - let_in + leaks + opened
        work.fan_own[k] += secant - falls
    for e in range(len(edges.row)):
        j, i, way, k = edges.row[e], edges.column[e], edges.way[e], edges.opening[e]
        work.fan_out[k] -= _sign(way) * (work.qx[j, i + way] if way < 2 else work.qy[j + way - 2, i])
        work.fan_own[k] += edges.slope[e]
        own[j, i] += edges.slope[e]
    return air, off + np.sum(np.abs(work.fan_out)), gaps, flaps


@inlined
def _sign(way: int) -> float:
    return 1.0 if way & 1 else -1.0


@compilable
def _newton(work: _Work, edges: Edges, net: Levels, head: Any, pressure: Any, lowest: float, highest: float) -> None:
    """Move heads and pressures to where the balances would close.

    No head leaves the span between the strongest fan's shut-off and the higher of the pressures either side.
    """
    out = cells_of(net, net.b, 0)
    out[:] = -work.out
    for e in range(len(edges.row)):
        k = edges.opening[e]
        out[edges.row[e], edges.column[e]] -= edges.slope[e] * work.fan_out[k] / work.fan_own[k]
    change = change_of(work.slope, work.fan_own, edges, net)
    step = -work.fan_out
    for e in range(len(edges.row)):
        step[edges.opening[e]] += edges.slope[e] * change[edges.row[e] + 1, edges.column[e] + 1]
    for k in range(len(pressure)):
        pressure[k] = min(max(pressure[k] + step[k] / work.fan_own[k], lowest), highest)
    for j in range(head.shape[0]):
        for i in range(head.shape[1]):
            head[j, i] = min(max(head[j, i] + change[j + 1, i + 1], lowest), highest)


@compilable
def _let_go(inside: Any, head: Any, dynamic: Any) -> None:
    """Set cells an opening has just let go, whose air still stands, moving with their neighbours'."""
    rows, columns = inside.shape
    for j in range(rows):
        for i in range(columns):
            if not inside[j, i] or dynamic[j, i] > 0.0:
                continue
            count, heads, moving = 0, 0.0, 0.0
            for way in range(4):
                jj, ii = j + (way == 3) - (way == 2), i + (way == 1) - (way == 0)
                if 0 <= jj < rows and 0 <= ii < columns and inside[jj, ii] and dynamic[jj, ii] > 0.0:
                    count += 1
                    heads += head[jj, ii]
                    moving += dynamic[jj, ii]
            if count > 0:
                head[j, i], dynamic[j, i] = heads / count, moving / count


@batch
def _search(
    cells: Cells,
    law: Law,
    blowers: Blowers,
    state: Any,
    speed: Any,
    tolerance: float,
    most_damping: float,
    most: int,
) -> tuple[int, float, float, float]:
    """Balance every cell and opening in place; turns taken, what is out, air in by gaps and out by flaps.

    The state is every head, every dynamic head and every opening's pressure in one row.
    """
    rows, columns = cells.depth.shape
    count = rows * columns
    head, dynamic = state[:count].reshape((rows, columns)), state[count : 2 * count].reshape((rows, columns))
    pressure = state[2 * count :]
    work, net = _work_of(cells), levels(rows, columns)
    edges = _edges_of(cells, law, work.inside)
    past, at_start, kept = past_of(len(state)), np.empty_like(state), 0
    lowest = min(law.ahead, law.bay - 1.1 * np.max(blowers.pressure))
    highest = max(law.ahead, law.bay)
    damping, before, turn = 0.9 * most_damping, math.inf, 0
    _let_go(work.inside, head, dynamic)
    while True:
        at_start[:] = state
        drift = _resist(cells, law, work, head, dynamic, damping)
        _flow(cells, work, edges, net, head, pressure)
        _along(cells, work.inside, work.qx, work.qy, work.along)
        air, off, gaps, flaps = _balance(cells, law, blowers, work, edges, net, head, pressure, dynamic, damping)
        off = (off + drift) / max(air, 1e-12)
        if not off > tolerance or turn >= most:
            break
        if off < before:
            damping = min(1.05 * damping, most_damping)
        else:
            damping, kept = max(0.7 * damping, _LEAST_DAMPING), 0
        before = off
        turn += 1
        _newton(work, edges, net, head, pressure, lowest, highest)
        if off < _NEAR and damping > _SURE:
            shorten(past, at_start, state, kept)
            kept += 1
            for c in range(len(state)):
                state[c] = max(state[c], 0.0) if count <= c < 2 * count else min(max(state[c], lowest), highest)
    for j in range(rows):
        for i in range(columns):
            if not work.inside[j, i]:
                dynamic[j, i] = 0.0
                if cells.opening[j, i] >= 0:
                    head[j, i] = pressure[cells.opening[j, i]]
    _speeds(cells, law, work, head - dynamic, pressure, speed)
    return turn, off, gaps, flaps


@compilable
def _speeds(cells: Cells, law: Law, work: _Work, static: Any, pressure: Any, speed: Any) -> None:
    """Set the mean speed of the air through the core in every cell; nan where there is no core."""
    rows, columns = static.shape
    for j in range(rows):
        for i in range(columns):
            speed[j, i] = 0.0 if cells.core[j, i] > 0.0 else math.nan
            rest = max(1.0 - work.under[j, i], 0.0)
            for k in range(len(pressure)):
                share = cells.disc[k, j, i]
                if cells.opening[j, i] == k and cells.wet[j, i]:
                    share += rest
                speed[j, i] += share * core_speed(law.ahead - pressure[k], law.linear, law.square)
            if work.inside[j, i]:
                drop = law.ahead - static[j, i]
                speed[j, i] += rest * core_speed(drop, law.linear, law.square)


def _only(blowers: Blowers, k: int) -> Blowers:
    one = slice(k, k + 1)
    return Blowers(blowers.flow[one], blowers.pressure[one], blowers.points[one], blowers.stopped[one])


@batch
def fans_together(blowers: Blowers, rise: float) -> float:
    """Return the flow through all the fans at one pressure rise, [m**3/s]."""
    return _together(blowers, rise)


@compilable
def _together(blowers: Blowers, rise: float) -> float:
    total = 0.0
    for k in range(len(blowers.points)):
        flow, _ = _fan(blowers.flow[k], blowers.pressure[k], blowers.points[k], blowers.stopped[k], rise)
        total += flow
    return total


@batch
def common_rise(blowers: Blowers, loss: float, flow: float) -> float:
    """Return the rise at which the fans together move a flow, or meet a loss over the flow squared, [Pa].

    The loss is looked at where it is above nothing.
    """
    top = 1.1 * np.max(blowers.pressure) + 1.0
    low, high = 0.0 if loss > 0.0 else -top, top
    while loss <= 0.0 and _together(blowers, low) < flow and low > -1e7:
        low *= 2.0
    for _ in range(60):
        rise = 0.5 * (low + high)
        wanted = math.sqrt(rise / loss) if loss > 0.0 else flow
        low, high = (rise, high) if _together(blowers, rise) > wanted else (low, rise)
    return 0.5 * (low + high)


@batch
def rise_beside_leaks(blowers: Blowers, share: float, drawn: float, gap: float, flap: float, density: float) -> float:
    """Return the rise at which the fans move a share of the air drawn and of what gaps and flaps let in there, [Pa].

    Flaps shut where the fans' side is the lower one.
    """
    high = 1.1 * np.max(blowers.pressure) + 1.0
    low = -high
    for _ in range(_DOUBLINGS):
        if _together(blowers, low) > share * (drawn + leak_flow(gap + flap, low, density)):
            break
        low *= 2.0
    for _ in range(_HALVINGS):
        rise = 0.5 * (low + high)
        leaks = leak_flow(gap + (flap if rise < 0.0 else 0.0), rise, density)
        low, high = (rise, high) if _together(blowers, rise) > share * (drawn + leaks) else (low, rise)
    return 0.5 * (low + high)


def solve_field(
    cells: Cells, law: Law, blowers: Blowers, start: Field | None = None, tolerance: float = QUICK
) -> Field:
    """Balance the air behind a core, cell by cell.

    Parameters
    ----------
    cells : Cells
        The plenum, with its openings.
    law : Law
        Core loss and pressures.
    blowers : Blowers
        One fan for each opening, in their order.
    start : Field, optional
        A neighbour to start from, of the same cells.
    tolerance : float
        Share of the air by which the balances may be out, added up without sign, [-]

    Returns
    -------
    Field
        ``has_settled`` is false where the balances never closed: its numbers then mean nothing.

    Notes
    -----
    Limits: a gap much thinner than an opening's radius; rotation of the air left out; the fans take their air as
    it comes. Accuracy: 0.5 % of the air against the full depth-averaged equations, 1/4 to 4 in, every fan running;
    with one standing up to 6 % too much air has been seen.

    References
    ----------
    Profile factor pi**2 / 8: plane flow between a wall that lets air in and a solid one, Taylor 1956, Culick 1966,
    from memory. The closure is derived here.
    """
    found = _from(cells, law, blowers, start, tolerance, _HASTY)
    if not found.has_settled and start is not None:
        found = _from(cells, law, blowers, None, tolerance, _HASTY)
    if not found.has_settled:
        for deeper in (*_DEEPER, 1.0):
            found = _from(cells._replace(depth=deeper * cells.depth), law, blowers, found, tolerance, _GENTLE)
    return found


def _from(
    cells: Cells, law: Law, blowers: Blowers, start: Field | None, tolerance: float, most_damping: float
) -> Field:
    openings = len(cells.circles)
    if start is None or not np.all(np.isfinite(start.head)):
        likely = law.bay - _LIKELY_PULL * float(np.max(blowers.pressure))
        head, pressure = np.full(cells.depth.shape, likely), np.full(openings, likely)
        dynamic = np.zeros_like(head)
    else:
        head, pressure, dynamic = start.head, start.pressure, start.dynamic
    speed, state = np.empty_like(head), np.concatenate((head.ravel(), dynamic.ravel(), pressure))
    turns, off, gap, flap = _search(cells, law, blowers, state, speed, tolerance, most_damping, _TURNS)
    head, dynamic = state[: 2 * head.size].reshape((2, *head.shape))
    pressure = state[2 * head.size :]
    flow = np.array([fans_together(_only(blowers, k), law.bay - float(pressure[k])) for k in range(openings)])
    return Field(flow, pressure, head, dynamic, speed, gap, flap, off, off <= tolerance, turns)
