"""The other fluids: how hot each must get before its cooler sheds the heat it is given.

hot_fluid_in         temperature a hot fluid settles at, into its cooler
tank_cooler          heat per kelvin of an exchanger in the radiator's tank
in_line              temperature into the first of two coolers in line
charge_after_cooler  charge air after its cooler
charge_loop_rise     what a water loop warms in a short pull
"""

import numpy as np

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer


@offer
def hot_fluid_in(heat: Draws, heat_per_kelvin: Draws, cold_in: Draws) -> Draws:
    """Temperature a hot fluid settles at, into its cooler.

    T = T_cold + Q / (eps C_min)

    Parameters
    ----------
    heat : float
        Given to the fluid and shed by the cooler, Q, [W]
    heat_per_kelvin : float
        eps C_min, per kelvin between the two inlets, [W/K]
    cold_in : float
        What cools it, into the cooler, T_cold, [K]

    Returns
    -------
    hot_in : float
        T; of a condenser the condensing temperature, [K]

    Notes
    -----
    Limits: steady, all the heat shed there. Accuracy: that of eps C_min.

    References
    ----------
    Definition of effectiveness.
    """
    return cold_in + heat / heat_per_kelvin


@offer
def tank_cooler(conductance: Draws, fluid_capacity: Draws) -> Draws:
    """Heat a cooler in the radiator's tank sheds per kelvin of fluid over coolant.

    C [1 - exp(-UA / C)]

    Parameters
    ----------
    conductance : float
        UA of the exchanger, [W/K]
    fluid_capacity : float
        Fluid flow times specific heat, C, [W/K]

    Returns
    -------
    heat_per_kelvin : float
        [W/K]

    Notes
    -----
    Limits: much more coolant than fluid flows past it; with the thermostat nearly shut it sheds less.
    Accuracy: that of UA, about a factor of two unmeasured.

    References
    ----------
    Effectiveness with the other side at one temperature, any heat-exchanger textbook.
    """
    shed: Draws = fluid_capacity * -np.expm1(-conductance / fluid_capacity)
    return shed


@offer
def in_line(
    heat: Draws, first: Draws, second: Draws, fluid_capacity: Draws, first_cold: Draws, second_cold: Draws
) -> Draws:
    """Temperature a hot fluid settles at, into the first of two coolers in line.

    Q = K1 (T - T1) + K2 [T - K1 (T - T1) / C - T2], solved for T

    Parameters
    ----------
    heat : float
        Given to the fluid, Q, [W]
    first : float
        Heat the first cooler sheds per kelvin of its fluid in over what cools it, K1, [W/K]
    second : float
        Likewise the second, K2, [W/K]
    fluid_capacity : float
        Fluid flow times specific heat, C, [W/K]
    first_cold : float
        What cools the first, T1, [K]
    second_cold : float
        What cools the second, T2, [K]

    Returns
    -------
    hot_in : float
        T, [K]

    Notes
    -----
    Limits: steady; the second may warm the fluid where its air is hotter. Accuracy: that of K1 and K2.

    References
    ----------
    Energy balance over both.
    """
    left = 1.0 - first / fluid_capacity
    return (heat + first * first_cold + second * (second_cold - first_cold * first / fluid_capacity)) / (
        first + second * left
    )


@offer
def charge_after_cooler(intake_temperature: Draws, rise: Draws, effectiveness: Draws, cold_in: Draws) -> Draws:
    """Temperature of charge air after its cooler.

    T = T_cold + (1 - eps) (T_intake + dT - T_cold)

    Parameters
    ----------
    intake_temperature : float
        Into the compressor, [K]
    rise : float
        In the compressor, dT, [K rise]
    effectiveness : float
        eps, 0.6 to 0.85, [-]
    cold_in : float
        Air or water that cools it, T_cold, [K]

    Returns
    -------
    charge : float
        [K]

    Notes
    -----
    Limits: steady; metal that soaks up a short pull is left out. Accuracy: that of eps.

    References
    ----------
    Definition of effectiveness.
    """
    return cold_in + (1.0 - effectiveness) * (intake_temperature + rise - cold_in)


@offer
def charge_loop_rise(heat: Draws, seconds: Draws, loop_store: Draws) -> Draws:
    """Warming of a charge cooler's water by the end of a short pull.

    Q t / C

    Parameters
    ----------
    heat : float
        Taken out of the charge, Q, [W]
    seconds : float
        Length of the pull, t, [s]
    loop_store : float
        Water and metal of the loop, C: about 3.6 kJ/K a litre, [J/K]

    Returns
    -------
    rise : float
        [K rise]

    Notes
    -----
    Limits: nothing shed meanwhile, so an upper bound. Accuracy: that of the heat.

    References
    ----------
    Energy balance.
    """
    return heat * seconds / loop_store
