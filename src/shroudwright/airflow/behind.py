"""The space between core and fan: what a shallow plenum costs, and what a bare fan can reach.

hand_rule                  how unevenly a shallow plenum draws, by hand
area_under_opening         core face under a round opening
    share_crossed              share of the tubes that pass under some opening
    discs_overlap              area two discs share
solid_behind_loss          what an engine close behind a fan costs
"""

import math
from collections.abc import Sequence

import numpy as np

from shroudwright.bench.registry import offer

_STEEPNESS, _SLOPE, _BEND = 1.66, 0.308, 0.315


@offer
def hand_rule(
    core_outside: float, opening_edge: float, depth: float, density: float, face_velocity: float, core_drop: float
) -> tuple[float, float]:
    """How unevenly a core is drawn through a shallow plenum, by hand.

    N = A / (l h) sqrt(beta rho V^2 / dp), beta = pi^2 / 8; evenness = 0.308 N^1.66 / (1 + 0.315 N^1.66)

    Parameters
    ----------
    core_outside : float
        Core face behind the shroud and not under an opening, A, [m**2]
    opening_edge : float
        Circumference of all openings together, l, [m]
    depth : float
        Fins to plate, h, [m]
    density : float
        Of the air behind the core, [kg/m**3]
    face_velocity : float
        Mean over the core with a deep plenum, V, [m/s]
    core_drop : float
        Pressure the core takes at that speed, dp, [Pa]

    Returns
    -------
    number : float
        N: under 0.55 fine, about 1.6 a fifth of the core below half the mean, [-]
    evenness : float
        Coefficient of variation of the face speed, [-]

    Notes
    -----
    Limits: whole core covered, like fans side by side, 1/2 to 2 in. Accuracy: 0.04 in evenness over 24 computed
    plenums; no measurement is known.

    References
    ----------
    Fit to depth-averaged plenum computations; no published curve exists.
    """
    plate = core_outside / (opening_edge * depth)
    number = plate * math.sqrt(math.pi**2 / 8.0 * density * face_velocity**2 / core_drop)
    grows = number**_STEEPNESS
    return number, _SLOPE * grows / (1.0 + _BEND * grows)


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
