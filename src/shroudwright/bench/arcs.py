"""Outlines of straights and circular arcs: the one source of drawings, areas and clearances.

bulge_of        the number by which a drawing file carries an arc
segments        an outline as straights and arcs
length          once round
area            enclosed, positive counter-clockwise
box             the least upright box around it
contains        whether a point is inside
inside          the same for many points at once
distance        from a point to the line
moved           shifted
rectangle       with rounded corners
circle_outline  a circle as two arcs

An outline is a closed tuple of `Vertex`, the last joined to the first. Nothing is cut into short lines.
"""

import math
from collections.abc import Iterator
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shroudwright.bench.registry import offer


class Vertex(NamedTuple):
    """A corner, and the bulge of the line from it to the next: 0 straight, positive counter-clockwise."""

    x: float
    y: float
    bulge: float = 0.0


class Circle(NamedTuple):
    """A whole circle."""

    x: float
    y: float
    radius: float


class Straight(NamedTuple):
    """A straight line from (x1, y1) to (x2, y2)."""

    x1: float
    y1: float
    x2: float
    y2: float


class Arc(NamedTuple):
    """An arc from (x1, y1) to (x2, y2) about (x, y), turning through sweep from the start angle.

    Angles are counter-clockwise from the x axis, [rad]; a clockwise arc has a negative sweep.
    """

    x1: float
    y1: float
    x2: float
    y2: float
    x: float
    y: float
    radius: float
    start: float
    sweep: float

    @property
    def end(self) -> float:
        """Angle of the end, [rad]."""
        return self.start + self.sweep


class Box(NamedTuple):
    """An upright box, corner to corner."""

    x1: float
    y1: float
    x2: float
    y2: float


Outline: TypeAlias = tuple[Vertex, ...]


@offer
def bulge_of(angle: float) -> float:
    """Bulge of an arc, as a drawing file carries it.

    bulge = tan(angle / 4)

    Parameters
    ----------
    angle : float
        Turned through by the arc, positive counter-clockwise, [rad]

    Returns
    -------
    bulge : float
        0 for a straight, 1 for half a circle, [-]

    Notes
    -----
    Limits: less than a whole turn either way.
    Accuracy: exact.

    References
    ----------
    DXF reference, light polyline, group code 42; from memory.
    """
    return math.tan(0.25 * angle)


def segments(outline: Outline) -> tuple[Straight | Arc, ...]:
    """Straights and arcs of an outline, in order.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, [m]

    Returns
    -------
    tuple of Straight or Arc
        One per vertex, [m] and [rad].
    """
    return tuple(_segments(outline))


def _segments(outline: Outline) -> Iterator[Straight | Arc]:
    for here, there in zip(outline, outline[1:] + outline[:1], strict=True):
        ends = (here.x, here.y, there.x, there.y)
        if here.bulge == 0.0:
            yield Straight(*ends)
            continue
        sweep = 4.0 * math.atan(here.bulge)
        dx, dy = there.x - here.x, there.y - here.y
        # The centre lies off the chord's middle by its half over tan(sweep / 2), to the left of the way round.
        off = 0.25 * (1.0 / here.bulge - here.bulge)
        x, y = here.x + 0.5 * dx - off * dy, here.y + 0.5 * dy + off * dx
        radius = 0.25 * math.hypot(dx, dy) * abs(1.0 / here.bulge + here.bulge)
        yield Arc(*ends, x, y, radius, math.atan2(here.y - y, here.x - x), sweep)


def length(outline: Outline) -> float:
    """Length once round an outline.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, [m]

    Returns
    -------
    length : float
        Straights and radius times angle of the arcs, [m]
    """
    return math.fsum(
        item.radius * abs(item.sweep) if isinstance(item, Arc) else math.hypot(item.x2 - item.x1, item.y2 - item.y1)
        for item in _segments(outline)
    )


def area(outline: Outline) -> float:
    """Area an outline encloses, signed.

    The polygon of its corners, and r^2 (angle - sin angle) / 2 for each arc.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, not crossing itself, [m]

    Returns
    -------
    area : float
        Positive where the outline runs counter-clockwise, negative clockwise, [m**2]
    """
    x0, y0 = outline[0].x, outline[0].y
    parts = []
    for item in _segments(outline):
        parts.append(0.5 * ((item.x1 - x0) * (item.y2 - y0) - (item.x2 - x0) * (item.y1 - y0)))
        if isinstance(item, Arc):
            parts.append(0.5 * item.radius**2 * (item.sweep - math.sin(item.sweep)))
    return math.fsum(parts)


def _passes(arc: Arc, angle: float) -> bool:
    """Whether an arc passes the direction of an angle from its centre."""
    turned = (angle - arc.start) * math.copysign(1.0, arc.sweep)
    return turned % math.tau <= abs(arc.sweep)


def box(outline: Outline) -> Box:
    """Return the least upright box around an outline.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, [m]

    Returns
    -------
    Box
        Lower left and upper right, arcs' own extremes included, [m]
    """
    points = [(vertex.x, vertex.y) for vertex in outline]
    for item in _segments(outline):
        if isinstance(item, Arc):
            for quarter, (dx, dy) in enumerate(((1, 0), (0, 1), (-1, 0), (0, -1))):
                if _passes(item, quarter * 0.5 * math.pi):
                    points.append((item.x + dx * item.radius, item.y + dy * item.radius))
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def contains(outline: Outline, x: float, y: float) -> bool:
    """Whether a point is inside an outline.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, not crossing itself, either way round, [m]
    x, y : float
        The point, [m]

    Returns
    -------
    inside : bool
        Either answer on the line itself; `distance` tells how near that is.
    """
    inside = False
    for item in _segments(outline):
        for y1, y2, crossing in _rises(item, y):
            if (y1 > y) != (y2 > y) and crossing > x:
                inside = not inside
    return inside


def inside(outline: Outline, x: ArrayLike, y: ArrayLike) -> NDArray[np.bool_]:
    """Whether points are inside an outline, for many at once.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, not crossing itself, either way round, [m]
    x, y : array
        The points, of shapes that go together, [m]

    Returns
    -------
    inside : array of bool
        Either answer on the line itself.
    """
    x, y = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
    crossings = np.zeros(x.shape, dtype=np.int64)
    for item in _segments(outline):
        if isinstance(item, Straight):
            if item.y1 != item.y2:
                at = item.x1 + (y - item.y1) / (item.y2 - item.y1) * (item.x2 - item.x1)
                crossings += ((item.y1 > y) != (item.y2 > y)) & (at > x)
            continue
        reach = np.sqrt(np.maximum(item.radius**2 - (y - item.y) ** 2, 0.0))
        for y1, y2, turned in _rises(item, item.y):
            at = item.x + math.copysign(1.0, turned - item.x) * reach
            crossings += ((y1 > y) != (y2 > y)) & (at > x)
    return np.asarray(crossings % 2 == 1)


def _rises(item: Straight | Arc, y: float) -> Iterator[tuple[float, float, float]]:
    """Cut a segment where it turns over; each piece's two heights, and x where it meets height y."""
    if isinstance(item, Straight):
        if item.y1 != item.y2:
            yield item.y1, item.y2, item.x1 + (y - item.y1) / (item.y2 - item.y1) * (item.x2 - item.x1)
        return
    way = math.copysign(1.0, item.sweep)
    first = (item.start - 0.5 * math.pi) / math.pi
    number = math.floor(first) + 1 if way > 0.0 else math.ceil(first) - 1
    reach = math.sqrt(max(item.radius**2 - (y - item.y) ** 2, 0.0))
    angle, height = item.start, item.y1
    while True:
        turn = (number + 0.5) * math.pi
        last = (turn - item.end) * way >= 0.0
        until = item.end if last else turn
        top = item.y2 if last else item.y + (item.radius if number % 2 == 0 else -item.radius)
        side = math.copysign(1.0, math.cos(0.5 * (angle + until)))
        yield height, top, item.x + side * reach
        if last:
            return
        angle, height, number = until, top, number + int(way)


def distance(outline: Outline, x: float, y: float) -> float:
    """Distance from a point to the nearest place on an outline's line.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, [m]
    x, y : float
        The point, inside or out, [m]

    Returns
    -------
    distance : float
        Never negative, [m]
    """
    return min(_distance(item, x, y) for item in _segments(outline))


def _distance(item: Straight | Arc, x: float, y: float) -> float:
    if isinstance(item, Straight):
        dx, dy = item.x2 - item.x1, item.y2 - item.y1
        along = ((x - item.x1) * dx + (y - item.y1) * dy) / ((dx * dx + dy * dy) or 1.0)
        along = min(max(along, 0.0), 1.0)
        return math.hypot(x - item.x1 - along * dx, y - item.y1 - along * dy)
    if _passes(item, math.atan2(y - item.y, x - item.x)):
        return abs(math.hypot(x - item.x, y - item.y) - item.radius)
    return min(math.hypot(x - item.x1, y - item.y1), math.hypot(x - item.x2, y - item.y2))


def moved(outline: Outline, dx: float, dy: float) -> Outline:
    """Return an outline shifted.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, [m]
    dx, dy : float
        Right and up, [m]

    Returns
    -------
    tuple of Vertex
        The same shape, [m]
    """
    return tuple(Vertex(vertex.x + dx, vertex.y + dy, vertex.bulge) for vertex in outline)


def rectangle(width: float, height: float, corner: float = 0.0) -> Outline:
    """Return a rectangle with its lower left at the origin, counter-clockwise.

    Parameters
    ----------
    width, height : float
        Over all, [m]
    corner : float
        Radius of the four corners, at most half the shorter side, [m]

    Returns
    -------
    tuple of Vertex
        Four corners, or eight ends of corner arcs, [m]
    """
    if corner == 0.0:
        return Vertex(0.0, 0.0), Vertex(width, 0.0), Vertex(width, height), Vertex(0.0, height)
    quarter = bulge_of(0.5 * math.pi)
    ends = (
        Vertex(corner, 0.0),
        Vertex(width - corner, 0.0, quarter),
        Vertex(width, corner),
        Vertex(width, height - corner, quarter),
        Vertex(width - corner, height),
        Vertex(corner, height, quarter),
        Vertex(0.0, height - corner),
        Vertex(0.0, corner, quarter),
    )
    return ends


def circle_outline(circle: Circle) -> Outline:
    """Return a circle as an outline of two half circles, counter-clockwise.

    Parameters
    ----------
    circle : Circle
        Centre and radius, [m]

    Returns
    -------
    tuple of Vertex
        Two vertices of bulge 1, [m]
    """
    return Vertex(circle.x - circle.radius, circle.y, 1.0), Vertex(circle.x + circle.radius, circle.y, 1.0)
