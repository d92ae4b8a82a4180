"""A plate cut into cells: its stiffness and its mass.

Plate, Edges, Weight, Beam, Doubler    what is worked out
Mesh                                   the same, summed cell by cell
Cell                                   the shapes a cell can take
elastic                                moments from bends

Rectangles of sixteen unknowns that join without a kink (Bogner, Fox and Schmit, 1965, from memory): w, its two
slopes and its twist at each corner, cubic between. Cells that an opening cuts are summed over the metal in them
only, point by point: an outline of any shape needs no mesh of its own, and its edge is free by itself.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import Arc, Outline, Straight, inside
from shroudwright.metal.chain import Chain, Numbers

_MOST_CELLS = 60
_POINTS = 12
"""To a side of a cut cell."""
_GHOST = 1e-6
"""Stiffness left in the hole of a cut cell, so that a sliver of metal leaves no unknown loose, [-]"""


class Edges(NamedTuple):
    """How each edge is held: None free, 0 hinged, infinite clamped, else a turning spring per length, [N]."""

    left: float | None = 0.0
    right: float | None = 0.0
    bottom: float | None = 0.0
    top: float | None = 0.0


HINGED = Edges()


class Weight(NamedTuple):
    """A mass on one spot, [m] and [kg]."""

    x: float
    y: float
    mass: float


class Beam(NamedTuple):
    """A stiffener along straights and arcs: bending stiffness about the face, [N*m**2], and mass, [kg/m]."""

    path: tuple[Straight | Arc, ...]
    stiffness: float
    mass: float


class Doubler(NamedTuple):
    """More sheet on part of the face; each sheet bends by itself, as with a few rivets."""

    outline: Outline
    thickness: float


@dataclass(frozen=True)
class Plate:
    """A rectangular sheet, lower left at the origin, SI."""

    width: float
    height: float
    thickness: float
    elasticity: float
    poisson: float
    density: float
    edges: Edges = HINGED
    openings: tuple[Outline, ...] = ()
    weights: tuple[Weight, ...] = ()
    beams: tuple[Beam, ...] = ()
    doublers: tuple[Doubler, ...] = ()

    @property
    def rigidity(self) -> float:
        """Bending stiffness per width, [N*m]."""
        return self.elasticity * self.thickness**3 / (12.0 * (1.0 - self.poisson**2))


def _hermite(s: Numbers, h: float) -> tuple[Numbers, Numbers, Numbers]:
    """Return value, slope and bend of an edge's four cubics, length h, s from 0 to 1, (..., end, w or slope)."""
    one = np.ones_like(s)
    value = (1 - 3 * s**2 + 2 * s**3, h * (s - 2 * s**2 + s**3), 3 * s**2 - 2 * s**3, h * (s**3 - s**2))
    slope = ((6 * s**2 - 6 * s) / h, 1 - 4 * s + 3 * s**2, (6 * s - 6 * s**2) / h, 3 * s**2 - 2 * s)
    bend = ((12 * s - 6) / h**2, (6 * s - 4) / h, (6 - 12 * s) / h**2, (6 * s - 2) / h)
    value_, slope_, bend_ = (
        np.stack([item * one for item in items], -1).reshape(*s.shape, 2, 2) for items in (value, slope, bend)
    )
    return value_, slope_, bend_


def _cross(across: Numbers, up: Numbers) -> Numbers:
    """Join cubics across and up to the sixteen of a cell: corner by corner, w, w_x, w_y, w_xy."""
    joined: Numbers = np.einsum("...ad,...be->...abed", across, up)
    return joined.reshape(*joined.shape[:-4], 16)


class Cell:
    """The sixteen shapes of a cell at points of it: value, and bend along x, along y and twist."""

    def __init__(self, s: Numbers, r: Numbers, dx: float, dy: float) -> None:
        across, up = _hermite(s, dx), _hermite(r, dy)
        self.value = _cross(across[0], up[0])
        self.slope_x, self.slope_y = _cross(across[1], up[0]), _cross(across[0], up[1])
        self.bend = np.stack([_cross(across[2], up[0]), _cross(across[0], up[2]), 2.0 * _cross(across[1], up[1])], -2)


def elastic(poisson: float) -> Numbers:
    """Moments over rigidity from bends."""
    return np.array([[1.0, poisson, 0.0], [poisson, 1.0, 0.0], [0.0, 0.0, 0.5 * (1.0 - poisson)]])


@lru_cache(maxsize=8)
def _tables(dx: float, dy: float, poisson: float, points: int, *, is_gauss: bool) -> tuple[Numbers, Numbers]:
    """Stiffness over rigidity and mass over mass per area, at each point of a cell with its share of the area."""
    if is_gauss:
        nodes, weights = np.polynomial.legendre.leggauss(points)
        nodes, weights = 0.5 * (nodes + 1.0), 0.5 * weights
    else:
        nodes, weights = (np.arange(points) + 0.5) / points, np.full(points, 1.0 / points)
    s, r = (grid.ravel() for grid in np.meshgrid(nodes, nodes, indexing="ij"))
    share = np.outer(weights, weights).ravel()[:, None, None] * dx * dy
    cell = Cell(s, r, dx, dy)
    stiff = cell.bend.transpose(0, 2, 1) @ elastic(poisson) @ cell.bend * share
    heavy = cell.value[:, :, None] * cell.value[:, None, :] * share
    return stiff.reshape(-1, 256), heavy.reshape(-1, 256)


class Mesh:
    """A plate cut into cells, its stiffness and mass summed cell by cell."""

    def __init__(self, plate: Plate, cells: int) -> None:
        self.plate = plate
        size = max(min(plate.width, plate.height) / cells, max(plate.width, plate.height) / _MOST_CELLS)
        self.nx, self.ny = (max(math.ceil(side / size - 1e-9), 2) for side in (plate.width, plate.height))
        self.dx, self.dy = plate.width / self.nx, plate.height / self.ny
        self.stiff = np.zeros((self.nx, self.ny, 16, 16))
        self.heavy = np.zeros_like(self.stiff)
        x, y = self.spots(_POINTS)
        self.metal = self.metal_at(x, y)
        self._sheet(x, y)
        self._springs()
        for weight in plate.weights:
            self._add(self.heavy, np.array([weight.x]), np.array([weight.y]), np.array([weight.mass]))
        for beam in plate.beams:
            self._beam(beam)
        # A rim or an edge may run through a cell none of whose points is metal: nothing else would hold its unknowns.
        bare = ~self.metal.any((2, 3)) & (self.stiff != 0.0).any((2, 3))
        bend, _ = _tables(self.dx, self.dy, plate.poisson, 4, is_gauss=True)
        self.stiff[bare] += _GHOST * plate.rigidity * bend.sum(0).reshape(16, 16)

    def spots(self, points: int) -> tuple[Numbers, Numbers]:
        """Places of a grid of points in every cell, (nx, 1, points, 1) and (1, ny, 1, points)."""
        share = (np.arange(points) + 0.5) / points
        x = (np.arange(self.nx)[:, None] + share) * self.dx
        y = (np.arange(self.ny)[:, None] + share) * self.dy
        return x[:, None, :, None], y[None, :, None, :]

    def metal_at(self, x: Numbers, y: Numbers) -> NDArray[np.bool_]:
        """Whether places are metal."""
        found = np.ones(np.broadcast_shapes(x.shape, y.shape), dtype=bool)
        for outline in self.plate.openings:
            found &= ~inside(outline, x, y)
        return found

    def _sheet(self, x: Numbers, y: Numbers) -> None:
        plate = self.plate
        stiff, heavy = self.metal.astype(float), self.metal.astype(float)
        for doubler in plate.doublers:
            more = inside(doubler.outline, x, y) & self.metal
            stiff += more * (doubler.thickness / plate.thickness) ** 3
            heavy += more * (doubler.thickness / plate.thickness)
        whole = (stiff == 1.0).all((2, 3))
        cut = self.metal.any((2, 3)) & ~whole
        for at, is_gauss in ((whole, True), (cut, False)):
            bend, weigh = _tables(self.dx, self.dy, plate.poisson, 4 if is_gauss else _POINTS, is_gauss=is_gauss)
            if is_gauss:
                self.stiff[at] = bend.sum(0).reshape(16, 16)
                self.heavy[at] = weigh.sum(0).reshape(16, 16)
            else:
                shares = np.maximum(stiff[at].reshape(-1, _POINTS**2), _GHOST)
                self.stiff[at] = (shares @ bend).reshape(-1, 16, 16)
                self.heavy[at] = (heavy[at].reshape(-1, _POINTS**2) @ weigh).reshape(-1, 16, 16)
        self.stiff *= plate.rigidity
        self.heavy *= plate.density * plate.thickness

    def _springs(self) -> None:
        plate = self.plate
        for side, spring in plate.edges._asdict().items():
            if spring is None or not 0.0 < spring < math.inf:
                continue
            upright = side in ("left", "right")
            count, step = (self.ny, self.dy) if upright else (self.nx, self.dx)
            nodes, weights = np.polynomial.legendre.leggauss(4)
            along = ((np.arange(count)[:, None] + 0.5 * (nodes + 1.0)) * step).ravel()
            fixed = np.full_like(along, plate.width if side == "right" else plate.height if side == "top" else 0.0)
            share = np.tile(0.5 * weights * step * spring, count)
            x, y = (fixed, along) if upright else (along, fixed)
            self._add(self.stiff, x, y, share, "slope_x" if upright else "slope_y")

    def _beam(self, beam: Beam) -> None:
        step = 0.25 * min(self.dx, self.dy)
        for item in beam.path:
            x, y, tx, ty, length = _along(item, step)
            i, j, cell = self.at(x, y)
            # The bend along the way: t . (bends) . t; its table holds twice the twist.
            bend = np.einsum("pk,pkq->pq", np.stack([tx * tx, ty * ty, tx * ty], -1), cell.bend)
            np.add.at(self.stiff, (i, j), beam.stiffness * length[:, None, None] * bend[:, :, None] * bend[:, None, :])
            self._add(self.heavy, x, y, beam.mass * length)

    def at(self, x: Numbers, y: Numbers) -> tuple[NDArray[np.int64], NDArray[np.int64], Cell]:
        """Return the cells points fall in, and their shapes there."""
        i = np.clip((x / self.dx).astype(np.int64), 0, self.nx - 1)
        j = np.clip((y / self.dy).astype(np.int64), 0, self.ny - 1)
        return i, j, Cell(x / self.dx - i, y / self.dy - j, self.dx, self.dy)

    def _add(self, to: Numbers, x: Numbers, y: Numbers, amounts: Numbers, what: str = "value") -> None:
        i, j, cell = self.at(x, y)
        shape = getattr(cell, what)
        np.add.at(to, (i, j), amounts[:, None, None] * shape[:, :, None] * shape[:, None, :])

    def chain(self, cells: Numbers) -> Chain:
        """Sum cells into columns of unknowns."""
        n = 4 * (self.ny + 1)
        own, link = np.zeros((self.nx + 1, n, n)), np.zeros((self.nx, n, n))
        for j in range(self.ny):
            rows = slice(4 * j, 4 * j + 8)
            own[:-1, rows, rows] += cells[:, j, :8, :8]
            own[1:, rows, rows] += cells[:, j, 8:, 8:]
            link[:, rows, rows] += cells[:, j, :8, 8:]
        return Chain(own, link)

    def free(self) -> NDArray[np.bool_]:
        """Which unknowns neither an edge holds nor a hole leaves without metal."""
        free = np.ones((self.nx + 1, self.ny + 1, 4), dtype=bool)
        corners = {"left": free[0], "right": free[-1], "bottom": free[:, 0], "top": free[:, -1]}
        for side, spring in self.plate.edges._asdict().items():
            if spring is not None:
                along, across = (2, 1) if side in ("left", "right") else (1, 2)
                corners[side][:, [0, along]] = False
                if math.isinf(spring):
                    corners[side][:, [across, 3]] = False
        touched = np.zeros((self.nx + 1, self.ny + 1), dtype=bool)
        for right in (0, 1):
            for up in (0, 1):
                touched[right : self.nx + right, up : self.ny + up] |= self.stiff[:, :, 0, 0] > 0.0
        return (free & touched[:, :, None]).reshape(self.nx + 1, -1)

    def of_cells(self, unknowns: Numbers) -> Numbers:
        """Hand every cell its sixteen, (nx, ny, 16)."""
        u = unknowns.reshape(self.nx + 1, self.ny + 1, 4)
        return np.concatenate([u[:-1, :-1], u[:-1, 1:], u[1:, :-1], u[1:, 1:]], axis=-1)


def _along(item: Straight | Arc, step: float) -> tuple[Numbers, Numbers, Numbers, Numbers, Numbers]:
    """Cut a straight or an arc into short pieces: middles, directions and lengths."""
    if isinstance(item, Straight):
        length = math.hypot(item.x2 - item.x1, item.y2 - item.y1)
    else:
        length = abs(item.sweep) * item.radius
    count = max(math.ceil(length / step), 1)
    share = (np.arange(count) + 0.5) / count
    each = np.full(count, length / count)
    if isinstance(item, Straight):
        tx, ty = (item.x2 - item.x1) / length, (item.y2 - item.y1) / length
        return item.x1 + share * length * tx, item.y1 + share * length * ty, tx + 0 * share, ty + 0 * share, each
    angle = item.start + share * item.sweep
    c, s = np.cos(angle), np.sin(angle)
    return item.x + item.radius * c, item.y + item.radius * s, -s, c, each
