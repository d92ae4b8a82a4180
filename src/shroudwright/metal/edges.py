"""Exact distances between outlines, circles and bend strips, many at once.

line_gaps    from every line to every other, 0 where they cross
webs         metal between two things cut out, 0 or less where they overlap
edge_gaps    metal from things cut out to the edge round them, negative past it
strip_gaps   from things cut out to bends' strips, negative inside one

A thing is a whole circle or a closed outline of straights and arcs. Nothing is cut into short lines: the
least distance of two lines lies at an end of one, on a normal they share, or where they cross, and all of
these are tried.
"""

from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import Arc, Circle, Outline, box, contains, inside, segments
from shroudwright.metal.flat import BendLine

Numbers = NDArray[np.float64]
Owners = NDArray[np.intp]
Shape: TypeAlias = Circle | Outline
_ROUNDING = 1e-12


class _Pieces(NamedTuple):
    """Straights (x1, y1, x2, y2) and arcs (x1, y1, x2, y2, x, y, radius, start, sweep), and whose each is."""

    straights: Numbers
    straight_of: Owners
    arcs: Numbers
    arc_of: Owners
    owners: int


def _pieces(shapes: Sequence[Shape]) -> _Pieces:
    straights: list[tuple[float, ...]] = []
    arcs: list[tuple[float, ...]] = []
    straight_of: list[int] = []
    arc_of: list[int] = []
    for owner, shape in enumerate(shapes):
        if isinstance(shape, Circle):
            x, y, radius = shape
            arcs.append((x + radius, y, x + radius, y, x, y, radius, 0.0, 2.0 * np.pi))
            arc_of.append(owner)
            continue
        for item in segments(shape):
            (arcs if isinstance(item, Arc) else straights).append(tuple(item))
            (arc_of if isinstance(item, Arc) else straight_of).append(owner)
    return _Pieces(
        np.array(straights, dtype=float).reshape(-1, 4).T,
        np.array(straight_of, dtype=np.intp),
        np.array(arcs, dtype=float).reshape(-1, 9).T,
        np.array(arc_of, dtype=np.intp),
        len(shapes),
    )


def line_gaps(ones: Sequence[Shape], others: Sequence[Shape]) -> Numbers:
    """Least distance of every line to every other.

    Parameters
    ----------
    ones, others : sequence of Circle or Outline
        [m]

    Returns
    -------
    ndarray
        Shape (ones, others), never negative; 0 where two lines meet, [m]

    Notes
    -----
    Limits: lines only; a thing wholly within another is as far from it as its line is.
    Accuracy: exact for straights and arcs, to rounding.

    References
    ----------
    Geometry.
    """
    return _least(_pieces(ones), _pieces(others))


def _least(a: _Pieces, b: _Pieces) -> Numbers:
    found = np.full((a.owners, b.owners), np.inf)
    for gap, rows, columns in (
        (_of_straights(a.straights, b.straights), a.straight_of, b.straight_of),
        (_of_both(a.straights, b.arcs), a.straight_of, b.arc_of),
        (_of_both(b.straights, a.arcs).T, a.arc_of, b.straight_of),
        (_of_arcs(a.arcs, b.arcs), a.arc_of, b.arc_of),
    ):
        np.minimum.at(found, (rows[:, np.newaxis], columns[np.newaxis, :]), gap)
    return found


def _to_straight(x: Numbers, y: Numbers, line: Numbers) -> Numbers:
    x1, y1, x2, y2 = line
    dx, dy = x2 - x1, y2 - y1
    along = np.clip(((x - x1) * dx + (y - y1) * dy) / np.maximum(dx * dx + dy * dy, _ROUNDING**2), 0.0, 1.0)
    return np.asarray(np.hypot(x - x1 - along * dx, y - y1 - along * dy))


def _passes(arc: Numbers, x: Numbers, y: Numbers) -> NDArray[np.bool_]:
    """Whether arcs pass the direction of places from their centres."""
    turned = np.mod((np.arctan2(y - arc[5], x - arc[4]) - arc[7]) * np.sign(arc[8]), 2.0 * np.pi)
    return np.asarray((turned <= np.abs(arc[8]) + _ROUNDING) | (turned >= 2.0 * np.pi - _ROUNDING))


def _to_arc(x: Numbers, y: Numbers, arc: Numbers) -> Numbers:
    ends = np.minimum(np.hypot(x - arc[0], y - arc[1]), np.hypot(x - arc[2], y - arc[3]))
    square = np.abs(np.hypot(x - arc[4], y - arc[5]) - arc[6])
    return np.asarray(np.where(_passes(arc, x, y), square, ends))


def _pairs(ones: Numbers, others: Numbers) -> tuple[Numbers, Numbers]:
    return ones[:, :, np.newaxis], others[:, np.newaxis, :]


def _of_straights(ones: Numbers, others: Numbers) -> Numbers:
    a, b = _pairs(ones, others)
    ends = [_to_straight(a[i], a[i + 1], b) for i in (0, 2)] + [_to_straight(b[i], b[i + 1], a) for i in (0, 2)]

    def sides(line: Numbers, of: Numbers) -> Numbers:
        dx, dy = line[2] - line[0], line[3] - line[1]
        return np.asarray(
            (dx * (of[1] - line[1]) - dy * (of[0] - line[0])) * (dx * (of[3] - line[1]) - dy * (of[2] - line[0]))
        )

    crosses = (sides(a, b) < 0.0) & (sides(b, a) < 0.0)
    return np.asarray(np.where(crosses, 0.0, np.minimum.reduce(ends)))


def _of_both(straights: Numbers, arcs: Numbers) -> Numbers:
    line, arc = _pairs(straights, arcs)
    tried = [_to_arc(line[i], line[i + 1], arc) for i in (0, 2)] + [
        _to_straight(arc[i], arc[i + 1], line) for i in (0, 2)
    ]
    dx, dy = line[2] - line[0], line[3] - line[1]
    run = np.maximum(dx * dx + dy * dy, _ROUNDING**2)
    foot = ((arc[4] - line[0]) * dx + (arc[5] - line[1]) * dy) / run
    x, y = line[0] + foot * dx, line[1] + foot * dy
    off = np.hypot(x - arc[4], y - arc[5])
    within = (foot >= 0.0) & (foot <= 1.0) & _passes(arc, x, y)
    tried.append(np.where(within, np.abs(off - arc[6]), np.inf))
    half = np.sqrt(np.maximum(arc[6] ** 2 - off**2, 0.0) / run)
    for share in (foot - half, foot + half):
        meets = (off <= arc[6]) & (share >= 0.0) & (share <= 1.0)
        meets &= _passes(arc, line[0] + share * dx, line[1] + share * dy)
        tried.append(np.where(meets, 0.0, np.inf))
    return np.asarray(np.minimum.reduce(tried))


def _of_arcs(ones: Numbers, others: Numbers) -> Numbers:
    a, b = _pairs(ones, others)
    tried = [_to_arc(a[i], a[i + 1], b) for i in (0, 2)] + [_to_arc(b[i], b[i + 1], a) for i in (0, 2)]
    dx, dy = b[4] - a[4], b[5] - a[5]
    apart = np.hypot(dx, dy)
    safe = np.maximum(apart, _ROUNDING)
    ux, uy = dx / safe, dy / safe
    for one in (1.0, -1.0):
        ax, ay = a[4] + one * a[6] * ux, a[5] + one * a[6] * uy
        on_a = _passes(a, ax, ay)
        for other in (1.0, -1.0):
            bx, by = b[4] + other * b[6] * ux, b[5] + other * b[6] * uy
            tried.append(np.where(on_a & _passes(b, bx, by), np.hypot(bx - ax, by - ay), np.inf))
    along = 0.5 * (apart + (a[6] ** 2 - b[6] ** 2) / safe)
    rest = a[6] ** 2 - along**2
    up = np.sqrt(np.maximum(rest, 0.0))
    for side in (1.0, -1.0):
        x, y = a[4] + along * ux - side * up * uy, a[5] + along * uy + side * up * ux
        meets = (rest >= 0.0) & (apart > _ROUNDING) & _passes(a, x, y) & _passes(b, x, y)
        tried.append(np.where(meets, 0.0, np.inf))
    return np.asarray(np.minimum.reduce(tried))


def _parted(shapes: Sequence[Shape]) -> tuple[Owners, Numbers, Owners, list[Outline]]:
    """Circles, their numbers and (x, y, radius); outlines, their numbers and themselves."""
    circles = [(i, shape) for i, shape in enumerate(shapes) if isinstance(shape, Circle)]
    outlines = [(i, shape) for i, shape in enumerate(shapes) if not isinstance(shape, Circle)]
    return (
        np.array([i for i, _ in circles], dtype=np.intp),
        np.array([circle for _, circle in circles], dtype=float).reshape(-1, 3).T,
        np.array([i for i, _ in outlines], dtype=np.intp),
        [outline for _, outline in outlines],
    )


def _from_places(x: Numbers, y: Numbers, to: _Pieces) -> Numbers:
    """Distance from places to lines, shape (places, lines)."""
    found = np.full((len(x), to.owners), np.inf)
    rows, across, up = np.arange(len(x))[:, np.newaxis], x[:, np.newaxis], y[:, np.newaxis]
    np.minimum.at(found, (rows, to.straight_of), _to_straight(across, up, to.straights[:, np.newaxis]))
    np.minimum.at(found, (rows, to.arc_of), _to_arc(across, up, to.arcs[:, np.newaxis]))
    return found


def _round_to_outlines(circles: Numbers, outlines: Sequence[Outline]) -> Numbers:
    """Gaps from circles to outlines, 0 where they overlap or one holds the other."""
    x, y, radius = circles
    gaps = np.maximum(_from_places(x, y, _pieces(outlines)) - radius[:, np.newaxis], 0.0)
    for column, outline in enumerate(outlines):
        gaps[inside(outline, x, y), column] = 0.0
    return np.asarray(gaps)


def webs(ones: Sequence[Shape], others: Sequence[Shape]) -> Numbers:
    """Metal left between things cut out.

    Parameters
    ----------
    ones, others : sequence of Circle or Outline
        [m]

    Returns
    -------
    ndarray
        Shape (ones, others). Where two circles overlap, by how much, negative; where anything else
        overlaps or one holds the other, 0, [m]

    Notes
    -----
    Limits: none.
    Accuracy: exact for straights and arcs, to rounding.

    References
    ----------
    Geometry.
    """
    at, circles, along, outlines = _parted(ones)
    other_at, other_circles, other_along, other_outlines = _parted(others)
    found = np.empty((len(ones), len(others)))
    (x, y, radius), (x2, y2, radius2) = circles[:, :, np.newaxis], other_circles[:, np.newaxis, :]
    found[np.ix_(at, other_at)] = np.hypot(x - x2, y - y2) - radius - radius2
    found[np.ix_(at, other_along)] = _round_to_outlines(circles, other_outlines)
    found[np.ix_(along, other_at)] = _round_to_outlines(other_circles, outlines).T
    gaps = line_gaps(outlines, other_outlines)
    for i, one in enumerate(outlines):
        for k, other in enumerate(other_outlines):
            if gaps[i, k] > 0.0 and (contains(one, *other[0][:2]) or contains(other, *one[0][:2])):
                gaps[i, k] = 0.0
    found[np.ix_(along, other_along)] = gaps
    return found


def edge_gaps(shapes: Sequence[Shape], edge: Outline) -> Numbers:
    """Metal from things cut out to the edge they must lie inside.

    Parameters
    ----------
    shapes : sequence of Circle or Outline
        [m]
    edge : tuple of Vertex
        Of the sheet, [m]

    Returns
    -------
    ndarray
        Shape (shapes,). A circle past the edge: by how much, negative; an outline past it: how far past the
        edge's least upright box, or 0 where it does not reach past that, [m]

    Notes
    -----
    Limits: none.
    Accuracy: exact for straights and arcs inside the edge, to rounding.

    References
    ----------
    Geometry.
    """
    at, (x, y, radius), along, outlines = _parted(shapes)
    found = np.empty(len(shapes))
    found[at] = np.where(inside(edge, x, y), 1.0, -1.0) * _from_places(x, y, _pieces([edge]))[:, 0] - radius
    around = box(edge)
    for i, outline, gap in zip(along, outlines, line_gaps(outlines, [edge])[:, 0], strict=True):
        own = box(outline)
        past = (around.x1 - own.x1, around.y1 - own.y1, own.x2 - around.x2, own.y2 - around.y2)
        found[i] = gap if gap > 0.0 and contains(edge, *outline[0][:2]) else -max(*past, 0.0)
    return found


def strip_gaps(shapes: Sequence[Shape], bends: Sequence[BendLine]) -> Numbers:
    """Flat metal from things cut out to the strips that bend.

    Parameters
    ----------
    shapes : sequence of Circle or Outline
        [m]
    bends : sequence of BendLine
        Each a strip of its allowance about its middle line, [m]

    Returns
    -------
    ndarray
        Shape (shapes, bends), negative where a strip is cut into, [m]

    Notes
    -----
    Limits: past the ends of a bend's line its strip ends in a half round.
    Accuracy: exact for straights and arcs, to rounding.

    References
    ----------
    Geometry.
    """
    if not bends:
        return np.empty((len(shapes), 0))
    ends = np.array([(bend.x1, bend.y1, bend.x2, bend.y2) for bend in bends]).T
    owners = np.arange(len(bends), dtype=np.intp)
    lines = _Pieces(ends, owners, np.empty((9, 0)), np.empty(0, dtype=np.intp), len(bends))
    at, (x, y, radius), along, outlines = _parted(shapes)
    found = np.empty((len(shapes), len(bends)))
    found[at] = _from_places(x, y, lines) - radius[:, np.newaxis]
    found[along] = _least(_pieces(outlines), lines)
    return found - 0.5 * np.array([bend.allowance for bend in bends])
