"""Rows of bolts along an edge.

spread        where they stand along it
bolt_away     how far from the sheet's edge
"""

import math

GOOD_END, LEAST_END = 2.0, 1.2
"""Centre to edge over the hole's diameter: good, and least; EN 1993-1-8, Table 3.3, read in a public copy."""


def spread(length: float, end: float, pitch: float) -> list[float]:
    """Places along an edge, evenly, the first and last a distance from its ends; none where there is no room.

    Parameters
    ----------
    length, end, pitch : float
        Of the edge, left at both ends, most from one to the next, [m]

    Returns
    -------
    list of float
        [m]
    """
    between = length - 2.0 * end
    if between < 0.0:
        return []
    spaces = max(math.ceil(between / pitch - 1e-9), 1)
    return [end + between * index / spaces for index in range(spaces + 1)]


def bolt_away(flange: float, thickness: float, diameter: float) -> float:
    """Edge of the sheet to the middle of a flange's holes: midway between the good distances to edge and bend.

    Parameters
    ----------
    flange, thickness, diameter : float
        Straight part of the flange, sheet, hole, [m]

    Returns
    -------
    away : float
        Midway between the least ones where the flange is short, [m]
    """
    t, half = thickness, 0.5 * diameter
    outer, inner = max(GOOD_END * diameter, 2.0 * t + half), flange - 2.0 * t - half
    if outer > inner:
        outer, inner = max(LEAST_END * diameter, 2.0 * t + half), flange - t - half
    return 0.5 * (outer + inner)
