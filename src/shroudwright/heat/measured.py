"""What fuel meters, dynamometers and road logs say.

fuel_power_from_rate           fuel rate to power
brake_thermal_efficiency       from torque, speed and fuel
efficiency_from_specific_fuel  from specific fuel consumption
measured_coolant_share         from coolant flow, temperature rise and fuel
"""

import numpy as np

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer


@offer
def fuel_power_from_rate(volume_rate: Draws, heating_value: Draws) -> Draws:
    """Heating value burnt per second, from gallons an hour.

    Parameters
    ----------
    volume_rate : float
        Liquid fuel burnt, [m**3/s]
    heating_value : float
        Lower, per volume; gasoline 32, diesel 36, E85 23, methanol 16 MJ/L, [J/m**3]

    Returns
    -------
    fuel_power : float
        [W]

    Notes
    -----
    Limits: none. Accuracy: that of the heating value, +-3 % between blends.

    References
    ----------
    Definition; heating values from memory.
    """
    return volume_rate * heating_value


@offer
def brake_thermal_efficiency(engine_rpm: Draws, torque: Draws, fuel_mass_flow: Draws, heating_value: Draws) -> Draws:
    """Share of the fuel's heating value that leaves at the crank.

    eta = 2 pi n T / (60 m_f H)

    Parameters
    ----------
    engine_rpm : float
        n, [rpm]
    torque : float
        T, [N*m]
    fuel_mass_flow : float
        m_f, [kg/s]
    heating_value : float
        Lower, H, [J/kg]

    Returns
    -------
    efficiency : float
        [-]

    Notes
    -----
    Limits: none. Accuracy: that of the readings.

    References
    ----------
    Definition.
    """
    return engine_rpm * (np.pi / 30.0) * torque / (fuel_mass_flow * heating_value)


@offer
def efficiency_from_specific_fuel(specific_fuel: Draws, heating_value: Draws) -> Draws:
    """Brake thermal efficiency from brake specific fuel consumption.

    eta = 1 / (bsfc H)

    Parameters
    ----------
    specific_fuel : float
        Fuel per brake work, bsfc, [kg/J]
    heating_value : float
        Lower, H, [J/kg]

    Returns
    -------
    efficiency : float
        [-]

    Notes
    -----
    Limits: none. Accuracy: that of the readings.

    References
    ----------
    Definition.
    """
    return 1.0 / (specific_fuel * heating_value)


@offer
def measured_coolant_share(
    coolant_mass_flow: Draws,
    specific_heat: Draws,
    rise: Draws,
    fuel_mass_flow: Draws,
    heating_value: Draws,
) -> Draws:
    """Share of the fuel's heating value that the coolant carries off.

    phi = m cp dT / (m_f H)

    Parameters
    ----------
    coolant_mass_flow : float
        m, [kg/s]
    specific_heat : float
        cp, [J/kg/K]
    rise : float
        Across the engine, dT, [K rise]
    fuel_mass_flow : float
        m_f, [kg/s]
    heating_value : float
        Lower, H, [J/kg]

    Returns
    -------
    coolant_share : float
        [-]

    Notes
    -----
    Limits: steady. Accuracy: that of the readings; a 5 K rise read to 1 K is 20 %.

    References
    ----------
    Energy balance.
    """
    return coolant_mass_flow * specific_heat * rise / (fuel_mass_flow * heating_value)
