"""Fuel burnt for a brake power, and the share of it that reaches the coolant.

FUELS          what is kept of each fuel
friction_mep   friction and pumping of the fit, as a mean pressure
mean_pressure  brake mean effective pressure
fuel_power     heating value burnt per second
coolant_heat   heat to coolant and oil
engine_flags   every reading outside what the fits were made from, in words

A cold engine idles on about 1.3 times this fuel below 80 degC of coolant, fading as it warms (one
measured car). Idle fuel is good to +-25 %.
"""

from typing import NamedTuple

import numpy as np

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer
from shroudwright.heat.inputs import pick

_INDICATED = 0.387
_FIT_BAR = (1.0, 9.0)
_FIT_RPM = (1000.0, 6000.0)
_LEAST_IDLE_RPM = 450.0
_RICH_BAR = 15.0
_RICH_EFFICIENCY = 0.90

_OUTPUT = (0.0, 0.005, 0.015, 0.04, 0.06, 0.10, 0.14, 0.20, 0.40, 0.60, 0.80, 1.0)
_DIESEL = (0.10, 0.14, 0.20, 0.26, 0.32, 0.39, 0.41, 0.42, 0.41, 0.38, 0.36, 0.34)


class Fuel(NamedTuple):
    """One fuel. Heating values and air-fuel ratios are from memory."""

    coolant_share: float
    """of the fuel's power at rated power, coolant and oil, [-]"""
    exponent: float
    """of the load, [-]"""
    spread: float
    """one standard deviation of the coolant heat, [-]"""
    heating_value: float
    """lower, [J/kg]"""
    air_per_fuel: float
    """stoichiometric, by mass, [-]"""


FUELS = {
    "gasoline": Fuel(0.24, 0.85, 0.12, 42.6e6, 14.7),
    "boosted gasoline": Fuel(0.24, 0.85, 0.15, 42.6e6, 14.7),
    "diesel": Fuel(0.22, 0.85, 0.18, 42.6e6, 14.5),
    "E85": Fuel(0.95 * 0.24, 0.85, 0.13, 29.2e6, 9.8),
    "methanol": Fuel(0.90 * 0.24, 0.85, 0.14, 19.9e6, 6.45),
}


def friction_mep(engine_rpm: Draws) -> Draws:
    """Friction and pumping of a spark-ignition engine as a mean effective pressure.

    fmep = 2.671 - 1.028 n + 0.180 n^2 bar, n in 1000 rpm

    Parameters
    ----------
    engine_rpm : float
        [rpm]

    Returns
    -------
    friction_mep : float
        [Pa]

    Notes
    -----
    Limits: fitted over 1000 to 6000 rpm, extended outside. It falls from 2.08 bar at 650 rpm to 1.20 at
    2860: an artefact of the fit, not friction.
    Accuracy: that of `fuel_power`.

    References
    ----------
    Least squares with the indicated efficiency 0.387 over 1 to 9 bar of the 1.9 L specific-fuel map of
    SAE 910676, values read in a public simulator's tabulation, the paper not seen.
    """
    n = engine_rpm / 1000.0
    return (2.671 - 1.028 * n + 0.180 * n * n) * 1e5


@offer
def mean_pressure(brake_power: Draws, engine_rpm: Draws, displacement: Draws) -> Draws:
    """Brake mean effective pressure of a four-stroke engine.

    bmep = 120 P / (Vd n)

    Parameters
    ----------
    brake_power : float
        P, [W]
    engine_rpm : float
        n, [rpm]
    displacement : float
        Vd, [m**3]

    Returns
    -------
    mean_pressure : float
        [Pa]

    Notes
    -----
    Limits: four-stroke. Accuracy: exact.

    References
    ----------
    Definition.
    """
    return 120.0 * brake_power / (displacement * engine_rpm)


@offer
def fuel_power(brake_power: Draws, engine_rpm: Draws, displacement: Draws, rated_power: Draws, fuel: str) -> Draws:
    """Heating value burnt per second for a brake power.

    Spark ignition: P_fuel = (bmep + fmep) Vd n / (120 e), e = 0.387; above 9 bar the efficiency of 9 bar is
    held. Boosted gasoline: that efficiency falls further, evenly from 1 at 9 bar to 0.90 at 15 bar
    and above (enrichment).
    Diesel: P / eta(P / P_rated), never less than the friction of the spark-ignition fit over e.

    Parameters
    ----------
    brake_power : float
        At the crank, supercharger and accessories included, [W]
    engine_rpm : float
        [rpm]
    displacement : float
        [m**3]
    rated_power : float
        Highest brake power of the engine; used for diesel only, [W]
    fuel : str
        gasoline, boosted gasoline, diesel, E85 or methanol, [text]

    Returns
    -------
    fuel_power : float
        On the lower heating value, [W]

    Notes
    -----
    Limits: fitted over 1 to 9 bar and 1000 to 6000 rpm; held above 9 bar, extended otherwise: `engine_flags`
    names each case. Four-stroke, warm. Alcohols burn as gasoline does.
    Accuracy: rms 4.5 %, worst 15 % of the map fitted; idle fuel +-25 % on cars (US DOE Fact 861 also lists a
    5 to 7 L gasoline truck at 0.84 gal/h, half as much again); old or custom engines 10 to 25 % worse
    (common practice).

    References
    ----------
    Spark ignition: as `friction_mep`. Enrichment: common practice, no source. Diesel: generic efficiency
    by share of output of a public vehicle simulator (parameters file read).
    """
    pick(FUELS, fuel, "fuel")
    friction = friction_mep(engine_rpm) * displacement * engine_rpm / 120.0
    if fuel == "diesel":
        efficiency = np.interp(brake_power / rated_power, _OUTPUT, _DIESEL)
        burnt: Draws = np.maximum(brake_power / efficiency, friction / _INDICATED)
        return burnt
    most = _FIT_BAR[1] * 1e5
    bmep = mean_pressure(brake_power, engine_rpm, displacement)
    over = np.maximum(bmep / most, 1.0)
    if fuel == "boosted gasoline":
        rich = np.clip((bmep - most) / (_RICH_BAR * 1e5 - most), 0.0, 1.0)
        over = over / (1.0 - (1.0 - _RICH_EFFICIENCY) * rich)
    within = np.minimum(brake_power, most * displacement * engine_rpm / 120.0)
    spark: Draws = over * (within + friction) / _INDICATED
    return spark


@offer
def coolant_heat(fuel_power: Draws, rated_fuel_power: Draws, coolant_share: Draws, exponent: Draws) -> Draws:
    """Heat that reaches coolant and oil.

    Q = phi P_rated (P / P_rated)^m

    Parameters
    ----------
    fuel_power : float
        Burnt now, P, [W]
    rated_fuel_power : float
        Burnt at rated power and rated speed, [W]
    coolant_share : float
        Share of the fuel at rated power, phi: 0.24 gasoline, 0.22 diesel, [-]
    exponent : float
        m, 0.85, [-]

    Returns
    -------
    coolant_heat : float
        To coolant and oil together, [W]

    Notes
    -----
    Limits: warm, steady, sound ignition timing; exhaust in a water-cooled manifold adds 10 to 30 %. Alcohol
    shares (E85 0.95, methanol 0.90 of gasoline's) are a direction, not a measurement.
    Accuracy: the weakest number in the chain: one standard deviation 12 % (gasoline), 15 % (boosted), 18 %
    (diesel), until a logged climb replaces it.

    References
    ----------
    Share and exponent chosen between the bounds of Heywood (1988) Table 12.1, from memory; not fitted to
    calorimetry.
    """
    return coolant_share * rated_fuel_power * (fuel_power / rated_fuel_power) ** exponent


def engine_flags(
    brake_power: float, engine_rpm: float, displacement: float, rated_power: float, fuel: str
) -> tuple[str, ...]:
    """Plain lines naming every way an operating point lies outside what the fits were made from.

    Parameters
    ----------
    brake_power : float
        [W]
    engine_rpm : float
        [rpm]
    displacement : float
        [m**3]
    rated_power : float
        [W]
    fuel : str
        A key of `FUELS`, [text]

    Returns
    -------
    flags : tuple of str
        Empty inside every range, [text]

    Notes
    -----
    Limits: one operating point, not draws. Accuracy: not a number.

    References
    ----------
    The ranges of `fuel_power`.
    """
    flags = []
    bar = mean_pressure(brake_power, engine_rpm, displacement) / 1e5
    if engine_rpm < _LEAST_IDLE_RPM:
        flags.append(f"{engine_rpm:.0f} rpm is below any idle")
    elif not _FIT_RPM[0] <= engine_rpm <= _FIT_RPM[1]:
        flags.append(f"fuel at {engine_rpm:.0f} rpm is carried past a fit made over 1000 to 6000 rpm")
    if brake_power > rated_power:
        flags.append(f"{brake_power / 1e3:.0f} kW is asked of an engine rated {rated_power / 1e3:.0f} kW")
    if fuel == "diesel":
        flags.append("diesel fuel is read from a generic efficiency map, not from this engine")
        return tuple(flags)
    if bar < _FIT_BAR[0]:
        flags.append(f"a mean pressure of {bar:.1f} bar is below the 1 to 9 bar of the fuel fit")
    if bar > _FIT_BAR[1]:
        flags.append(
            f"a mean pressure of {bar:.1f} bar is above the fuel fit; its efficiency at 9 bar is held"
            + (" less up to 10 % for a rich mixture" if fuel == "boosted gasoline" else "")
        )
    if fuel in ("E85", "methanol"):
        flags.append(f"the coolant share of {fuel} is a direction, not a measurement")
    return tuple(flags)
