"""Hatching: slanted lines over whatever part of the plane is to be marked.

hatch    a region as slanted lines
"""

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import Box
from shroudwright.drawing.shapes import Line, Pen

Numbers = NDArray[np.float64]
_STEPS_PER_SPACING = 8.0


def hatch(
    around: Box, spacing: float, holds: Callable[[Numbers, Numbers], NDArray[np.bool_]], pen: Pen = "ref"
) -> tuple[Line, ...]:
    """Hatch a region.

    Parameters
    ----------
    around : Box
        Holds the region, [m]
    spacing : float
        Between lines, square to them, [m]
    holds : callable
        Says of arrays of x and y which points are in the region.
    pen : str
        Of the lines, [text]

    Returns
    -------
    tuple of Line
        At 45 degrees, ends true to an eighth of the spacing.
    """
    step = spacing / _STEPS_PER_SPACING
    side, high = math.sqrt(2.0) * spacing, around.y2 - around.y1
    found = []
    for number in range(math.floor((around.x1 - high) / side), math.ceil(around.x2 / side) + 1):
        along = np.arange(0.0, high, step) + 0.5 * step
        x, y = number * side + along, around.y1 + along
        held = (x >= around.x1) & (x <= around.x2) & holds(x, y)
        turns = np.flatnonzero(np.diff(np.concatenate(([0], held.astype(int), [0]))))
        for first, last in zip(turns[::2], turns[1::2] - 1, strict=True):
            if last > first:
                found.append(Line(float(x[first]), float(y[first]), float(x[last]), float(y[last]), pen))
    return tuple(found)
