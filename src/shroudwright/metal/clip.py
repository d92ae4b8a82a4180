"""Outlines cut by a straight line, and the middle surface of a flat once it is folded.

clipped        what of an outline lies to the left of a line
middle_area    area of the middle of the sheet of a folded flat
"""

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

from shroudwright.bench.arcs import Arc, Circle, Outline, Straight, Vertex, area, bulge_of, circle_outline, segments
from shroudwright.metal.flat import BendLine, Flat, metal_area

_NEAR = 1e-12
_PAST = 1e-3
"""How far past its line's ends a bend is looked for: the sheet may be cut at a slant there, [m]"""


def clipped(outline: Outline, x: float, y: float, angle: float) -> Outline:
    """What of an outline lies to the left of a line.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, counter-clockwise, [m]
    x, y : float
        A place on the line, [m]
    angle : float
        Its direction, [rad]

    Returns
    -------
    tuple of Vertex
        One loop; pieces that come apart stay joined along the line. Empty where nothing is left, [m]

    Notes
    -----
    Limits: none.
    Accuracy: exact for straights and arcs.

    References
    ----------
    Geometry.
    """
    dx, dy = math.cos(angle), math.sin(angle)

    def left(px: float, py: float) -> float:
        return dx * (py - y) - dy * (px - x)

    kept: list[Vertex] = []
    last: tuple[float, float] | None = None
    first: tuple[float, float] | None = None
    for piece in (part for item in segments(outline) for part in _split(item, left)):
        (x1, y1), (x2, y2), bulge, middle = piece
        # A piece lies on one side; it may touch the line with its ends or its middle.
        if max((left(*point) for point in ((x1, y1), middle, (x2, y2))), key=abs) <= 0.0:
            continue
        if last is not None and math.hypot(last[0] - x1, last[1] - y1) > _NEAR:
            kept.append(Vertex(*last))
        kept.append(Vertex(x1, y1, bulge))
        last, first = (x2, y2), first or (x1, y1)
    if last is not None and first is not None and math.hypot(last[0] - first[0], last[1] - first[1]) > _NEAR:
        kept.append(Vertex(*last))
    return tuple(kept)


_Piece = tuple[tuple[float, float], tuple[float, float], float, tuple[float, float]]


def _split(item: Straight | Arc, left: Callable[[float, float], float]) -> Iterator[_Piece]:
    """Cut a segment where it crosses the line: ends, bulge, and a place in its middle."""
    d1, d2 = left(item.x1, item.y1), left(item.x2, item.y2)
    if isinstance(item, Straight):
        shares = [0.0, d1 / (d1 - d2), 1.0] if d1 * d2 < 0.0 else [0.0, 1.0]
        points = [(item.x1 + s * (item.x2 - item.x1), item.y1 + s * (item.y2 - item.y1)) for s in shares]
        for (ax, ay), (bx, by) in pairwise(points):
            yield (ax, ay), (bx, by), 0.0, (0.5 * (ax + bx), 0.5 * (ay + by))
        return
    # Height over the line as the arc turns: middle + radius sin(turn - phase).
    height = left(item.x, item.y)
    east = left(item.x + item.radius, item.y) - height
    north = left(item.x, item.y + item.radius) - height
    turns = [0.0, item.sweep]
    if abs(height) < item.radius:
        phase, half = math.atan2(north, east), math.acos(-height / item.radius)
        way = math.copysign(1.0, item.sweep)
        for angle in (phase - half, phase + half):
            turned = ((angle - item.start) * way) % math.tau
            if _NEAR < turned < abs(item.sweep) - _NEAR:
                turns.append(turned * way)
    turns.sort(key=abs)

    def at(turn: float) -> tuple[float, float]:
        return item.x + item.radius * math.cos(item.start + turn), item.y + item.radius * math.sin(item.start + turn)

    ends = [(item.x1, item.y1), *(at(turn) for turn in turns[1:-1]), (item.x2, item.y2)]
    for i, (one, other) in enumerate(pairwise(turns)):
        yield ends[i], ends[i + 1], bulge_of(other - one), at(0.5 * (one + other))


def middle_area(flat: Flat) -> float:
    """Area of the middle of the sheet of a flat once it is folded, its cuts taken off.

    In a bend the flat is as wide as the neutral line, the middle of the sheet (R + t / 2) / (R + K t) times that.

    Parameters
    ----------
    flat : Flat
        With its bends.

    Returns
    -------
    area : float
        Times the thickness it is the folded metal, [m**2]

    Notes
    -----
    Limits: bends that do not cross.
    Accuracy: exact for straights and arcs.

    References
    ----------
    Geometry.
    """
    cuts = [item.outline for item in flat.openings]
    cuts += [circle_outline(Circle(hole.x, hole.y, 0.5 * hole.diameter)) for hole in flat.holes]
    more = 0.0
    for bend in flat.bends:
        stretch = bend.angle * (bend.radius + 0.5 * flat.thickness) / bend.allowance - 1.0
        inside = _strip_area(flat.outline, bend) - math.fsum(_strip_area(cut, bend) for cut in cuts)
        more += stretch * inside
    return metal_area(flat) + more


def _strip_area(outline: Outline, bend: BendLine) -> float:
    """Area of an outline within a bend."""
    angle = math.atan2(bend.y2 - bend.y1, bend.x2 - bend.x1)
    along, half = (math.cos(angle), math.sin(angle)), 0.5 * bend.allowance
    for x, y, turn in (
        (bend.x1 + half * along[1], bend.y1 - half * along[0], 0.0),
        (bend.x1 - half * along[1], bend.y1 + half * along[0], math.pi),
        (bend.x1 - _PAST * along[0], bend.y1 - _PAST * along[1], -0.5 * math.pi),
        (bend.x2 + _PAST * along[0], bend.y2 + _PAST * along[1], 0.5 * math.pi),
    ):
        outline = clipped(outline, x, y, angle + turn)
        if not outline:
            return 0.0
    return abs(area(outline))
