"""The space between core and fan: what a shallow plenum costs, and what a bare fan can reach.

plenum_loss, heat_ratio    read from one computed layout, low confidence
area_under_opening         core face under a round opening
    share_crossed              share of the tubes that pass under some opening
    discs_overlap              area two discs share
solid_behind_loss          what an engine close behind a fan costs
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shroudwright.bench.registry import offer

# A 25 x 17 in core with two 11 3/4 in openings, vehicle standing, whole core covered.
_DEPTH = 0.0254 * np.array([0.125, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0])
_LOSS = np.array([29.0, 22.6, 14.4, 9.5, 6.5, 3.4, 2.06, 0.96, 0.55])
_HEAT_LOST = 1.0 - np.array([0.863, 0.897, 0.946, 0.973, 0.986, 0.996, 0.998, 0.9995, 0.9998])


def _at_depth(depth: ArrayLike, values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Straight in the logarithms of both; held at the shallow end, run on at the deep end."""
    x, xs, ys = np.log(np.asarray(depth, dtype=float)), np.log(_DEPTH), np.log(values)
    deep = ys[-1] + (ys[-1] - ys[-2]) / (xs[-1] - xs[-2]) * (x - xs[-1])
    return np.asarray(np.exp(np.where(x > xs[-1], deep, np.interp(x, xs, ys))))


@offer
def plenum_loss(depth: ArrayLike) -> NDArray[np.float64]:
    """Loss coefficient of the air turning behind the core, on the core-face head.

    Parameters
    ----------
    depth : float
        Core face to shroud plate, [m]

    Returns
    -------
    loss_coefficient : float
        K at outlet density, [-]

    Notes
    -----
    Limits: 1/8 in and deeper; whole core covered; one layout of core and openings, so low confidence.
    Accuracy: 5.0 to 7.6 at 1 in over the spread of core, fan and turning loss.

    References
    ----------
    Depth-averaged plenum computation of one layout; no published curve exists.
    """
    return _at_depth(depth, _LOSS)


@offer
def heat_ratio(depth: ArrayLike) -> NDArray[np.float64]:
    """Heat with the plenum's uneven air over heat with the same air spread evenly.

    Parameters
    ----------
    depth : float
        Core face to shroud plate, [m]

    Returns
    -------
    ratio : float
        At most 1, [-]

    Notes
    -----
    Limits: as `plenum_loss`. Accuracy: 0.967 to 0.996 at 1 in over the spread of cores.

    References
    ----------
    Depth-averaged plenum computation of one layout; no published curve exists.
    """
    return 1.0 - _at_depth(depth, _HEAT_LOST)


def area_under_opening(x: float, y: float, diameter: float, width: float, height: float) -> float:
    """Core face under a round opening; what hangs past the core's edge does not count.

    Parameters
    ----------
    x, y : float
        Centre of the opening from the core's lower left corner, [m]
    diameter : float
        Of the opening, [m]
    width, height : float
        Of the core face, [m]

    Returns
    -------
    area : float
        Core face inside the circle, [m**2]

    Notes
    -----
    Limits: one circle; overlapping openings would count twice. Accuracy: 1e-5 of the circle.

    References
    ----------
    Geometry.
    """
    radius = 0.5 * diameter
    edges = np.linspace(max(0.0, x - radius), min(width, x + radius), 20001)
    if edges[-1] <= edges[0]:
        return 0.0
    middle = 0.5 * (edges[1:] + edges[:-1])
    half_chord = np.sqrt(np.maximum(radius**2 - (middle - x) ** 2, 0.0))
    chord = np.minimum(height, y + half_chord) - np.maximum(0.0, y - half_chord)
    return float(np.sum(np.maximum(chord, 0.0)) * (edges[1] - edges[0]))


def share_crossed(spans: Sequence[tuple[float, float]], stack: float) -> float:
    """Share of a stack of tubes that passes under some opening.

    Parameters
    ----------
    spans : sequence of (float, float)
        Extent of each opening across the tubes, [m]
    stack : float
        Extent of the stack, [m]

    Returns
    -------
    share : float
        Extent of all openings together over the stack, [-]

    Notes
    -----
    Limits: a tube just touched counts as crossed. Accuracy: exact.

    References
    ----------
    Geometry.
    """
    covered, reached = 0.0, 0.0
    for low, high in sorted(spans):
        start, end = max(low, reached, 0.0), min(high, stack)
        covered += max(end - start, 0.0)
        reached = max(reached, end)
    return covered / stack


def discs_overlap(apart: float, radius: float, other: float) -> float:
    """Area two round discs share.

    Parameters
    ----------
    apart : float
        Between their centres, [m]
    radius, other : float
        Of each, [m]

    Returns
    -------
    area : float
        [m**2]

    Notes
    -----
    Limits: none. Accuracy: exact.

    References
    ----------
    Two circular segments; any geometry handbook, from memory.
    """
    small, large = sorted((radius, other))
    if apart >= small + large:
        return 0.0
    if apart <= large - small:
        return math.pi * small**2
    area = 0.0
    for own, far in ((small, large), (large, small)):
        half = math.acos((apart**2 + own**2 - far**2) / (2.0 * apart * own))
        area += own**2 * (half - math.sin(half) * math.cos(half))
    return area


@offer
def solid_behind_loss(blocked_share: float, annulus: float, edge: float, clearance: float) -> float:
    """Loss coefficient of a solid close behind a fan, on the head in the fan's annulus.

    The air of the blocked share must leave through the gap round its edge: s^3 (A / (l x))^2, one head of the
    speed there.

    Parameters
    ----------
    blocked_share : float
        Share of the fan's annulus the solid stands behind, s, [-]
    annulus : float
        Swept annulus of the fan, A, [m**2]
    edge : float
        Length of the solid's edge the air can leave by, l, [m]
    clearance : float
        From the back of the fan's motor or blades to the solid, x, [m]

    Returns
    -------
    loss_coefficient : float
        K on the head in the annulus, [-]

    Notes
    -----
    Limits: a flat face square to the air; the swirl of the blades is left out. Accuracy: factor two; nothing at
    a clearance of a blade's radius.

    References
    ----------
    Continuity and one velocity head lost; derived, no source.
    """
    return float(blocked_share**3 * (annulus / (edge * clearance)) ** 2)
