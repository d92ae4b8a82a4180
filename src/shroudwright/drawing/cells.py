"""Polygons with holes, parted by straight lines into cells that share their corners.

Cell    one polygon: its outside counter-clockwise, then its holes clockwise
parted  cells cut along a line
"""

from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

import numpy as np

from shroudwright.bench.errors import InputError
from shroudwright.metal.cutting import Line

Point: TypeAlias = tuple[float, float]
Loop: TypeAlias = list[Point]
Cell: TypeAlias = list[Loop]
_CLEAR = 1e-9


class _Crossing(NamedTuple):
    along: float
    loop: int
    edge: int
    point: Point
    enters: bool
    """whether the loop goes to the far side here"""


def parted(cells: Sequence[Cell], line: Line, least: float, most: float) -> list[Cell]:
    """Cut cells along a line.

    Parameters
    ----------
    cells : sequence of Cell
        [m]
    line : Line
        [m]
    least, most : float
        How far beyond the line the cut may lie; as near to the least as misses every corner, [m]

    Returns
    -------
    list of Cell
        Cells on both sides; two that touch along the cut have the same two corners there.

    Raises
    ------
    InputError
        If an opening runs off its flat.
    """
    past = np.sort([line.past(*point) for cell in cells for loop in cell for point in loop])
    at, step = least, (most - least) / 64.0
    while at < most and np.any(np.abs(past - at) <= _CLEAR):
        at += step
    return [part for cell in cells for part in _halves(cell, line, at)]


def _halves(cell: Cell, line: Line, at: float) -> list[Cell]:
    sides = [[line.past(*point) >= at for point in loop] for loop in cell]
    crossings = [
        _Crossing(line.along(*point), number, edge, point, not here)
        for number, (loop, side) in enumerate(zip(cell, sides, strict=True))
        for edge, (here, there) in enumerate(zip(side, side[1:] + side[:1], strict=True))
        if here != there
        for point in [_meeting(loop[edge], loop[(edge + 1) % len(loop)], line, at)]
    ]
    if not crossings:
        return [cell]
    crossings.sort(key=lambda item: item.along)
    crossed = {item.loop for item in crossings}
    parts: list[Cell] = [[loop] for is_far in (True, False) for loop in _walked(cell, crossings, is_far)]
    for number, loop in enumerate(cell):
        if number not in crossed:
            around = next((part for part in parts if _holds(part[0], loop[0])), None)
            if around is None:
                raise InputError(["an opening runs off its flat: that cannot be folded; move it inwards"])
            around.append(loop)
    return parts


def _meeting(one: Point, other: Point, line: Line, at: float) -> Point:
    """Where an edge meets the cut; the same to the last digit whichever way the edge is walked."""
    one, other = min(one, other), max(one, other)
    near, far = line.past(*one) - at, line.past(*other) - at
    share = near / (near - far)
    return one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])


def _walked(cell: Cell, crossings: list[_Crossing], is_far: bool) -> list[Loop]:
    """Loops on one side of the cut: along the cell's edge, and back along the cut."""
    order: dict[int, list[int]] = {}
    for number, item in enumerate(crossings):
        order.setdefault(item.loop, []).append(number)
    for numbers in order.values():
        numbers.sort(key=lambda number: crossings[number].edge)
    todo = {number for number, item in enumerate(crossings) if item.enters == is_far}
    loops = []
    while todo:
        start = min(todo)
        at, loop = start, []
        while at in todo:
            todo.remove(at)
            here, around = crossings[at], order[crossings[at].loop]
            end = around[(around.index(at) + 1) % len(around)]
            corners = cell[here.loop]
            count = (crossings[end].edge - here.edge) % len(corners) or len(corners)
            loop.append(here.point)
            loop += [corners[(here.edge + 1 + step) % len(corners)] for step in range(count)]
            loop.append(crossings[end].point)
            at = end ^ 1
        loops.append(loop)
    return loops


def _holds(loop: Loop, point: Point) -> bool:
    x, y = point
    held = False
    for (x1, y1), (x2, y2) in zip(loop, loop[1:] + loop[:1], strict=True):
        if (y1 > y) != (y2 > y) and x1 + (y - y1) / (y2 - y1) * (x2 - x1) > x:
            held = not held
    return held
