"""Heat between two streams that cross.

effectiveness  exact, neither stream mixed
crossflow      heat and outlets of a cross-flow cooler of known conductance
"""

import math
from typing import NamedTuple

from shroudwright.bench.compiled import inlined
from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer

_MOST_NTU = 200.0
_SMALL = 0.01  # where 1 - exp(-x) has lost two digits, and expm1 costs three times as much


@offer
@inlined
def effectiveness(NTU: float, Cr: float) -> float:
    """Effectiveness of cross flow, neither stream mixed, exact.

    eps = 1/(Cr NTU) sum(n>=0) P_n(NTU) P_n(Cr NTU), P_n(x) = 1 - e^-x sum(m<=n) x^m/m!

    Parameters
    ----------
    NTU : float
        Conductance over the lesser heat capacity rate, [-]
    Cr : float
        Lesser over greater heat capacity rate, 0 to 1, [-]

    Returns
    -------
    effectiveness : float
        Heat over the most the two inlets allow, [-]

    Notes
    -----
    Limits: one pass, even flow; Cr is never above 1; NTU past 200 is taken as 200.
    Accuracy: within 1e-9 of the exact solution.

    References
    ----------
    Mason, Proc. 2nd U.S. National Congress of Applied Mechanics (1955) 801, in the series form of Kays and
    London, Compact Heat Exchangers, from memory; checked against a library's quadrature.
    """
    N = min(NTU, _MOST_NTU)
    C = Cr * N
    p, q = math.exp(-N), math.exp(-C)
    a = 1.0 - p if N > _SMALL else -math.expm1(-N)
    if C < 1e-12:
        return a
    b = 1.0 - q if C > _SMALL else -math.expm1(-C)
    total = a * b
    for n in range(1, 1000):
        inverse = 1.0 / n
        p *= N * inverse
        q *= C * inverse
        a -= p
        b -= q
        term = a * b
        total += term
        if term < 1e-13 * total:
            break
    return total / C


class Crossflow(NamedTuple):
    """What passes between two streams that cross."""

    heat: float
    hot_out: float
    cold_out: float
    effectiveness: float
    NTU: float


@offer
def crossflow(
    heat_transfer_coefficient: float,
    area: float,
    hot_mass_flow: float,
    hot_specific_heat: float,
    cold_mass_flow: float,
    cold_specific_heat: float,
    hot_in: float,
    cold_in: float,
) -> Crossflow:
    """Heat and outlet temperatures of a cross-flow cooler whose conductance is known.

    Q = eps C_min (T_hot - T_cold)

    Parameters
    ----------
    heat_transfer_coefficient : float
        Overall, on the area given, [W/m**2/K]
    area : float
        The area the coefficient is on, [m**2]
    hot_mass_flow : float
        Of the stream to be cooled, [kg/s]
    hot_specific_heat : float
        Of the stream to be cooled, [J/kg/K]
    cold_mass_flow : float
        Of the cooling stream, [kg/s]
    cold_specific_heat : float
        Of the cooling stream, [J/kg/K]
    hot_in : float
        Inlet of the stream to be cooled, [K]
    cold_in : float
        Inlet of the cooling stream, [K]

    Returns
    -------
    heat : float
        From hot to cold, [W]
    hot_out : float
        Outlet of the cooled stream, [K]
    cold_out : float
        Outlet of the cooling stream, [K]
    effectiveness : float
        Heat over the most the two inlets allow, [-]
    NTU : float
        Conductance over the lesser heat capacity rate, [-]

    Notes
    -----
    Limits: steady, neither stream mixed, nothing lost outside; both flows above zero.
    Accuracy: exact for that exchanger.

    References
    ----------
    Kays and London, Compact Heat Exchangers, 3rd edition, 1984, from memory; `effectiveness`.
    """
    hot, cold = hot_mass_flow * hot_specific_heat, cold_mass_flow * cold_specific_heat
    if not min(hot, cold, heat_transfer_coefficient, area) > 0.0:
        raise InputError(["both flows, their specific heats, the coefficient and the area must be above zero"])
    least, most = min(hot, cold), max(hot, cold)
    NTU = heat_transfer_coefficient * area / least
    eps = effectiveness(NTU, least / most)
    heat = eps * least * (hot_in - cold_in)
    return Crossflow(heat, hot_in - heat / hot, cold_in + heat / cold, eps, NTU)
