"""How a bend is made: what the sheet springs back, what a test bend tells, hits on a brake, reliefs.

radius_after_springback  what a former's radius becomes when the sheet is let go
former_radius            the former that leaves a wanted radius
former_angle             how far to bend round it
k_from_test_bend         the neutral line from a coupon
bump_facet               how flat a large radius made by hits looks
bump_hits                how many hits keep the facets small
corner_relief            least hole where two bends meet
"""

import math

from scipy.optimize import brentq

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer

_INCH = 0.0254
MOST_SPRING = 0.5
"""R Y / (E t) from which the sheet stays elastic, [-]"""
LEAST_K, MOST_K = 0.3, 0.5
"""Neutral line over thickness in any sheet, [-]"""
_RELIEFS = ((0.064 * _INCH, 0.125 * _INCH), (0.128 * _INCH, 0.1875 * _INCH))


@offer
def radius_after_springback(former_radius: float, thickness: float, yield_strength: float, elasticity: float) -> float:
    """Inside radius of a bend once the sheet is let go.

    Ri / Rf = 4 x^3 - 3 x + 1, x = Ri Y / (E t)

    Parameters
    ----------
    former_radius : float
        Ri, [m]
    thickness : float
        t, [m]
    yield_strength : float
        Y, [Pa]
    elasticity : float
        E, [Pa]

    Returns
    -------
    radius : float
        Rf, [m]

    Raises
    ------
    InputError
        If x is 0.5 or more: the sheet stays elastic and springs back flat.

    Notes
    -----
    Limits: x under 0.5; metal that does not harden.
    Accuracy: the correction is good to some 30 %, a judgement; real sheet hardens and springs back less. Make a
    test bend first.

    References
    ----------
    Marciniak, Duncan and Hu, Mechanics of Sheet Metal Forming; Kalpakjian and Schmid; the relation read in three
    reproductions, editions from memory.
    """
    x = former_radius * yield_strength / (elasticity * thickness)
    if x >= MOST_SPRING:
        most = MOST_SPRING * elasticity * thickness / yield_strength
        raise InputError(
            [
                f"former_radius: {former_radius / _INCH:.2f} in only flexes this sheet, which springs back flat; "
                f"stay under {most / _INCH:.2f} in, or roll in steps"
            ]
        )
    return former_radius / (4.0 * x**3 - 3.0 * x + 1.0)


@offer
def former_radius(finished_radius: float, thickness: float, yield_strength: float, elasticity: float) -> float:
    """Radius of the former that leaves a wanted inside radius.

    `radius_after_springback`, turned round

    Parameters
    ----------
    finished_radius : float
        Rf, [m]
    thickness : float
        t, [m]
    yield_strength : float
        Y, [Pa]
    elasticity : float
        E, [Pa]

    Returns
    -------
    radius : float
        Ri, smaller than Rf; take the nearest pipe or bar of twice this diameter, [m]

    Notes
    -----
    Limits: as `radius_after_springback`; every finished radius has a former.
    Accuracy: as `radius_after_springback`.

    References
    ----------
    As `radius_after_springback`.
    """
    elastic = MOST_SPRING * elasticity * thickness / yield_strength

    def miss(radius: float) -> float:
        x = radius * yield_strength / (elasticity * thickness)
        return radius - finished_radius * (4.0 * x**3 - 3.0 * x + 1.0)

    return float(brentq(miss, 0.0, min(finished_radius, elastic), xtol=1e-12, rtol=1e-14))


@offer
def former_angle(angle: float, finished_radius: float, former_radius: float) -> float:
    """Angle to bend round the former so that a wanted one is left.

    angle Rf / Ri: the arc keeps its length

    Parameters
    ----------
    angle : float
        Wanted when let go, [rad]
    finished_radius : float
        Rf, [m]
    former_radius : float
        Ri, [m]

    Returns
    -------
    angle : float
        [rad]

    Notes
    -----
    Limits: radii of the inside; mark the tangents from the finished part.
    Accuracy: as `radius_after_springback`.

    References
    ----------
    Geometry.
    """
    return angle * finished_radius / former_radius


@offer
def k_from_test_bend(
    flat_length: float, straights: float, angle: float, inside_radius: float, thickness: float
) -> float:
    """Depth of the neutral line over thickness, from a test bend.

    K = ((L - straights) / A - R) / t

    Parameters
    ----------
    flat_length : float
        Of the strip before the bend, L, [m]
    straights : float
        Both legs of the bent strip up to their tangents, together, [m]
    angle : float
        Turned through, as measured, A, [rad]
    inside_radius : float
        As measured, R, [m]
    thickness : float
        As measured, t, [m]

    Returns
    -------
    k_factor : float
        [-]

    Raises
    ------
    InputError
        If K is not between 0.3 and 0.5: one of the numbers is wrong.

    Notes
    -----
    Limits: one bend in one strip.
    Accuracy: 0.1 mm in a length is 0.03 in K on a 90 deg bend of 2 mm sheet: use a caliper and three strips.

    References
    ----------
    Geometry.
    """
    found = k_measured(flat_length, straights, angle, inside_radius, thickness)
    if not LEAST_K <= found <= MOST_K:
        raise InputError(
            [
                f"flat_length: with these legs, angle and radius K comes out at {found:.3f}; it is between 0.3 and 0.5 "
                "in any sheet: measure the strip, the legs to their tangents and the radius again"
            ]
        )
    return found


def k_measured(flat_length: float, straights: float, angle: float, inside_radius: float, thickness: float) -> float:
    """Return what `k_from_test_bend` finds, possible or not, [-]."""
    return ((flat_length - straights) / angle - inside_radius) / thickness


@offer
def bump_facet(radius: float, angle: float, hits: float) -> float:
    """How far the flats of a bump-formed radius stand off the true curve.

    R (1 - cos(A / 2 N))

    Parameters
    ----------
    radius : float
        Inside, R, [m]
    angle : float
        Turned through by all hits, A, [rad]
    hits : float
        N, [-]

    Returns
    -------
    facet : float
        [m]

    Notes
    -----
    Limits: hits of equal angle, one part in N of the bend's flat length apart.
    Accuracy: exact for flats between sharp hits; a blunt punch leaves less.

    References
    ----------
    Geometry.
    """
    return radius * (1.0 - math.cos(0.5 * angle / hits))


@offer
def bump_hits(radius: float, angle: float, facet: float) -> float:
    """Least number of hits that keeps the flats of a bump-formed radius small.

    N = A / (2 acos(1 - facet / R)), rounded up

    Parameters
    ----------
    radius : float
        Inside, R, [m]
    angle : float
        Turned through by all hits, A, [rad]
    facet : float
        Most that a flat may stand off the curve, [m]

    Returns
    -------
    hits : float
        A whole number, [-]

    Notes
    -----
    Limits: as `bump_facet`.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    return float(math.ceil(0.5 * angle / math.acos(max(1.0 - facet / radius, 0.0)) - 1e-9))


@offer
def corner_relief(thickness: float, inside_radius: float) -> float:
    """Least diameter of the relief hole where two bends meet.

    1/8 in to 0.064 in of sheet, 3/16 in to 0.128 in, or twice the bend's radius where that is more

    Parameters
    ----------
    thickness : float
        t, [m]
    inside_radius : float
        Of the larger of the two bends, R, [m]

    Returns
    -------
    diameter : float
        It should reach 1/32 to 1/16 in past both inside tangents, [m]

    Notes
    -----
    Limits: aluminium; over 0.128 in of sheet the last figure is kept, and twice the radius governs.
    Accuracy: a shop rule.

    References
    ----------
    FAA-H-8083-31, sheet-metal chapter; read in a reproduction.
    """
    table = next((size for most, size in _RELIEFS if thickness <= most), _RELIEFS[-1][1])
    return max(table, 2.0 * inside_radius)
