"""The air side of one core at one flow.

air_reynolds       Reynolds number of the air
air_friction       friction factor at one
air_side           heat transfer, friction factor and Reynolds number
air_pressure_drop  pressure lost through the core
"""

import math
from typing import NamedTuple

from shroudwright.bench.compiled import inlined
from shroudwright.materials.air import conductivity, specific_heat, viscosity
from shroudwright.radiator.duct import STILL, duct_darcy_f, duct_nu
from shroudwright.radiator.fins import fin_efficiency, louver_f
from shroudwright.radiator.geometry import LOUVERED, PLAIN, Core, Surface


class AirSide(NamedTuple):
    """Heat transfer and friction on the air side."""

    eta_h_A: float
    f: float
    j: float
    Re: float


@inlined
def air_reynolds(surface: Surface, air_mass_flow: float, film_temperature: float) -> float:
    """Reynolds number of the air in a core, on the length its relations use, [-]."""
    return max(air_mass_flow * (surface.air_length / surface.free_area) / viscosity(film_temperature), STILL)


@inlined
def air_friction(core: Core, surface: Surface, Re: float) -> float:
    """Fanning friction factor of the air side at a Reynolds number, [-]."""
    if core.fin == LOUVERED:
        return louver_f(surface.friction, Re)
    if core.fin == PLAIN:
        return duct_darcy_f(Re, surface.fin_f_re) / 4.0
    return surface.f_scale * math.pow(Re, -0.309)


@inlined
def air_side(
    core: Core, surface: Surface, air_mass_flow: float, film_temperature: float, humidity_ratio: float
) -> AirSide:
    """Heat transfer and friction on the air side of a core.

    h = j G cp Pr^(-2/3); eta_o = 1 - (A_fin / A_o) (1 - eta_f)

    Parameters
    ----------
    core : Core
        The core, [-]
    surface : Surface
        Its areas, from `shroudwright.radiator.geometry.surface`, [-]
    air_mass_flow : float
        Moist air through the core, [kg/s]
    film_temperature : float
        Mean of air in and out, [K]
    humidity_ratio : float
        Vapour over dry air, by mass, [-]

    Returns
    -------
    eta_h_A : float
        Overall surface efficiency times coefficient times area, [W/K]
    f : float
        Fanning friction factor, [-]
    j : float
        Colburn factor, [-]
    Re : float
        On louver pitch for louvered fins, 2 Fl Fp / (Fl + Fp) for wavy, hydraulic diameter for plain, [-]

    Notes
    -----
    Limits: plain fins are taken as smooth rectangular ducts; outside the data the relations run on and
    `shroudwright.radiator.core.range_flags` tells.
    Accuracy: heat of a core about -15 to +10 % without a test of that core.

    References
    ----------
    The relations of `shroudwright.radiator.fins` and `shroudwright.radiator.duct`.
    """
    mu, cp = viscosity(film_temperature), specific_heat(film_temperature, humidity_ratio)
    Pr = cp * mu / conductivity(film_temperature)
    G = air_mass_flow / surface.free_area
    Re = air_reynolds(surface, air_mass_flow, film_temperature)
    f = air_friction(core, surface, Re)
    if core.fin == LOUVERED:
        j = surface.j_scale * Re**-0.49
    elif core.fin == PLAIN:
        Nu = duct_nu(Re, Pr, surface.air_diameter / core.depth, surface.fin_nu)
        j = Nu / (Re * Pr ** (1.0 / 3.0))
    else:
        j = surface.j_scale * Re**-0.2309
    h = j * G * cp * Pr ** (-2.0 / 3.0)
    eta_f = fin_efficiency(h, core.fin_conductivity, core.fin_thickness, core.depth, core.fin_height)
    return AirSide(h * (surface.air_area - surface.fin_area * (1.0 - eta_f)), f, j, Re)


@inlined
def air_pressure_drop(
    core: Core, surface: Surface, f: float, air_mass_flow: float, density_in: float, density_out: float
) -> float:
    """Static pressure the air loses from face to back of a core.

    dp = G^2/(2 rho1) {Kc + 1 - s^2 + 2 (rho1/rho2 - 1) + f (Ao/Ac) rho1/rho_m - (1 - s^2 - Ke) rho1/rho2},
    Kc = 0.42 (1 - s^2), Ke = (1 - s)^2, s = free over face area, 1/rho_m = mean of 1/rho1 and 1/rho2

    Parameters
    ----------
    core : Core
        The core, [-]
    surface : Surface
        Its areas, [-]
    f : float
        Fanning friction factor, from `air_side`, [-]
    air_mass_flow : float
        Moist air through the core, [kg/s]
    density_in : float
        Of the air into the core, rho1, [kg/m**3]
    density_out : float
        Of the air out of the core, rho2, [kg/m**3]

    Returns
    -------
    pressure_drop : float
        Of the core alone, [Pa]

    Notes
    -----
    Limits: even flow, straight through; entry and exit losses are about 4 % of the whole.
    Accuracy: about 30 %, that of the friction factor.

    References
    ----------
    Kays and London, Compact Heat Exchangers, 3rd edition, 1984, chapter 2, from memory.
    """
    G, s = air_mass_flow / surface.free_area, surface.free_share
    ratio = density_in / density_out
    Kc, Ke = 0.42 * (1.0 - s * s), (1.0 - s) * (1.0 - s)
    friction = f * (surface.air_area / surface.free_area) * 0.5 * (1.0 + ratio)
    return G * G / (2.0 * density_in) * (Kc + 1.0 - s * s + 2.0 * (ratio - 1.0) + friction - (1.0 - s * s - Ke) * ratio)
