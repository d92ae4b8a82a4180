"""Coolant that goes past the radiator, and what a heater sheds.

branch_flow      through heater or bypass at a pressure
share_past       of the pump's flow
heater_relief    degrees a heater takes off
"""

import math

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

HEATER_CORE = 3.6e11
"""10 kPa at 10 L/min through a heater's core: from memory, a factor of 2, [Pa/(m**3/s)**2]"""
HEATER_SHEDS = 80.0
"""Per degree of coolant over the air it blows, blower full: 6 kW at 75 K, from memory, [W/K]"""
HEATER_SPREAD = 1.5
"""Factor either way on that"""
_HOSE_FRICTION = 0.022


@offer
def branch_flow(pressure: Draws, bore: Draws, length: Draws, fittings: Draws, density: Draws, further: float) -> Draws:
    r"""Flow through a hose and what is in it at a pressure between its ends.

    .. math:: q = \sqrt{\Delta p / k}, \quad k = (f L / d + K) \rho / (2 A^2) + k_{further}, \quad f = 0.022

    Parameters
    ----------
    pressure : float
        Between its ends, [Pa]
    bore : float
        Inside, [m]
    length : float
        [m]
    fittings : float
        Velocity heads of necks and turns, [-]
    density : float
        [kg/m**3]
    further : float
        Of what it feeds: pressure over flow squared, 3.6e11 for a heater's core, 0 for a bare hose, [Pa*s**2/m**6]

    Returns
    -------
    flow : float
        [m**3/s]

    Notes
    -----
    Limits: turbulent, hot coolant; nothing but the hose holds a bypass back. Accuracy: a heater's core is known to a
    factor of 2 in pressure, so its flow to 1.4; a bare hose 10 %.

    References
    ----------
    As `hose_loss` with one friction factor; the heater's core from memory.
    """
    area = 0.25 * math.pi * bore**2
    k = (_HOSE_FRICTION * length / bore + fittings) * density / (2.0 * area**2) + further
    return (pressure / k) ** 0.5


@offer
def share_past(branches: Draws, radiator_flow: Draws) -> Draws:
    """Share of a pump's flow that goes past the radiator.

    q / (q + q_radiator).

    Parameters
    ----------
    branches : float
        Flow of heater and bypass together, [m**3/s]
    radiator_flow : float
        [m**3/s]

    Returns
    -------
    share : float
        [-]

    Notes
    -----
    Limits: both at the same pressure between engine and pump. Accuracy: exact.

    References
    ----------
    Flows in parallel add.
    """
    return branches / (branches + radiator_flow)


@offer
def heater_relief(heat: Draws, over_air: Draws, shed_per_kelvin: Draws) -> Draws:
    """Degrees a heater at full blower takes off coolant that has settled, thermostat full open.

    dT h / (G + h) with G = Q / dT.

    Parameters
    ----------
    heat : float
        Into the coolant, [W]
    over_air : float
        Coolant over outside air without the heater, [K rise]
    shed_per_kelvin : float
        Of the heater, per degree over the air it blows: 80 W/K, [W/K]

    Returns
    -------
    relief : float
        [K rise]

    Notes
    -----
    Limits: the heater takes outside air; the radiator sheds in proportion to coolant over air. Accuracy: the
    heater's, a factor of 1.5.

    References
    ----------
    Heat balance; the heater's figure from memory.
    """
    return over_air * shed_per_kelvin / (heat / over_air + shed_per_kelvin)
