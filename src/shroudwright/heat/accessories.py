"""What is bolted to the engine: loads it drives, heat it adds, and the mass that soaks heat up.

alternator_power    crank power behind an electrical load
gearbox_heat        heat of a gearbox
condenser_heat      heat an air conditioner puts ahead of the radiator
charge_air_rise     temperature rise in a compressor
charge_air_heat     heat a charge cooler takes out
supercharger_power  crank power behind a belt-driven compressor
engine_air_flow     air an engine breathes for its fuel
engine_mass_guess   engine mass from displacement
heat_store          thermal mass of engine and coolant
"""

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer
from shroudwright.heat.engine import FUELS
from shroudwright.heat.inputs import pick

_CP_AIR = 1005.0
_METAL_CP = {"iron": 500.0, "aluminium": 900.0}
_MASS_FACTOR = {"iron": 1.0, "aluminium": 0.75}
_PARTICIPATING = 0.7
_COOLANT_STORE = 3.7e6


@offer
def alternator_power(electrical_power: Draws, efficiency: Draws) -> Draws:
    """Power an alternator takes at the crank.

    Parameters
    ----------
    electrical_power : float
        Volts times amps, [W]
    efficiency : float
        Alternator and belt: 0.60 (0.5 to 0.7), [-]

    Returns
    -------
    power : float
        [W]

    Notes
    -----
    Limits: within the alternator's output. Accuracy: +-15 %.

    References
    ----------
    Common practice, no source.
    """
    return electrical_power / efficiency


@offer
def gearbox_heat(power_in: Draws, efficiency: Draws) -> Draws:
    """Heat a gearbox turns its losses into.

    Q = P (1 - eta). Its efficiency is part of the driveline's; this heat goes to the transmission cooler,
    once.

    Parameters
    ----------
    power_in : float
        Into the gearbox, converter included, P, [W]
    efficiency : float
        eta: 0.80 to 0.92 with an unlocked converter, 0.92 to 0.96 locked, [-]

    Returns
    -------
    heat : float
        [W]

    Notes
    -----
    Limits: steady. Accuracy: that of the efficiency, a third of the heat either way.

    References
    ----------
    Energy balance; efficiencies common practice, no source.
    """
    return power_in * (1.0 - efficiency)


@offer
def condenser_heat(evaporator_heat: Draws, compressor_power: Draws) -> Draws:
    """Heat an air conditioner gives the air ahead of the radiator.

    Parameters
    ----------
    evaporator_heat : float
        Taken out of the cabin, 3 to 6 kW at idle in heat, [W]
    compressor_power : float
        At the crank, 2 to 4 kW at idle in heat, [W]

    Returns
    -------
    heat : float
        [W]

    Notes
    -----
    Limits: steady. Accuracy: exact sum of two guesses, +-30 %.

    References
    ----------
    Energy balance; ranges from memory.
    """
    return evaporator_heat + compressor_power


@offer
def charge_air_rise(intake_temperature: Draws, pressure_ratio: Draws, compressor_efficiency: Draws) -> Draws:
    """Temperature rise of the air in a compressor.

    dT = T1 (PR^0.286 - 1) / eta

    Parameters
    ----------
    intake_temperature : float
        T1, [K]
    pressure_ratio : float
        Absolute pressure out over in, PR, [-]
    compressor_efficiency : float
        Isentropic, eta: 0.55 to 0.75, [-]

    Returns
    -------
    rise : float
        [K rise]

    Notes
    -----
    Limits: no heat lost in the housing. Accuracy: exact for a perfect gas.

    References
    ----------
    Definition of isentropic efficiency.
    """
    return intake_temperature * (pressure_ratio**0.286 - 1.0) / compressor_efficiency


@offer
def charge_air_heat(air_mass_flow: Draws, rise: Draws, cooler_effectiveness: Draws) -> Draws:
    """Heat a charge cooler takes out of the engine's air.

    Q = eps m cp dT

    Parameters
    ----------
    air_mass_flow : float
        Into the engine, m, [kg/s]
    rise : float
        Charge over the cooling air, dT, [K rise]
    cooler_effectiveness : float
        eps, 0.6 to 0.8, [-]

    Returns
    -------
    heat : float
        [W]

    Notes
    -----
    Limits: steady; a water loop stores a short pull and gives it off afterwards. Accuracy: that of eps.

    References
    ----------
    Definition of effectiveness.
    """
    return cooler_effectiveness * air_mass_flow * _CP_AIR * rise


@offer
def supercharger_power(air_mass_flow: Draws, rise: Draws) -> Draws:
    """Power a belt-driven supercharger takes; add it to the brake power before the fuel.

    P = m cp dT

    Parameters
    ----------
    air_mass_flow : float
        m, [kg/s]
    rise : float
        In the compressor, dT, [K rise]

    Returns
    -------
    power : float
        [W]

    Notes
    -----
    Limits: belt and bearing loss left out, about 5 %. Accuracy: that of the rise.

    References
    ----------
    Energy balance.
    """
    return air_mass_flow * _CP_AIR * rise


@offer
def engine_air_flow(fuel_power: Draws, fuel: str) -> Draws:
    """Air an engine breathes for the fuel it burns, chemically correct mixture.

    m = AFR P_fuel / H

    Parameters
    ----------
    fuel_power : float
        [W]
    fuel : str
        gasoline, boosted gasoline, diesel, E85 or methanol, [text]

    Returns
    -------
    air_mass_flow : float
        [kg/s]

    Notes
    -----
    Limits: a rich engine breathes 10 to 20 % less for its fuel; a diesel breathes 1.3 to 5 times as much.
    Accuracy: +-3 % at the correct mixture.

    References
    ----------
    Air-fuel ratios and heating values from memory.
    """
    burns = pick(FUELS, fuel, "fuel")
    return burns.air_per_fuel * fuel_power / burns.heating_value


@offer
def engine_mass_guess(displacement: Draws, block: str) -> Draws:
    """Mass of a dressed engine from its displacement.

    55 kg + 36 kg per litre for iron; a quarter less for aluminium.

    Parameters
    ----------
    displacement : float
        [m**3]
    block : str
        iron or aluminium, [text]

    Returns
    -------
    mass : float
        [kg]

    Notes
    -----
    Limits: car and light-truck engines, 1 to 8 L. Accuracy: +-20 %, a guess until it is weighed.

    References
    ----------
    From memory.
    """
    return pick(_MASS_FACTOR, block, "block") * (55.0 + 36e3 * displacement)


@offer
def heat_store(engine_mass: Draws, block: str, coolant_volume: Draws) -> Draws:
    """Thermal mass that warms with the coolant.

    C = 0.7 m c + 3.7 kJ/L/K V, c = 0.5 (iron) or 0.9 (aluminium) kJ/kg/K

    Parameters
    ----------
    engine_mass : float
        Dressed, m, [kg]
    block : str
        iron or aluminium, [text]
    coolant_volume : float
        Whole system, V, [m**3]

    Returns
    -------
    heat_store : float
        [J/K]

    Notes
    -----
    Limits: one lump, minutes not seconds. Accuracy: one standard deviation 35 %.

    References
    ----------
    Specific heats as in public national-laboratory vehicle files, read; the 0.7 is common practice.
    """
    return _PARTICIPATING * pick(_METAL_CP, block, "block") * engine_mass + _COOLANT_STORE * coolant_volume
