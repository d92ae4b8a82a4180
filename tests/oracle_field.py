"""The air in a plenum by a plain sparse Newton method, written apart from the package's solver.

newton        the head closure on every unknown
even_march    heat of a stand-in core whose cells take unlike air
heat_ratio, unevenness, plenum_loss    what an answer comes to

Only the names of what is asked (`pack.cells`) and the reading of a fan curve are shared with the package.
"""

from typing import NamedTuple

import numba
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

from shroudwright.fans.curve import fan_flow
from shroudwright.pack.cells import Blowers, Cells, Law, Numbers

GAP_DISCHARGE = 0.6
SOFT = 5.0
"""Pressure under which the flow of a gap or flap turns from a root into a line, [Pa]"""
LEAST = 1e-6
"""Least speed that resists air along the plate, [m/s]"""
NEAREST = 0.05
"""Least distance from a cell's centre to an opening, of the grid's spacing, [-]"""
MOST_ASLANT = 0.2
"""Least squareness an opening's rim is met with, [-]"""
LEAST_TURNING = 0.1
"""Least share of the head that an opening is taken to cost, [-]"""
NUDGE, FAN_NUDGE = 1e-30j, 1e-4
TIGHT, STEPS, HALVINGS = 1e-11, 40, 10
SPEED = 10.0
"""What an error of the air's speed along the plate is measured by, [m/s]"""
DEEPEST, LEAST_RATIO = 32.0, 1.02

read_curve = numba.njit(fan_flow)
Places = NDArray[np.int64]


class Answer(NamedTuple):
    """What a reference found; arrays over cells have shape (ny, nx) and are nan where there is nothing."""

    flow: Numbers
    """Through each opening, [m**3/s]"""
    pf: Numbers
    """At each opening, [Pa]"""
    v: Numbers
    """Speed of the air out of the core, [m/s]"""
    H: Numbers
    """Pressure and head along the plate, [Pa]"""
    balance: float
    """Largest error of a cell's or an opening's air, of all the fans' air, [-]"""


class Unsolved(Exception):
    """The reference did not come to an answer."""


def size(z: Numbers) -> Numbers:
    """Absolute value, of complex numbers the analytic one."""
    return np.where(z.real < 0.0, -z, z)


def at_least(z: Numbers, least: float) -> Numbers:
    """The larger, by the real part."""
    return np.where(z.real < least, least, z)


def gather(places: Places, values: Numbers, n: int) -> Numbers:
    """Sum the values that share a place."""
    if np.iscomplexobj(values):
        return np.bincount(places, values.real, n) + 1j * np.bincount(places, values.imag, n)
    return np.bincount(places, values, n)


def core_speed(drop: Numbers, law: Law) -> Numbers:
    """Face speed at a drop, back-flow with its sign."""
    root = law.linear + np.sqrt(law.linear**2 + 4.0 * law.square * size(drop))
    return np.asarray(2.0 * drop / np.where(root != 0.0, root, 1.0))


def soft_root(drop: Numbers, area: Numbers, density: float) -> Numbers:
    """Flow of an orifice, a straight line near no drop."""
    return np.asarray(GAP_DISCHARGE * area * np.sqrt(2.0 / density) * drop / np.sqrt(size(drop) + SOFT))


def leak(pressure: Numbers, gap: Numbers, flap: Numbers, law: Law) -> Numbers:
    """Air in through gaps less air out through flaps that open outwards only."""
    inward = law.bay - pressure
    return soft_root(inward, gap, law.density) - soft_root(at_least(-inward, 0.0), flap, law.density)


def fan_flows(pf: Numbers, law: Law, blowers: Blowers) -> Numbers:
    """Air each fan draws at the pressures in the openings."""
    rise = law.bay - pf
    running = [
        read_curve(*curve, float(dp))
        for *curve, dp in zip(blowers.flow, blowers.pressure, blowers.points, rise, strict=True)
    ]
    still = np.where(blowers.stopped > 0.0, blowers.stopped, 1.0)
    return np.where(blowers.stopped > 0.0, -np.sign(rise) * np.sqrt(np.abs(rise) / still), running)


def face_speed(cells: Cells, law: Law, pressure: Numbers, pf: Numbers) -> Numbers:
    """Speed of the core's air, a mean over each cell's parts under openings and beside them, nan where no core is."""
    behind = np.where(cells.wet, np.where(cells.opening >= 0, pf[cells.opening], pressure), law.bay)
    beside = 1.0 - cells.disc.sum(axis=0)
    under = np.tensordot(core_speed(law.ahead - pf, law), cells.disc, axes=1)
    return np.where(cells.core > 0.0, beside * core_speed(law.ahead - behind, law) + under, np.nan)


def rim(cells: Cells) -> tuple[Numbers, Numbers]:
    """From each cell's centre along x, and along y, to each opening's rim: how far, and how squarely it is met there.

    Shape (2, openings, ny, nx); squareness is the part of the circle's normal along the grid line.
    """
    ny, nx = cells.wet.shape
    x, y = np.meshgrid((np.arange(nx) + 0.5) * cells.dx, (np.arange(ny) + 0.5) * cells.dy)
    cx, cy, radius = (part[:, None, None] for part in cells.circles.T)
    away = np.abs(np.stack([x - cx, y - cy]))
    half_chord = np.sqrt(np.maximum(radius**2 - away[::-1] ** 2, 0.0))
    spacing = np.array([cells.dx, cells.dy])[:, None, None, None]
    distance = np.clip(away - half_chord, NEAREST * spacing, spacing)
    return distance, np.maximum(half_chord / radius, MOST_ASLANT)


class Openings:
    """What the openings take without the plenum: core air under the discs, gaps and flaps in their own cells."""

    def __init__(self, cells: Cells, law: Law) -> None:
        self.law = law
        face = cells.dx * cells.dy * cells.core
        under = cells.disc.sum(axis=0)
        whose = np.where(cells.wet, cells.opening, np.where(under > 0.0, cells.disc.argmax(axis=0), -1))
        mine = whose == np.arange(len(cells.circles))[:, None, None]
        beside = np.where(cells.wet, 1.0 - under, 0.0) * mine
        self.face = ((cells.disc + beside) * face).sum(axis=(1, 2))
        self.gap = (mine * cells.gap).sum(axis=(1, 2))
        self.flap = (mine * cells.flap).sum(axis=(1, 2))

    def gathered(self, pf: Numbers) -> Numbers:
        """Air into each opening from core, gaps and flaps."""
        return self.face * core_speed(self.law.ahead - pf, self.law) + leak(pf, self.gap, self.flap, self.law)


class Closure:
    """Residuals of the head closure: H, and the air's speed along x and y, in each plenum cell, and pf.

    The speeds are unknowns of their own, so that every equation holds neighbours only.
    """

    def __init__(self, cells: Cells, law: Law, blowers: Blowers) -> None:
        self.cells, self.law, self.blowers, self.openings = cells, law, blowers, Openings(cells, law)
        self.inside = cells.wet & (cells.opening < 0)
        self.n, self.m = int(self.inside.sum()), len(cells.circles)
        number = np.full(self.inside.shape, -1)
        number[self.inside] = np.arange(self.n)
        rows, columns = np.nonzero(self.inside)
        self.colour = (columns + 2 * rows) % 5
        self.h = cells.depth[self.inside]
        self.core = (cells.dx * cells.dy * cells.core * (1.0 - cells.disc.sum(axis=0)))[self.inside]
        self.gap, self.flap = cells.gap[self.inside], cells.flap[self.inside]
        self.step, self.length = (cells.dx, cells.dy), (cells.dy, cells.dx)
        self.faces: list[tuple[Places, Places]] = []
        edges = []
        for axis, lets_by in enumerate((cells.open_x, cells.open_y)):
            low, high = ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[:-1, :], np.s_[1:, :]))[axis]
            passes = lets_by & cells.wet[low] & cells.wet[high]
            both = passes & self.inside[low] & self.inside[high]
            self.faces.append((number[low][both], number[high][both]))
            for here, there, sign in ((low, high, 1.0), (high, low, -1.0)):
                at = passes & self.inside[here] & (cells.opening[there] >= 0)
                i, k = number[here][at], cells.opening[there][at]
                edges.append((i, k, np.full(len(i), axis), np.full(len(i), sign)))
        self.ei, self.ek, self.eaxis, self.esign = (np.concatenate(part) for part in zip(*edges, strict=True))
        at = self.eaxis, self.ek, rows[self.ei], columns[self.ei]
        self.distance, self.square_on = (part[at] for part in rim(cells))
        self.elength = np.array(self.length)[self.eaxis]

    def split(self, x: Numbers) -> tuple[Numbers, Numbers, Numbers]:
        """H, the two speeds, and pf."""
        return x[: self.n], x[self.n : 3 * self.n].reshape(2, self.n), x[3 * self.n :]

    def head(self, H: Numbers, u: Numbers, pf: Numbers) -> Numbers:
        """Dynamic head along the plate, beta kept: no more than would leave the lowest opening's pressure."""
        law = self.law
        left = at_least(H - pf[pf.real.argmin()], 0.0) / max(law.turning, LEAST_TURNING)
        moving = law.profile * law.density * (u**2).sum(axis=0) / 2.0
        return np.where(moving.real < left.real, moving, left)

    def residual(self, x: Numbers) -> tuple[Numbers, Numbers]:
        """What is left of every equation, and the air over each edge of an opening."""
        law = self.law
        H, u, pf = self.split(x)
        p = H - self.head(H, u, pf)
        v = core_speed(law.ahead - p, law)
        slowing = law.profile * at_least(v, 0.0) + law.friction * np.sqrt((u**2).sum(axis=0)) / 4.0
        r = law.density / self.h**2 * at_least(slowing, LEAST)

        drop = H[self.ei] - pf[self.ek]
        square = (
            law.turning * law.profile * law.density / (2.0 * (self.elength * self.square_on * self.h[self.ei]) ** 2)
        )
        straight = self.distance * r[self.ei] / self.elength
        edge = 2.0 * drop / (straight + np.sqrt(straight**2 + 4.0 * square * size(drop)))

        out, speeds = gather(self.ei, edge, self.n), []
        for axis, (i, j) in enumerate(self.faces):
            q = self.length[axis] * (H[i] - H[j]) / (self.step[axis] / 2.0 * (r[i] + r[j]))
            out += gather(i, q, self.n) - gather(j, q, self.n)
            mine = self.eaxis == axis
            both = gather(i, q, self.n) + gather(j, q, self.n)
            both += gather(self.ei[mine], (self.esign * edge)[mine], self.n)
            speeds.append(both / (2.0 * self.length[axis] * self.h) - u[axis])
        air = out - self.core * v - leak(p, self.gap, self.flap, law)
        fans = gather(self.ek, edge, self.m) + self.openings.gathered(pf) - fan_flows(pf.real, law, self.blowers)
        return np.concatenate([air, *speeds, fans]), edge

    def jacobian(self, x: Numbers) -> csc_matrix:
        """Slopes by complex steps, one colour of cells at a time: no equation holds two cells of a colour."""
        i, j = (np.concatenate(part) for part in zip(*self.faces, strict=True))
        whose = np.concatenate([np.arange(self.n), i, j])
        of = np.concatenate([np.arange(self.n), j, i])
        rows, columns, values = [], [], []
        for field in range(3):
            start = field * self.n
            for colour in range(5):
                moved = x.astype(complex)
                moved[start : start + self.n][self.colour == colour] += NUDGE
                slope, edge_slope = (part.imag / NUDGE.imag for part in self.residual(moved))
                pick = self.colour[of] == colour
                for block in range(3):
                    rows.append(block * self.n + whose[pick])
                    columns.append(start + of[pick])
                    values.append(slope[rows[-1]])
                pick = self.colour[self.ei] == colour
                rows.append(3 * self.n + self.ek[pick])
                columns.append(start + self.ei[pick])
                values.append(edge_slope[pick])
        for k in range(self.m):
            moved = x.astype(complex)
            moved[3 * self.n + k] += NUDGE
            slope = self.residual(moved)[0].imag / NUDGE.imag
            slope[3 * self.n + k] -= self.fan_slope(x[3 * self.n :])[k]
            rows.append(np.flatnonzero(slope))
            columns.append(np.full(len(rows[-1]), 3 * self.n + k))
            values.append(slope[rows[-1]])
        shape = (len(x), len(x))
        return csc_matrix((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape)

    def fan_slope(self, pf: Numbers) -> Numbers:
        """How the fans' flows grow with the pressure in their openings."""
        after, before = (fan_flows(pf + move, self.law, self.blowers) for move in (FAN_NUDGE, -FAN_NUDGE))
        return (after - before) / (2.0 * FAN_NUDGE)

    def deep(self) -> Numbers:
        """Where to start: every pressure that of a plenum without end, no air along the plate."""
        law, count = self.law, self.blowers

        def left(p: float) -> float:
            inside = self.core.sum() * core_speed(np.array(law.ahead - p), law)
            inside += leak(np.array(p), self.gap.sum(), self.flap.sum(), law)
            pf = np.full(self.m, p)
            return float(inside + (self.openings.gathered(pf) - fan_flows(pf, law, count)).sum())

        low = min(law.bay, law.ahead) - count.pressure.max() - 1.0
        p = brentq(left, low, max(law.bay, law.ahead) + 1.0, xtol=1e-12)
        return np.concatenate([np.full(self.n, p), np.zeros(2 * self.n), np.full(self.m, p)])

    def from_pressures(self, start: Answer) -> Numbers:
        """Where to start from known H and pf: the speeds follow by a few damped passes."""
        x = np.concatenate([start.H[self.inside], np.zeros(2 * self.n), start.pf])
        for _ in range(40):
            x[self.n : 3 * self.n] += 0.5 * self.residual(x)[0][self.n : 3 * self.n]
        return x

    def answer(self, x: Numbers) -> Answer:
        """The speeds of the core's air, cell by cell, and what was asked beside."""
        H, u, pf = self.split(x)
        left, _ = self.residual(x)
        flow = fan_flows(pf, self.law, self.blowers)
        air = np.concatenate([left[: self.n], left[3 * self.n :]])
        whole = np.full(self.inside.shape, np.nan)
        whole[self.inside] = H
        pressure = whole.copy()
        pressure[self.inside] -= self.head(H, u, pf)
        return Answer(
            flow,
            pf,
            face_speed(self.cells, self.law, pressure, pf),
            whole,
            float(np.abs(air).max() / np.abs(flow).sum()),
        )

    def solve(self, x: Numbers) -> Numbers:
        """Newton's method, each step halved until it helps."""
        volume = max(float(np.abs(fan_flows(self.split(self.deep())[2], self.law, self.blowers)).sum()), 1e-12)
        scale = np.concatenate([np.full(self.n, volume), np.full(2 * self.n, SPEED), np.full(self.m, volume)])
        left = self.residual(x)[0]
        off = float(np.linalg.norm(left / scale))
        for _ in range(STEPS):
            if np.abs(left / scale).max() < TIGHT:
                return x
            step = splu(self.jacobian(x)).solve(-left)
            share = 1.0
            for _ in range(HALVINGS):
                trial = x + share * step
                left_then = self.residual(trial)[0]
                off_then = float(np.linalg.norm(left_then / scale))
                if off_then < (1.0 - 0.1 * share) * off:
                    break
                share /= 2.0
            else:
                if np.abs(left / scale).max() < 1e3 * TIGHT:
                    return x
                raise Unsolved(f"no step helps, {off:.1e} left")
            x, left, off = trial, left_then, off_then
        raise Unsolved(f"{STEPS} steps were not enough, {off:.1e} left")


def newton(cells: Cells, law: Law, blowers: Blowers, start: Answer | None = None) -> Answer:
    """Solve the head closure; where the plenum is too shallow for a first try, come down to it from deeper ones."""
    problem = Closure(cells, law, blowers)

    def solve(times: float, x: Numbers) -> Numbers:
        return Closure(cells._replace(depth=cells.depth * times), law, blowers).solve(x)

    times, ratio = 1.0, 2.0
    try:
        x = solve(times, problem.deep() if start is None else problem.from_pressures(start))
    except Unsolved:
        times = DEEPEST
        x = solve(times, problem.deep())
    while times > 1.0:
        try:
            x = solve(max(times / ratio, 1.0), x)
            times = max(times / ratio, 1.0)
        except Unsolved:
            ratio **= 0.5
            if ratio < LEAST_RATIO:
                raise
    return problem.answer(x)


def even_march(
    cells: Cells,
    v: Numbers,
    density: float,
    *,
    coolant: float = 4000.0,
    NTU: float = 1.2,
    specific_heat: float = 1006.0,
) -> float:
    """Heat of a stand-in core per kelvin between coolant and air coming in, coolant along x, a like share to each row.

    `NTU` is at 3 m/s; of the resistance there 15 % is fixed, the rest goes as v^-0.55; `coolant` in W/K. Air does not
    mix; coolant mixes across the core's thickness, so along a row its excess falls as an exponential.
    """
    blows = np.where((cells.core > 0.0) & (v > 0.0), v, 0.0)
    capacity = density * specific_heat * cells.dx * cells.dy * cells.core * blows
    at_3 = NTU * density * specific_heat * 3.0 * cells.dx * cells.dy * cells.core
    slow = np.where(blows > 0.0, blows, 1.0)
    UA = np.where(blows > 0.0, at_3 / (0.85 * (3.0 / slow) ** 0.55 + 0.15), 0.0)
    taken = capacity * (1.0 - np.exp(-UA / np.where(capacity > 0.0, capacity, 1.0)))
    heat, excess, share = np.zeros(len(v)), np.ones(len(v)), coolant / len(v)
    for column in taken.T:
        after = excess * np.exp(-column / share)
        heat, excess = heat + share * (excess - after), after
    return float(heat.sum())


def mean_speed(cells: Cells, v: Numbers) -> float:
    """Mean speed over the open core."""
    return float(np.nansum(cells.core * v) / cells.core.sum())


def heat_ratio(cells: Cells, v: Numbers, density: float) -> float:
    """Heat with this air over heat with as much air spread evenly."""
    even = np.full_like(v, mean_speed(cells, v))
    return even_march(cells, v, density) / even_march(cells, even, density)


def unevenness(cells: Cells, v: Numbers) -> float:
    """Standard deviation of the speed over its mean, open core only."""
    mean = mean_speed(cells, v)
    return float(np.sqrt(np.nansum(cells.core * (v - mean) ** 2) / cells.core.sum()) / mean)


def plenum_loss(cells: Cells, law: Law, answer: Answer) -> float:
    """What the plenum loses on the core-face dynamic head, fan rise weighted by fan flow."""
    V = mean_speed(cells, answer.v)
    rise = float(((law.bay - answer.pf) * answer.flow).sum() / answer.flow.sum())
    return (law.ahead - law.bay + rise - law.linear * V - law.square * V**2) / (law.density * V**2 / 2.0)
