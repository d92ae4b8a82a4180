"""How far a round or square thing lies inside an outline, at many places at once.

edge_gap     gap from a thing's rim to the outline, negative where it reaches past it

A thing is a square of a half side with rounded corners; a circle's corner is its half side.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shroudwright.bench.arcs import Arc, Outline, Straight, inside, segments

Numbers = NDArray[np.float64]
_QUARTERS = 0.5 * math.pi * np.arange(4.0)[:, np.newaxis]


class EdgeGap(NamedTuple):
    """The gap, and the place on the outline it is taken to."""

    gap: Numbers
    x: Numbers
    y: Numbers


def rim_gap(x: Numbers, y: Numbers, width: float, height: float, corner: float) -> Numbers:
    """Gap from places to the rim of a rounded box about the origin, negative inside.

    Parameters
    ----------
    x, y : ndarray
        Places, [m]
    width, height : float
        Half the box's, [m]
    corner : float
        Radius of its corners, [m]

    Returns
    -------
    gap : ndarray
        Distance to the nearest place of the rim, [m]
    """
    across, up = np.abs(x) - (width - corner), np.abs(y) - (height - corner)
    outside = np.hypot(np.maximum(across, 0.0), np.maximum(up, 0.0))
    return outside + np.minimum(np.maximum(across, up), 0.0) - corner


def edge_gap(outline: Outline, half: float, corner: float, x: ArrayLike, y: ArrayLike) -> EdgeGap:
    """Gap from the rim of a round or square thing to the outline it must lie inside.

    Inside, the least gap of any place of the outline to the thing's rim, negative where the outline runs
    through the thing: what is missing. With its middle past the outline, all of its half and the way back.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, not crossing itself, [m]
    half : float
        Half the thing's side, or its radius, [m]
    corner : float
        Radius of its corners, [m]
    x, y : array_like
        Places of its middle, shape (N,), [m]

    Returns
    -------
    EdgeGap
        Gap and place on the outline, each of shape (N,), [m]

    Notes
    -----
    Limits: none; moving the thing by a distance never changes the gap by more.
    Accuracy: exact for straights and arcs: along each the gap is least at an end, or where it turns from
    one side or corner of the thing to the next, or stands square on them, and all these places are tried.

    References
    ----------
    Geometry.
    """
    x, y = np.atleast_1d(np.asarray(x, dtype=float)), np.atleast_1d(np.asarray(y, dtype=float))
    if (upright := _in_a_box(outline, half, x, y)) is not None:
        return upright
    flat = half - corner
    tried = [
        _of_arc(item, flat, x, y) if isinstance(item, Arc) else _of_straight(item, flat, x, y)
        for item in segments(outline)
    ]
    px, py = np.vstack([points[0] for points in tried]), np.vstack([points[1] for points in tried])
    rim = rim_gap(px - x, py - y, half, half, corner)
    away = np.hypot(px - x, py - y)
    within = inside(outline, x, y)
    chosen = np.where(within, np.argmin(rim, axis=0), np.argmin(away, axis=0))
    column = np.arange(len(x))
    gap = np.where(within, rim[chosen, column], -half - away[chosen, column])
    return EdgeGap(gap, px[chosen, column], py[chosen, column])


def _in_a_box(outline: Outline, half: float, x: Numbers, y: Numbers) -> EdgeGap | None:
    """The same where every middle lies inside an upright box: the nearest side's distance less the half side."""
    sides = segments(outline)
    if len(sides) != 4 or any(isinstance(side, Arc) or (side.x1 != side.x2 and side.y1 != side.y2) for side in sides):
        return None
    across, up = [side.x1 for side in sides], [side.y1 for side in sides]
    if np.any((x <= min(across)) | (x >= max(across)) | (y <= min(up)) | (y >= max(up))):
        return None
    px = np.array([x if side.y1 == side.y2 else np.full_like(x, side.x1) for side in sides])
    py = np.array([np.full_like(y, side.y1) if side.y1 == side.y2 else y for side in sides])
    away = np.abs(px - x) + np.abs(py - y)
    chosen, column = np.argmin(away, axis=0), np.arange(len(x))
    return EdgeGap(away[chosen, column] - half, px[chosen, column], py[chosen, column])


def _marks(flat: float) -> tuple[Numbers, Numbers]:
    """The thing's middle and the four centres of its corners; of a circle they are one."""
    signs = np.array([[0.0, 0.0], [1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]])[: 5 if flat > 0.0 else 1]
    return flat * signs[:, :1], flat * signs[:, 1:]


def _of_straight(line: Straight, flat: float, x: Numbers, y: Numbers) -> tuple[Numbers, Numbers]:
    """Places on a straight where the gap may be least, shape (places, N)."""
    dx, dy = line.x2 - line.x1, line.y2 - line.y1
    right, up = _marks(flat)
    shares = [((x + right - line.x1) * dx + (y + up - line.y1) * dy) / (dx * dx + dy * dy)]
    shares.append(np.array([[0.0], [1.0]]) + 0.0 * x)
    if flat > 0.0:
        steps = flat * np.array([[-1.0], [0.0], [1.0]])
        if dx != 0.0:
            shares.append((x + steps - line.x1) / dx)
        if dy != 0.0:
            shares.append((y + steps - line.y1) / dy)
        for slope in (1.0, -1.0):
            if (run := dx - slope * dy) != 0.0:
                shares.append((x - line.x1 - slope * (y - line.y1))[np.newaxis] / run)
    share = np.clip(np.vstack(shares), 0.0, 1.0)
    return line.x1 + share * dx, line.y1 + share * dy


def _of_arc(arc: Arc, flat: float, x: Numbers, y: Numbers) -> tuple[Numbers, Numbers]:
    """Places on an arc where the gap may be least, shape (places, N)."""
    right, up = _marks(flat)
    angles = [np.arctan2(y + up - arc.y, x + right - arc.x)]
    if flat > 0.0:
        steps, root = flat * np.array([[-1.0], [0.0], [1.0]]), math.sqrt(0.5)
        # Seen along a direction, the arc meets a line square to it at two angles about that direction.
        lines = (
            (0.0, x + steps - arc.x),
            (0.5 * math.pi, y + steps - arc.y),
            (0.25 * math.pi, root * ((x - arc.x) + (y - arc.y))[np.newaxis]),
            (-0.25 * math.pi, root * ((x - arc.x) - (y - arc.y))[np.newaxis]),
        )
        for direction, along in lines:
            off = np.arccos(np.clip(along / arc.radius, -1.0, 1.0))
            angles += [direction - off, direction + off]
        angles.append(_QUARTERS + 0.0 * x)
    way = math.copysign(1.0, arc.sweep)
    turned = np.mod((np.vstack(angles) - arc.start) * way, math.tau)
    at = arc.start + way * np.where(turned <= abs(arc.sweep), turned, 0.0)
    ends = np.array([[arc.x1, arc.y1], [arc.x2, arc.y2]])
    return (
        np.vstack([arc.x + arc.radius * np.cos(at), ends[:, :1] + 0.0 * x]),
        np.vstack([arc.y + arc.radius * np.sin(at), ends[:, 1:] + 0.0 * x]),
    )
