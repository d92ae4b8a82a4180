"""A plenum between core and shroud cut into cells, and what sets its air moving.

Plenum          core, shroud, flaps and gaps in the core's axes
Crack           a gap along one edge of it
Cells           the same cut into cells, openings included
Law             the core's loss and the pressures either side
Blowers         the fans in the openings, at their working density and speed
run_of          where a crack runs
cut             a plenum without openings -> Cells
with_openings   round openings put into cells

Arrays have shape (ny, nx), row 0 at the bottom, column 0 at the left, seen from behind.
"""

import math
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shroudwright.bench.arcs import Outline, box, inside
from shroudwright.bench.compiled import batch, compilable

Numbers = NDArray[np.float64]
QUICK_CELLS, FINE_CELLS = 1536, 6144
LEAST_DEPTH = 0.0025
"""Depth a roll leaves at the wall, and the least a plenum is taken as: 0.1 in, [m]"""
_SAMPLES = 8


Rectangle = tuple[float, float, float, float]
"""Left, bottom, width and height, [m]"""


class Crack(NamedTuple):
    """A gap along one edge of the shroud."""

    side: Literal["left", "right", "bottom", "top"]
    start: float
    """From the core's lower left corner along that edge, [m]"""
    end: float
    """Likewise, [m]"""
    area: float
    """[m**2]"""
    part: int = -1
    """Which outline it belongs to; -1 for all, [-]"""


class Plenum(NamedTuple):
    """Core and shroud seen from behind, lengths in metres from the core's lower left corner."""

    width: float
    """Of the core's face, [m]"""
    height: float
    """Of the core's face, [m]"""
    outlines: tuple[Outline, ...]
    """Inner outline of every box; none without a shroud."""
    depth: float
    """Fins to plate at the bottom of the boxes, [m]"""
    depth_top: float
    """Fins to plate at their top, [m]"""
    roll_radius: float = 0.0
    """Inside radius of the rolled long edges, bottom and top, [m]"""
    dividers: tuple[float, ...] = ()
    """x of every plate that parts the plenum, [m]"""
    flaps: tuple[Rectangle, ...] = ()
    """Holes that let air out into the bay and none back, [m]"""
    holes: tuple[Rectangle, ...] = ()
    """Holes that let it either way, [m]"""
    cracks: tuple[Crack, ...] = ()
    """Gaps whose place is known."""
    gaps: float = 0.0
    """Area of those spread evenly round the boxes' edges, [m**2]"""
    deeper: tuple[float, ...] = ()
    """How much deeper than that each of several boxes is, rolled on its own edges; empty for one shroud, [m]"""


class Cells(NamedTuple):
    """A plenum cut into equal cells, lengths in metres."""

    dx: float
    dy: float
    left: float
    """x of the grid's lower left corner in the core's axes, [m]"""
    bottom: float
    """y of the same, [m]"""
    depth: Numbers
    """Core face to shroud plate at the cell's centre, [m]"""
    core: Numbers
    """Share of the cell through which core air enters the plenum: 0 over a tank or a side plate; a little over 1 where
    the cells leave off more of the outline than they take in, [-]"""
    bare: Numbers
    """Share of the cell that is core no shroud covers, [-]"""
    wet: NDArray[np.bool_]
    """Whether the cell belongs to the plenum."""
    open_x: NDArray[np.bool_]
    """Whether air may pass from column i to i + 1, shape (ny, nx - 1)."""
    open_y: NDArray[np.bool_]
    """Whether air may pass from row j to j + 1, shape (ny - 1, nx)."""
    opening: NDArray[np.int64]
    """Which opening holds the cell's centre, -1 for none."""
    disc: Numbers
    """Share of the cell under each opening, shape (openings, ny, nx), [-]"""
    circles: Numbers
    """Centre from the grid's lower left corner and radius of each opening, shape (openings, 3), [m]"""
    flap: Numbers
    """Flap area in the cell, [m**2]"""
    gap: Numbers
    """Area of gaps to the bay in the cell, [m**2]"""


class Law(NamedTuple):
    """Core loss a v + b v|v| at the face speed v, air, and the pressures ahead and in the bay."""

    linear: float
    """a, [Pa s/m]"""
    square: float
    """b, [Pa s**2/m**2]"""
    density: float
    """Of the air behind the core, [kg/m**3]"""
    ahead: float = 0.0
    """Pressure ahead of the core, [Pa]"""
    bay: float = 0.0
    """Pressure behind the fans, [Pa]"""
    profile: float = np.pi**2 / 8.0
    """Momentum of the air over that of an even profile, beta, [-]"""
    friction: float = 0.04
    """Darcy friction factor of both walls, [-]"""
    turning: float = 1.0
    """Share of the head along the plate lost on turning into an opening, Kt, [-]"""


class Blowers(NamedTuple):
    """Fans in the openings: the falling branch of each curve, as `fans.curve.fan_flow` reads it."""

    flow: Numbers
    """Rising, shape (openings, points), [m**3/s]"""
    pressure: Numbers
    """Strictly falling, shape (openings, points), [Pa]"""
    points: NDArray[np.int64]
    """Points used of each."""
    stopped: Numbers
    """0 for a running fan; else K rho / (2 A**2) of one that stands, passing air either way, [Pa s**2/m**6]"""


def roll_width(depth: float, radius: float) -> float:
    """How far in from the wall a rolled edge reaches.

    The radius, or where the plenum is shallower the part of the roll that leaves `LEAST_DEPTH` at the wall.

    Parameters
    ----------
    depth : float
        Fins to plate, [m]
    radius : float
        Inside radius of the roll, [m]

    Returns
    -------
    width : float
        [m]
    """
    kept = max(radius - depth + LEAST_DEPTH, 0.0)
    return math.sqrt(max(radius**2 - kept**2, 0.0)) if depth < radius else radius


def _overlap(low: float, high: float, edges: Numbers) -> Numbers:
    """Share of every cell of a line between two places."""
    inner = np.minimum(edges[1:], high) - np.maximum(edges[:-1], low)
    return np.asarray(np.maximum(inner, 0.0) / np.diff(edges))


def _share_inside(outline: Outline, x: Numbers, y: Numbers) -> Numbers:
    """Share of every cell inside an outline: exact for an upright rectangle, 8 x 8 samples for any other."""
    around = box(outline)
    corners = {(vertex.x, vertex.y) for vertex in outline}
    whole = {(x_, y_) for x_ in (around.x1, around.x2) for y_ in (around.y1, around.y2)}
    if corners == whole and not any(vertex.bulge for vertex in outline):
        return np.outer(_overlap(around.y1, around.y2, y), _overlap(around.x1, around.x2, x))
    steps = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
    xs = (x[:-1, np.newaxis] + np.diff(x)[:, np.newaxis] * steps).ravel()
    ys = (y[:-1, np.newaxis] + np.diff(y)[:, np.newaxis] * steps).ravel()
    found = inside(outline, xs, ys[:, np.newaxis])
    return np.asarray(found.reshape(len(y) - 1, _SAMPLES, len(x) - 1, _SAMPLES).mean(axis=(1, 3)))


def run_of(plenum: Plenum, crack: Crack) -> tuple[float, float, float, float]:
    """Say where a crack runs, on the least upright box round the outlines it may be on.

    Parameters
    ----------
    plenum : Plenum
        Core and shroud.
    crack : Crack
        One of its gaps.

    Returns
    -------
    tuple of float
        x and y of one end, x and y of the other, [m]
    """
    own = plenum.outlines if crack.part < 0 else plenum.outlines[crack.part : crack.part + 1]
    edges = [box(outline) for outline in own]
    if crack.side in ("left", "right"):
        x = min(one.x1 for one in edges) if crack.side == "left" else max(one.x2 for one in edges)
        return x, crack.start, x, crack.end
    y = min(one.y1 for one in edges) if crack.side == "bottom" else max(one.y2 for one in edges)
    return crack.start, y, crack.end, y


def cut(plenum: Plenum, count: int) -> Cells:
    """Cut a plenum into some count of cells, nearly square, openings still to be put in.

    Parameters
    ----------
    plenum : Plenum
        Core and shroud.
    count : int
        Cells wanted over the core and the boxes together, such as `QUICK_CELLS`.

    Returns
    -------
    Cells
        Without openings.
    """
    boxes = [box(outline) for outline in plenum.outlines]
    left, bottom = (min([0.0, *(getattr(one, side) for one in boxes)]) for side in ("x1", "y1"))
    right = max([plenum.width, *(one.x2 for one in boxes)])
    top = max([plenum.height, *(one.y2 for one in boxes)])
    side = math.sqrt((right - left) * (top - bottom) / count)
    columns, rows = max(round((right - left) / side), 2), max(round((top - bottom) / side), 2)
    x, y = np.linspace(left, right, columns + 1), np.linspace(bottom, top, rows + 1)
    dx, dy = (right - left) / columns, (top - bottom) / rows
    core = np.outer(_overlap(0.0, plenum.height, y), _overlap(0.0, plenum.width, x))
    wet, part_of = np.zeros(core.shape, dtype=np.bool_), np.full(core.shape, -1)
    covered = np.zeros_like(core)
    for index, outline in enumerate(plenum.outlines):
        share = _share_inside(outline, x, y)
        covered += np.minimum(share, core)
        wet |= share >= 0.5
        part_of[share >= 0.5] = index
    over = np.where(wet, covered, 0.0)
    if np.any(over):
        # What the staircase of cells leaves off or takes in is spread over the rest.
        over *= covered.sum() / over.sum()
    middle_x = 0.5 * (x[1:] + x[:-1])
    open_x, open_y = part_of[:, 1:] == part_of[:, :-1], part_of[1:] == part_of[:-1]
    for divider in plenum.dividers:
        open_x[:, (middle_x[:-1] < divider) & (middle_x[1:] >= divider)] = False
    edge = _Edge(wet, part_of, x, y)
    gap = edge.all_round(plenum.gaps) + _footprints(plenum.holes, wet, x, y)
    for crack in plenum.cracks:
        gap += edge.along(crack)
    return Cells(
        dx=dx,
        dy=dy,
        left=left,
        bottom=bottom,
        depth=_depths(plenum, boxes, part_of, y),
        core=over,
        bare=np.maximum(core - covered, 0.0),
        wet=wet,
        open_x=open_x,
        open_y=open_y,
        opening=np.full(core.shape, -1, dtype=np.int64),
        disc=np.zeros((0, *core.shape)),
        circles=np.zeros((0, 3)),
        flap=_footprints(plenum.flaps, wet, x, y),
        gap=gap,
    )


def _depths(plenum: Plenum, boxes: list[Any], part_of: NDArray[np.int64], y: Numbers) -> Numbers:
    low = min((one.y1 for one in boxes), default=0.0)
    high = max((one.y2 for one in boxes), default=plenum.height)
    depth = np.repeat(_column(plenum, 0.0, low, high, y)[:, np.newaxis], part_of.shape[1], axis=1)
    for index, (deeper, one) in enumerate(zip(plenum.deeper, boxes, strict=False)):
        own = _column(plenum, deeper, one.y1, one.y2, y)[:, np.newaxis]
        depth = np.where(part_of == index, own, depth)
    return depth


def _column(plenum: Plenum, deeper: float, low: float, high: float, y: Numbers) -> Numbers:
    """Depth up a box from its bottom to its top."""
    middle = 0.5 * (y[1:] + y[:-1])
    bottom, top = plenum.depth + deeper, plenum.depth_top + deeper
    depth = bottom + (top - bottom) * (middle - low) / (high - low)
    if plenum.roll_radius > 0.0:
        for edge, depth_there in ((low, bottom), (high, top)):
            width = roll_width(depth_there, plenum.roll_radius)
            off = np.clip(width - np.abs(middle - edge), 0.0, plenum.roll_radius)
            depth = depth - (plenum.roll_radius - np.sqrt(plenum.roll_radius**2 - off**2))
    return np.maximum(depth, LEAST_DEPTH)


def _footprints(rectangles: tuple[Rectangle, ...], wet: NDArray[np.bool_], x: Numbers, y: Numbers) -> Numbers:
    """Lay holes on the cells of the plenum, each with its whole area."""
    area = np.zeros(wet.shape)
    for left, bottom, width, height in rectangles:
        under = np.where(wet, np.outer(_overlap(bottom, bottom + height, y), _overlap(left, left + width, x)), 0.0)
        if under.any():
            area += width * height * under / under.sum()
    return area


class _Edge(NamedTuple):
    """The cells at the edge of the boxes, over which gaps are spread by the length of edge each has."""

    wet: NDArray[np.bool_]
    part_of: NDArray[np.int64]
    x: Numbers
    y: Numbers

    def _walls(self) -> dict[str, Numbers]:
        """Length of wall each cell has on each side."""
        out = np.pad(~self.wet, 1, constant_values=True)
        dx, dy = float(self.x[1] - self.x[0]), float(self.y[1] - self.y[0])
        sides = {"left": out[1:-1, :-2], "right": out[1:-1, 2:], "bottom": out[:-2, 1:-1], "top": out[2:, 1:-1]}
        return {
            side: np.where(self.wet & beyond, dy if side in ("left", "right") else dx, 0.0)
            for side, beyond in sides.items()
        }

    def all_round(self, area: float) -> Numbers:
        """Spread an area over the whole edge."""
        return _spread(area, sum(self._walls().values(), np.zeros(self.wet.shape)))

    def along(self, crack: Crack) -> Numbers:
        """Spread a crack's area over its run."""
        walls = self._walls()[crack.side]
        if crack.part >= 0:
            walls = np.where(self.part_of == crack.part, walls, 0.0)
        if crack.side in ("left", "right"):
            return _spread(crack.area, walls * _overlap(crack.start, crack.end, self.y)[:, np.newaxis])
        return _spread(crack.area, walls * _overlap(crack.start, crack.end, self.x))


def _spread(area: float, weights: Numbers) -> Numbers:
    return np.asarray(area * weights / weights.sum()) if weights.any() else np.zeros(weights.shape)


def with_openings(cells: Cells, circles: ArrayLike) -> Cells:
    """Put round openings into cells.

    Parameters
    ----------
    cells : Cells
        From `cut`.
    circles : array
        Centre in the core's axes and radius of each opening, shape (openings, 3), [m]

    Returns
    -------
    Cells
        With the openings in place of any that were there.
    """
    shifted = np.array(circles, dtype=float).reshape(-1, 3) - np.array([cells.left, cells.bottom, 0.0])
    disc = np.zeros((len(shifted), *cells.depth.shape))
    opening = np.full(cells.depth.shape, -1, dtype=np.int64)
    _put(shifted, cells.dx, cells.dy, disc, opening)
    return cells._replace(disc=disc, opening=opening, circles=shifted)


@compilable
def _quarter(x: float, y: float, radius: float) -> float:
    """Area of a circle about the origin left of x and below y."""
    x, y = min(max(x, -radius), radius), min(max(y, -radius), radius)
    if x <= -radius or y <= -radius:
        return 0.0
    # Columns from -r to x: each from the lower half of the circle up to the lesser of y and its upper half.
    reach = math.sqrt(radius * radius - y * y)
    total = 0.0
    if y >= 0.0:
        total += 2.0 * _under(-radius, min(x, -reach), radius)
        if x > -reach:
            total += _under(-reach, min(x, reach), radius) + y * (min(x, reach) + reach)
        if x > reach:
            total += 2.0 * _under(reach, x, radius)
    elif x > -reach:
        total += _under(-reach, min(x, reach), radius) + y * (min(x, reach) + reach)
    return total


@compilable
def _under(low: float, high: float, radius: float) -> float:
    """Area under half a circle about the origin between two x."""
    if high <= low:
        return 0.0
    return _primitive(high, radius) - _primitive(low, radius)


@compilable
def _primitive(x: float, radius: float) -> float:
    x = min(max(x, -radius), radius)
    return 0.5 * (x * math.sqrt(radius * radius - x * x) + radius * radius * math.asin(x / radius))


@batch
def _put(circles: Any, dx: float, dy: float, disc: Any, opening: Any) -> None:
    """Area share and holder of every cell near a circle."""
    rows, columns = opening.shape
    for k in range(len(circles)):
        x, y, radius = circles[k, 0], circles[k, 1], circles[k, 2]
        for j in range(max(int((y - radius) / dy), 0), min(int((y + radius) / dy) + 1, rows)):
            for i in range(max(int((x - radius) / dx), 0), min(int((x + radius) / dx) + 1, columns)):
                left, low = i * dx - x, j * dy - y
                far = max(math.fabs(left), math.fabs(left + dx)) ** 2 + max(math.fabs(low), math.fabs(low + dy)) ** 2
                if far <= radius * radius:
                    disc[k, j, i] = 1.0
                else:
                    area = (
                        _quarter(left + dx, low + dy, radius)
                        - _quarter(left, low + dy, radius)
                        - _quarter(left + dx, low, radius)
                        + _quarter(left, low, radius)
                    )
                    disc[k, j, i] = min(max(area / (dx * dy), 0.0), 1.0)
                if (left + 0.5 * dx) ** 2 + (low + 0.5 * dy) ** 2 < radius * radius:
                    opening[j, i] = k
