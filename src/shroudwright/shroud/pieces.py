"""What two outlines of straights and arcs share, and what one leaves of the other, nothing cut into short lines.

crossings        points two segments have in common
common, without  outlines of what two share, and of what one leaves of the other
    opposite         an outline walked the other way

Every outline here runs counter-clockwise.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from shroudwright.bench.arcs import Arc, Outline, Straight, Vertex, contains, segments

Segment: TypeAlias = Straight | Arc
Point: TypeAlias = tuple[float, float]
NEAR = 1e-6
"""Features smaller than this are not told apart, [m]"""
_TOUCH = 1e-9
_ASIDE = 1e-7
"""How far beside a line it is asked what lies there, [m]"""


class _Piece(NamedTuple):
    """Part of a segment, and the point just inside it, left of the way round, and just outside."""

    start: Point
    end: Point
    bulge: float
    inside: Point
    outside: Point


def opposite(outline: Outline) -> Outline:
    """Return an outline walked the other way.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, [m]

    Returns
    -------
    tuple of Vertex
        The same line, [m]
    """
    bulges = [vertex.bulge for vertex in outline]
    turned = [*bulges[-2::-1], bulges[-1]]
    return tuple(Vertex(v.x, v.y, -bulge) for v, bulge in zip(outline[::-1], turned, strict=True))


def crossings(one: Segment, other: Segment) -> list[Point]:
    """Points two segments have in common.

    Parameters
    ----------
    one, other : Straight or Arc
        [m]

    Returns
    -------
    list of (float, float)
        Of segments that lie along each other, the ends of what they share, [m]
    """
    if isinstance(one, Arc) and isinstance(other, Arc):
        found = _of_circles(one, other)
    elif isinstance(one, Straight) and isinstance(other, Straight):
        found = _of_lines(one, other)
    else:
        line, arc = (one, other) if isinstance(other, Arc) else (other, one)
        assert isinstance(line, Straight)
        assert isinstance(arc, Arc)
        found = _of_line_and_circle(line, arc)
    ends = [(item.x1, item.y1) for item in (one, other)] + [(item.x2, item.y2) for item in (one, other)]
    return [point for point in (*found, *ends) if _is_on(one, *point) and _is_on(other, *point)]


def _is_on(item: Segment, x: float, y: float) -> bool:
    if min(math.hypot(x - item.x1, y - item.y1), math.hypot(x - item.x2, y - item.y2)) <= _TOUCH:
        return True
    if isinstance(item, Arc):
        is_on_circle = abs(math.hypot(x - item.x, y - item.y) - item.radius) <= _TOUCH
        return is_on_circle and 0.0 < _share(item, x, y) < 1.0
    dx, dy = item.x2 - item.x1, item.y2 - item.y1
    aside = abs(dx * (y - item.y1) - dy * (x - item.x1)) / math.hypot(dx, dy)
    return aside <= _TOUCH and 0.0 < _share(item, x, y) < 1.0


def _share(item: Segment, x: float, y: float) -> float:
    """How far along a segment a point on it lies, 0 to 1; past an arc's end more than 1."""
    if isinstance(item, Arc):
        turned = (math.atan2(y - item.y, x - item.x) - item.start) * math.copysign(1.0, item.sweep)
        return turned % math.tau / abs(item.sweep)
    dx, dy = item.x2 - item.x1, item.y2 - item.y1
    return ((x - item.x1) * dx + (y - item.y1) * dy) / (dx * dx + dy * dy)


def _of_lines(one: Straight, other: Straight) -> list[Point]:
    dx, dy = one.x2 - one.x1, one.y2 - one.y1
    ex, ey = other.x2 - other.x1, other.y2 - other.y1
    across = dx * ey - dy * ex
    if abs(across) <= _TOUCH * math.hypot(dx, dy) * math.hypot(ex, ey):
        return []
    share = ((other.x1 - one.x1) * ey - (other.y1 - one.y1) * ex) / across
    return [(one.x1 + share * dx, one.y1 + share * dy)]


def _of_line_and_circle(line: Straight, arc: Arc) -> list[Point]:
    dx, dy = line.x2 - line.x1, line.y2 - line.y1
    long = math.hypot(dx, dy)
    ux, uy = dx / long, dy / long
    along = (arc.x - line.x1) * ux + (arc.y - line.y1) * uy
    near_x, near_y = line.x1 + along * ux, line.y1 + along * uy
    half = arc.radius**2 - (arc.x - near_x) ** 2 - (arc.y - near_y) ** 2
    # A line that only touches the circle has one point, however it was rounded.
    if half < -2.0 * arc.radius * _TOUCH:
        return []
    half = math.sqrt(max(half, 0.0))
    return [(near_x - half * ux, near_y - half * uy), (near_x + half * ux, near_y + half * uy)]


def _of_circles(one: Arc, other: Arc) -> list[Point]:
    dx, dy = other.x - one.x, other.y - one.y
    apart = math.hypot(dx, dy)
    if apart <= _TOUCH:
        return []
    along = (apart**2 + one.radius**2 - other.radius**2) / (2.0 * apart)
    half = one.radius**2 - along**2
    if half < -2.0 * one.radius * _TOUCH:
        return []
    half = math.sqrt(max(half, 0.0)) / apart
    x, y = one.x + along / apart * dx, one.y + along / apart * dy
    return [(x - half * dy, y + half * dx), (x + half * dy, y - half * dx)]


def _cut(outline: Outline, other: Outline) -> Iterator[_Piece]:
    """Pieces of an outline between the points where it meets another."""
    theirs = segments(other)
    for item in segments(outline):
        met = sorted({_share(item, *point) for them in theirs for point in crossings(item, them)})
        long = item.radius * abs(item.sweep) if isinstance(item, Arc) else _long(item)
        shares = [0.0]
        shares += [share for share in met if NEAR < share * long < long - NEAR]
        shares = [b for a, b in zip([-1.0, *shares], shares, strict=False) if (b - a) * long > NEAR]
        for first, last in zip(shares, [*shares[1:], 1.0], strict=True):
            yield _piece(item, first, last)


def _long(item: Straight) -> float:
    return math.hypot(item.x2 - item.x1, item.y2 - item.y1)


def _piece(item: Segment, first: float, last: float) -> _Piece:
    middle = 0.5 * (first + last)
    if isinstance(item, Arc):
        angle, way = item.start + middle * item.sweep, math.copysign(_ASIDE, item.sweep)
        cosine, sine = math.cos(angle), math.sin(angle)
        x, y, left_x, left_y = item.x + item.radius * cosine, item.y + item.radius * sine, -way * cosine, -way * sine
        bulge = math.tan(0.25 * item.sweep * (last - first))
    else:
        dx, dy = item.x2 - item.x1, item.y2 - item.y1
        x, y = item.x1 + middle * dx, item.y1 + middle * dy
        left_x, left_y, bulge = -_ASIDE * dy / _long(item), _ASIDE * dx / _long(item), 0.0
    return _Piece(_at(item, first), _at(item, last), bulge, (x + left_x, y + left_y), (x - left_x, y - left_y))


def _at(item: Segment, share: float) -> Point:
    if share in (0.0, 1.0):
        return (item.x2, item.y2) if share else (item.x1, item.y1)
    if isinstance(item, Arc):
        angle = item.start + share * item.sweep
        return item.x + item.radius * math.cos(angle), item.y + item.radius * math.sin(angle)
    return item.x1 + share * (item.x2 - item.x1), item.y1 + share * (item.y2 - item.y1)


def common(one: Outline, other: Outline) -> tuple[Outline, ...]:
    """Outlines of what two outlines share.

    Parameters
    ----------
    one, other : tuple of Vertex
        Counter-clockwise, neither crossing itself, [m]

    Returns
    -------
    tuple of tuple of Vertex
        None, one or more, counter-clockwise, [m]

    Notes
    -----
    Limits: features over 0.001 mm.
    Accuracy: exact for straights and arcs.

    References
    ----------
    Geometry.
    """
    kept = [piece for piece in _cut(one, other) if contains(other, *piece.inside)]
    # A line both have in common is taken from the first alone.
    kept += [piece for piece in _cut(other, one) if _is_within(one, piece)]
    return _joined(kept)


def without(one: Outline, other: Outline) -> tuple[Outline, ...]:
    """Outlines of what is left of one outline where another is taken away.

    Parameters
    ----------
    one, other : tuple of Vertex
        Counter-clockwise, neither crossing itself, [m]

    Returns
    -------
    tuple of tuple of Vertex
        None, one or more; a hole runs clockwise, [m]

    Notes
    -----
    Limits: features over 0.001 mm.
    Accuracy: exact for straights and arcs.

    References
    ----------
    Geometry.
    """
    kept = [piece for piece in _cut(one, other) if not contains(other, *piece.inside)]
    kept += [
        _Piece(piece.end, piece.start, -piece.bulge, piece.outside, piece.inside)
        for piece in _cut(other, one)
        if _is_within(one, piece)
    ]
    return _joined(kept)


def _is_within(outline: Outline, piece: _Piece) -> bool:
    return contains(outline, *piece.inside) and contains(outline, *piece.outside)


def _joined(pieces: Sequence[_Piece]) -> tuple[Outline, ...]:
    """Join pieces end to start into closed outlines."""
    left, found = list(pieces), []
    while left:
        loop = [left.pop(0)]
        while left:
            nearest = min(left, key=_from(loop[-1].end))
            if _apart(loop[-1].end, loop[0].start) <= _apart(loop[-1].end, nearest.start):
                break
            left.remove(nearest)
            loop.append(nearest)
        found.append(tuple(Vertex(*piece.start, piece.bulge) for piece in loop))
    return tuple(found)


def _from(end: Point) -> Callable[[_Piece], float]:
    return lambda piece: _apart(end, piece.start)


def _apart(one: Point, other: Point) -> float:
    return math.hypot(one[0] - other[0], one[1] - other[1])
