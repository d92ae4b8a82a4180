"""Hot air that finds its way back to the front of the pack.

fading, inlet_rise, radiator_air_in
"""

import numpy as np

from shroudwright.bench.compiled import compilable
from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

GONE_AT_SPEED = 4.0


def fading(standing: Draws, road_speed: Draws) -> Draws:
    """What is left at a road speed of something the standing vehicle suffers: hot air coming back, hot pavement.

    Falls in a straight line to nothing at 4 m/s.

    Parameters
    ----------
    standing : float
        Its size at standstill, any unit, [-]
    road_speed : float
        Road speed, [m/s]

    Returns
    -------
    size : float
        In the same unit, [-]

    Notes
    -----
    Limits: still air; a tail wind at crawl brings it back. Accuracy: not stated; the form is a default.

    References
    ----------
    Common practice, no source.
    """
    return standing * np.maximum(0.0, 1.0 - road_speed / GONE_AT_SPEED)


@offer
@compilable
def inlet_rise(recirculation: float, heat: float, heat_ahead: float, air_capacity: float) -> float:
    """Rise of the radiator's inlet air over the outside air.

    Steady mixing at the opening, T_mix = T_amb + r (T_out - T_amb), then the heat of the coolers ahead:
    (Q_ahead + r Q) / ((1 - r) m cp). It runs away as r grows.

    Parameters
    ----------
    recirculation : float
        Share r of the core's air that has been through it before, [-]
    heat : float
        Heat given to the air by the radiator, [W]
    heat_ahead : float
        Heat given to the air ahead of the radiator, [W]
    air_capacity : float
        Mass flow times specific heat of the air, [W/K]

    Returns
    -------
    rise : float
        Inlet air over outside air, [K rise]

    Notes
    -----
    Limits: r below 1; steady. Accuracy: exact for a well-mixed opening.

    References
    ----------
    Energy balance.
    """
    return (heat_ahead + recirculation * heat) / ((1.0 - recirculation) * air_capacity)


@offer
def radiator_air_in(ambient: float, heat_ahead: float, air_mass_flow: float, specific_heat: float) -> float:
    """Air into the radiator behind a cooler that covers the whole face.

    T_amb + Q_ahead / (m cp).

    Parameters
    ----------
    ambient : float
        Outside air, [K]
    heat_ahead : float
        Heat the cooler ahead gives the air, [W]
    air_mass_flow : float
        Air through both, [kg/s]
    specific_heat : float
        Of the air, [J/kg/K]

    Returns
    -------
    air_in : float
        Air into the radiator, [K]

    Notes
    -----
    Limits: whole face covered, no air coming back. Accuracy: exact.

    References
    ----------
    Energy balance.
    """
    return ambient + inlet_rise(0.0, 0.0, heat_ahead, air_mass_flow * specific_heat)
