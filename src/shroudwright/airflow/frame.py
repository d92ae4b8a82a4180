"""Pressures across the pack, all on one frame.

(Cp_in - Cp_bay) q + fans = coolers + plenum + (K_front + K_exit) on the core-face head.

    ram_pressure, head_loss, leak_flow
"""

import math

from shroudwright.bench.compiled import compilable, inlined
from shroudwright.bench.registry import offer

ORIFICE_COEFFICIENT = 0.6


@offer
@compilable
def ram_pressure(road_speed: float, air_density: float, inlet_share: float, bay_share: float) -> float:
    """Pressure the road air puts across the cooling pack.

    (Cp_in - Cp_bay) rho V^2 / 2.

    Parameters
    ----------
    road_speed : float
        Speed through still air, [m/s]
    air_density : float
        Density of the outside air, [kg/m**3]
    inlet_share : float
        Pressure recovered ahead of the pack as a share of the head, Cp_in, [-]
    bay_share : float
        Pressure behind the pack as a share of the head, Cp_bay, [-]

    Returns
    -------
    pressure : float
        Positive pushes air through, [Pa]

    Notes
    -----
    Limits: straight ahead in still air; the shares carry everything else.
    Accuracy: as good as the shares, which are guesses to +-0.2 until calibrated.

    References
    ----------
    Structure after SAE 2002-01-0256 (abstract read); values of the shares: common practice, no source.
    """
    return (inlet_share - bay_share) * 0.5 * air_density * road_speed * road_speed


@inlined
def head_loss(loss_coefficient: float, air_mass_flow: float, air_density: float, face_area: float) -> float:
    """Pressure lost at a coefficient on the core-face dynamic head.

    K rho V^2 / 2 with V = m / (rho A).

    Parameters
    ----------
    loss_coefficient : float
        K on the core-face head, [-]
    air_mass_flow : float
        Air through the face, [kg/s]
    air_density : float
        Density where the loss is taken, [kg/m**3]
    face_area : float
        Core face the air passes, [m**2]

    Returns
    -------
    pressure_drop : float
        Signed like the flow, [Pa]

    Notes
    -----
    Limits: turbulent losses only. Accuracy: exact, by definition.

    References
    ----------
    Definition of a loss coefficient.
    """
    flux = air_mass_flow / face_area
    return 0.5 * loss_coefficient * flux * math.fabs(flux) / air_density


@offer
@inlined
def leak_flow(leak_area: float, pressure_drop: float, air_density: float) -> float:
    """Air drawn through gaps, such as an open ring round a fan.

    Cd A sqrt(2 dp / rho), Cd = 0.6.

    Parameters
    ----------
    leak_area : float
        Open area of the gaps, [m**2]
    pressure_drop : float
        Pressure across them, [Pa]
    air_density : float
        Density of the leaking air, [kg/m**3]

    Returns
    -------
    air_flow : float
        Signed like the pressure, [m**3/s]

    Notes
    -----
    Limits: sharp-edged gaps, turbulent. Accuracy: the coefficient is good to about 10 %.

    References
    ----------
    Sharp-edged orifice, any fluid-mechanics text, from memory.
    """
    size = ORIFICE_COEFFICIENT * leak_area * math.sqrt(2.0 * math.fabs(pressure_drop) / air_density)
    return size if pressure_drop >= 0.0 else -size
