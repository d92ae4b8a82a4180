"""The coolant side of one core: flow inside its flat tubes.

coolant_side           heat transfer and Reynolds number
coolant_pressure_drop  pressure lost in the tubes
"""

from typing import NamedTuple

from shroudwright.bench.compiled import inlined
from shroudwright.radiator.duct import duct_darcy_f, duct_nu
from shroudwright.radiator.geometry import Core, Surface

_ENDS = 1.5  # velocity heads lost into and out of the tubes of one pass


class CoolantSide(NamedTuple):
    """Heat transfer inside the tubes."""

    h_A: float
    Re: float


@inlined
def _mass_velocity(core: Core, surface: Surface, coolant_mass_flow: float) -> float:
    """Coolant mass flow per bore area in each tube of a pass."""
    return coolant_mass_flow * (core.passes / (surface.tubes * surface.bore_area))


@inlined
def coolant_side(
    core: Core, surface: Surface, coolant_mass_flow: float, rho: float, cp: float, k: float, mu: float
) -> CoolantSide:
    """Heat transfer inside the tubes of a core.

    h = Nu k / D_h, Nu from `shroudwright.radiator.duct.duct_nu`; flow per tube = m passes / tubes

    Parameters
    ----------
    core : Core
        The core, [-]
    surface : Surface
        Its areas, from `shroudwright.radiator.geometry.surface`, [-]
    coolant_mass_flow : float
        Through the core, [kg/s]
    rho : float
        Coolant density, taken only so that the four properties go in together, [kg/m**3]
    cp : float
        Coolant specific heat, [J/kg/K]
    k : float
        Coolant conductivity, [W/m/K]
    mu : float
        Coolant viscosity, [Pa*s]

    Returns
    -------
    h_A : float
        Coefficient times wetted area, [W/K]
    Re : float
        In the tubes, on the bore's hydraulic diameter, [-]

    Notes
    -----
    Limits: smooth flat tubes, the flow shared evenly; turbulators are not known to it.
    Accuracy: about 10 %; between Re 2300 and 4000 the flow itself is not settled.

    References
    ----------
    As `shroudwright.radiator.duct.duct_nu`.
    """
    Dh = surface.bore_diameter
    Re = _mass_velocity(core, surface, coolant_mass_flow) * Dh / mu
    Nu = duct_nu(Re, cp * mu / k, Dh / core.tube_length, surface.bore_nu)
    return CoolantSide(Nu * k * (surface.coolant_area / Dh), Re)


@inlined
def coolant_pressure_drop(core: Core, surface: Surface, coolant_mass_flow: float, rho: float, mu: float) -> float:
    """Pressure the coolant loses in the tubes of a core.

    dp = passes (f L / D_h + 1.5) rho v^2 / 2

    Parameters
    ----------
    core : Core
        The core, [-]
    surface : Surface
        Its areas, [-]
    coolant_mass_flow : float
        Through the core, [kg/s]
    rho : float
        Coolant density, [kg/m**3]
    mu : float
        Coolant viscosity, [Pa*s]

    Returns
    -------
    pressure_drop : float
        Tubes with their entry and exit; necks and tanks are not in it, [Pa]

    Notes
    -----
    Limits: smooth flat tubes, the flow shared evenly; forward flow.
    Accuracy: factor two, because bore and wall are seldom known well; necks are often as much again.

    References
    ----------
    `shroudwright.radiator.duct.duct_darcy_f`; 1.5 velocity heads, practice.
    """
    Dh = surface.bore_diameter
    G = _mass_velocity(core, surface, coolant_mass_flow)
    f = duct_darcy_f(G * Dh / mu, surface.bore_f_re)
    return core.passes * (f * (core.tube_length / Dh) + _ENDS) * G * G / (2.0 * rho)
