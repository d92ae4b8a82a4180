"""Room under the shut hood.

hood_clearance
"""

import math

from shroudwright.bench.registry import offer

HOOD_ROOM = 0.0127
"""1/2 in left under a shut hood, which sags and shakes: common practice, no source, [m]"""


@offer
def hood_clearance(
    up: float, behind: float, core_height: float, hood: float, hood_behind: float, hood_there: float, lean: float
) -> float:
    """Gap straight up from a point on a leaning core to the shut hood.

    The hood is straight through the two places taped, and goes on so.

    Parameters
    ----------
    up : float
        From the core's lower edge, along the core, [m]
    behind : float
        Behind the fins' back face, square to it, [m]
    core_height : float
        Of the fins, along the core, [m]
    hood : float
        Plumb height of the hood over the core's upper edge, from its lower edge, [m]
    hood_behind : float
        How far behind that the hood was taped again, level, [m]
    hood_there : float
        Plumb height there; the same as over the core where nobody taped it, [m]
    lean : float
        Of the core's top, backward, [rad]

    Returns
    -------
    gap : float
        Negative where something would go through the hood, [m]

    Notes
    -----
    Limits: a hood without a rib or liner between the places taped. Accuracy: the tape's.

    References
    ----------
    Geometry.
    """
    c, s = math.cos(lean), math.sin(lean)
    past = behind * c + (up - core_height) * s
    slope = (hood_there - hood) / hood_behind if hood_behind else 0.0
    return hood + slope * past - (up * c - behind * s)
