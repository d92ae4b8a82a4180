"""Hoses, necks and tanks.

hose_loss
"""

import math

from shroudwright.bench.compiled import inlined
from shroudwright.bench.registry import offer


@offer
@inlined
def hose_loss(flow: float, bore: float, length: float, fittings: float, density: float, viscosity: float) -> float:
    """Pressure lost in hoses, necks and tanks.

    (f L / D + sum K) rho v^2 / 2 with f = 0.316 Re^-1/4, or 64 / Re where that is larger.

    Parameters
    ----------
    flow : float
        Coolant flow, [m**3/s]
    bore : float
        Inside diameter of the hose, [m]
    length : float
        Of both hoses together, [m]
    fittings : float
        Velocity heads lost in bends, necks and tanks, [-]
    density : float
        Of the coolant, [kg/m**3]
    viscosity : float
        Of the coolant, [Pa*s]

    Returns
    -------
    pressure_drop : float
        [Pa]

    Notes
    -----
    Limits: smooth hose, Re below 1e5. Accuracy: 5 % on the straight length; fittings are a guess.

    References
    ----------
    Blasius (1913) for smooth pipe, any fluid-mechanics text, from memory.
    """
    velocity = flow / (0.25 * math.pi * bore * bore)
    Re = max(density * velocity * bore / viscosity, 1.0)
    f = max(64.0 / Re, 0.316 / math.sqrt(math.sqrt(Re)))
    return (f * length / bore + fittings) * 0.5 * density * velocity * velocity
