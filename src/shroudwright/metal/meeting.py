"""Where straights and arcs meet.

meetings     points two pieces share
crosses      whether an outline crosses itself
touch        whether two outlines meet
"""

import math
from itertools import combinations

from shroudwright.bench.arcs import Arc, Outline, Straight, box, segments

_SAME = 1e-9


def meetings(one: Straight | Arc, other: Straight | Arc) -> list[tuple[float, float]]:
    """Points two pieces share; pieces that lie on each other share the ends that do.

    Parameters
    ----------
    one, other : Straight or Arc
        [m]

    Returns
    -------
    list of (x, y)
        [m]

    Notes
    -----
    Limits: to a nanometre. Accuracy: exact.

    References
    ----------
    Geometry.
    """
    if isinstance(one, Arc) and isinstance(other, Arc):
        found = _circles(one, other)
    elif isinstance(one, Straight) and isinstance(other, Straight):
        found = _straights(one, other)
    else:
        found = _line_and_circle(one, other) if isinstance(one, Straight) else _line_and_circle(other, one)
    ends = [(one.x1, one.y1), (one.x2, one.y2), (other.x1, other.y1), (other.x2, other.y2)]
    return [point for point in (*found, *ends) if _on(one, *point) and _on(other, *point)]


def _on(piece: Straight | Arc, x: float, y: float) -> bool:
    if isinstance(piece, Straight):
        dx, dy = piece.x2 - piece.x1, piece.y2 - piece.y1
        share = ((x - piece.x1) * dx + (y - piece.y1) * dy) / ((dx * dx + dy * dy) or 1.0)
        share = min(max(share, 0.0), 1.0)
        return math.hypot(x - piece.x1 - share * dx, y - piece.y1 - share * dy) <= _SAME
    if abs(math.hypot(x - piece.x, y - piece.y) - piece.radius) > _SAME:
        return False
    turned = ((math.atan2(y - piece.y, x - piece.x) - piece.start) * math.copysign(1.0, piece.sweep)) % math.tau
    slack = _SAME / piece.radius
    return turned <= abs(piece.sweep) + slack or turned >= math.tau - slack


def _straights(one: Straight, other: Straight) -> list[tuple[float, float]]:
    ax, ay, bx, by = one.x2 - one.x1, one.y2 - one.y1, other.x2 - other.x1, other.y2 - other.y1
    turn = ax * by - ay * bx
    if abs(turn) <= _SAME * max(math.hypot(ax, ay) * math.hypot(bx, by), 1e-30):
        return []
    share = ((other.x1 - one.x1) * by - (other.y1 - one.y1) * bx) / turn
    return [(one.x1 + share * ax, one.y1 + share * ay)]


def _line_and_circle(line: Straight | Arc, arc: Arc | Straight) -> list[tuple[float, float]]:
    assert isinstance(line, Straight)
    assert isinstance(arc, Arc)
    dx, dy = line.x2 - line.x1, line.y2 - line.y1
    long = math.hypot(dx, dy)
    if long == 0.0:
        return []
    ux, uy = dx / long, dy / long
    along = (arc.x - line.x1) * ux + (arc.y - line.y1) * uy
    off = (arc.x - line.x1) * uy - (arc.y - line.y1) * ux
    half = arc.radius**2 - off**2
    if half < -2.0 * _SAME * arc.radius:
        return []
    reach = math.sqrt(max(half, 0.0))
    return [(line.x1 + s * ux, line.y1 + s * uy) for s in (along - reach, along + reach)]


def _circles(one: Arc, other: Arc) -> list[tuple[float, float]]:
    dx, dy = other.x - one.x, other.y - one.y
    apart = math.hypot(dx, dy)
    if apart <= _SAME or apart > one.radius + other.radius + _SAME or apart < abs(one.radius - other.radius) - _SAME:
        return []
    along = (apart**2 + one.radius**2 - other.radius**2) / (2.0 * apart)
    reach = math.sqrt(max(one.radius**2 - along**2, 0.0))
    ux, uy = dx / apart, dy / apart
    return [(one.x + along * ux - s * uy, one.y + along * uy + s * ux) for s in (reach, -reach)]


def crosses(outline: Outline) -> tuple[float, float] | None:
    """Return where an outline meets itself, or None.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, [m]

    Returns
    -------
    (x, y) or None
        The first such place but the corners that join its pieces, [m]
    """
    pieces = segments(outline)
    last = len(pieces) - 1
    for (i, one), (j, other) in combinations(enumerate(pieces), 2):
        shared = []
        if j == i + 1:
            shared.append((other.x1, other.y1))
        if i == 0 and j == last:
            shared.append((one.x1, one.y1))
        for point in meetings(one, other):
            if all(math.dist(point, corner) > 1e-6 for corner in shared):
                return point
    return None


def touch(one: Outline, other: Outline) -> tuple[float, float] | None:
    """Return where two outlines meet, or None, [m]."""
    here, there = box(one), box(other)
    if here.x1 > there.x2 or there.x1 > here.x2 or here.y1 > there.y2 or there.y1 > here.y2:
        return None
    for piece in segments(one):
        for part in segments(other):
            if found := meetings(piece, part):
                return found[0]
    return None
