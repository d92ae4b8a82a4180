"""Ears: half-round tabs that a blank grows where a bolt falls past its edge.

with_ears    a blank's outline with ears merged into it
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from shroudwright.bench.arcs import Arc, Outline, Vertex, bulge_of, segments
from shroudwright.bench.errors import InputError

_INCH = 0.0254
LEAST_BLEND = 0.25 * _INCH
"""Radius of the concave arcs that join an ear: common practice, [m]"""
LEAST_EAR = 1.5
GOOD_EAR = 2.0
"""Ear's radius over its hole's diameter, at least and as drawn: the second is the end distance for full bearing
of EN 1993-1-8, Table 3.3, read in a public copy, [-]"""


class Ear(NamedTuple):
    """A bolt past the edge, and the half round about it."""

    x: float
    y: float
    radius: float


class _Placed(NamedTuple):
    """An ear over one straight: where along it, how far off it, half the width of its foot."""

    along: float
    off: float
    radius: float
    foot: float
    blend: float


def with_ears(outline: Outline, ears: Sequence[Ear], blend: float = LEAST_BLEND) -> Outline:
    """Outline of a blank with ears merged in, all straights and arcs.

    An ear is a half round about its bolt with sides square to the edge, joined by two concave arcs that touch
    edge and side; where the bolt is nearer the edge than those arcs are high, they touch the half round itself.

    Parameters
    ----------
    outline : tuple of Vertex
        Counter-clockwise, [m]
    ears : sequence of Ear
        Each over or just inside one straight of the outline, [m]
    blend : float
        Radius of the concave arcs, [m]

    Returns
    -------
    tuple of Vertex
        Counter-clockwise, [m]

    Raises
    ------
    InputError
        Where an ear's foot runs off its straight or into the next ear's, with the room it needs.

    Notes
    -----
    Limits: straight edges only; not for an ear that reaches over a corner.
    Accuracy: exact.

    References
    ----------
    Geometry; the least radii are common practice.
    """
    items = segments(outline)
    on: dict[int, list[_Placed]] = {}
    faults = []
    for ear in ears:
        found = [
            (abs(placed.off), index, placed)
            for index, item in enumerate(items)
            if not isinstance(item, Arc) and (placed := _placed(ear, item.x1, item.y1, item.x2, item.y2, blend))
        ]
        if found:
            _, index, placed = min(found, key=lambda entry: entry[0])
            on.setdefault(index, []).append(placed)
        else:
            faults.append(
                f"ear at {_at(ear)}: no straight edge of the sheet is beside it; move the bolt off the corner"
            )
    made: list[Vertex] = []
    for index, vertex in enumerate(outline):
        row = sorted(on.get(index, ()), key=lambda placed: placed.along)
        item = items[index]
        run = math.hypot(item.x2 - item.x1, item.y2 - item.y1)
        taken = 0.0
        for placed in row:
            if placed.along - placed.foot < taken - 1e-9:
                need = (taken + placed.foot - placed.along) / _INCH
                faults.append(
                    f"ear {placed.along / _INCH:.3f} in along its edge: its foot needs {need:.3f} in more room"
                )
            taken = placed.along + placed.foot
        if taken > run + 1e-9:
            past, along = (taken - run) / _INCH, row[-1].along / _INCH
            faults.append(f"ear {along:.3f} in along its edge: its foot runs {past:.3f} in past the corner")
        made.append(vertex)
        for placed in row:
            made += _corners(placed, item.x1, item.y1, (item.x2 - item.x1) / run, (item.y2 - item.y1) / run)
    if faults:
        raise InputError(faults)
    return _tidy(made)


def _at(ear: Ear) -> str:
    return f"{ear.x / _INCH:.3f}, {ear.y / _INCH:.3f} in"


def _placed(ear: Ear, x1: float, y1: float, x2: float, y2: float, blend: float) -> _Placed | None:
    """Where an ear stands over a straight, if its bolt's foot is on it and the ear reaches past it."""
    run = math.hypot(x2 - x1, y2 - y1)
    ux, uy = (x2 - x1) / run, (y2 - y1) / run
    along = (ear.x - x1) * ux + (ear.y - y1) * uy
    off = (ear.x - x1) * uy - (ear.y - y1) * ux
    if not 0.0 <= along <= run or off <= -ear.radius:
        return None
    reach = ear.radius + blend
    foot = reach if off >= blend else math.sqrt(reach**2 - (blend - off) ** 2)
    return _Placed(along, off, ear.radius, foot, blend)


def _corners(ear: _Placed, x: float, y: float, ux: float, uy: float) -> list[Vertex]:
    """Foot, side, half round, side, foot: off the edge to the right of its way."""

    def place(along: float, off: float, bulge: float) -> Vertex:
        return Vertex(x + along * ux + off * uy, y + along * uy - off * ux, bulge)

    a, h, r, q = ear.along, ear.off, ear.radius, ear.blend
    if h >= q:
        concave = -bulge_of(0.5 * math.pi)
        return [
            place(a - r - q, 0.0, concave),
            place(a - r, q, 0.0),
            place(a - r, h, 1.0),
            place(a + r, h, 0.0),
            place(a + r, q, concave),
            place(a + r + q, 0.0, 0.0),
        ]
    # The line of centres leans from the edge's way by this much.
    lean = math.asin((q - h) / (r + q))
    aside, up = r * math.cos(lean), h + r * math.sin(lean)
    concave, round_ = -bulge_of(0.5 * math.pi - lean), bulge_of(math.pi - 2.0 * lean)
    return [
        place(a - ear.foot, 0.0, concave),
        place(a - aside, up, round_),
        place(a + aside, up, concave),
        place(a + ear.foot, 0.0, 0.0),
    ]


def _tidy(made: list[Vertex]) -> Outline:
    """Leave out straights without length."""
    kept = []
    for here, there in zip(made, made[1:] + made[:1], strict=True):
        if here.bulge != 0.0 or math.hypot(there.x - here.x, there.y - here.y) > 1e-9:
            kept.append(here)
    return tuple(kept)
