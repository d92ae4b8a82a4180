"""The refrigerant of the air conditioner.

r134a_saturation_pressure    pressure at which it condenses at a temperature
"""

import numpy as np

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

CRITICAL_TEMPERATURE = 374.21
"""Over this R134a does not condense, [K]"""
_CRITICAL_PRESSURE = 4.05928e6
_COLDEST = 240.0


@offer
def r134a_saturation_pressure(temperature: Draws) -> Draws:
    """Absolute pressure of R134a boiling or condensing at a temperature.

    ln(P / Pc) = (Tc / T) (n1 x + n2 x^1.5 + n3 x^2 + n4 x^4), x = 1 - T / Tc

    Parameters
    ----------
    temperature : float
        Of the condensing refrigerant, T, [K]

    Returns
    -------
    pressure : float
        Absolute, P; held at the critical point over 374.21 K, [Pa]

    Notes
    -----
    Limits: 240 K to the critical point, held outside. Accuracy: 0.1 % against CoolProp.

    References
    ----------
    Form and coefficients of Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657, from memory;
    checked against CoolProp.
    """
    T = np.clip(temperature, _COLDEST, CRITICAL_TEMPERATURE)
    x = 1.0 - T / CRITICAL_TEMPERATURE
    powers = -7.686556 * x + 2.311791 * x**1.5 - 2.039554 * x**2 - 3.583758 * x**4
    pressure: Draws = _CRITICAL_PRESSURE * np.exp(CRITICAL_TEMPERATURE / T * powers)
    return pressure
