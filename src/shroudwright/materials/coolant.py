"""Coolant: glycol and water by the bottle, their freezing and boiling, and the table the pack reads.

mass_fraction, glycol_mass_fraction   from volume, as mixed, to mass, as the property sets want it
freeze_point                          where crystals start
saturation_temperature                where plain water boils (see `water`)
boil_point, boil_point_under_cap, mix_boil_point  where the mix boils
coolant_table, coolant_properties     density, specific heat, conductivity, viscosity by temperature
coolant                               the same four, asked once
beyond_range                          what was extrapolated, in words
"""

import math
from functools import cache
from typing import Literal, NamedTuple, get_args

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.compiled import inlined
from shroudwright.bench.errors import InputError, OutOfRange
from shroudwright.bench.registry import offer
from shroudwright.materials.air import pressure_at_altitude
from shroudwright.materials.tables import freezing, glycol_rows, water_rows
from shroudwright.materials.water import saturation_temperature

Glycol = Literal["MEG", "MPG", "water"]
GLYCOLS: tuple[Glycol, ...] = get_args(Glycol)


class _Facts(NamedTuple):
    """One glycol: density at 20 C, molar mass, and its ASHRAE set by volume."""

    density: float
    molar_mass: float
    by_volume: str


_FACTS = {"MEG": _Facts(1113.5, 62.068, "AEG"), "MPG": _Facts(1036.0, 76.095, "APG")}
_RHO_WATER = 998.2
_M_WATER = 18.015
_ICE = 273.15
_RICHEST_MASS = 0.60  # end of the property sets
_RICHEST_VOLUME = 0.75  # as far past it as the rule was tried
_HOTTEST = 371.15  # 98 C, last node of the property sets that the extrapolation leans on
_COLDEST_ROW, _HOTTEST_ROW, _STEP = 253.15, 443.15, 1.0


class Coolant(NamedTuple):
    """The four properties of a coolant at one temperature."""

    density: float
    specific_heat: float
    conductivity: float
    viscosity: float


@offer
def mass_fraction(volume_fraction: float, rho_glycol: float, rho_water: float) -> float:
    """Mass share of glycol in a mix made up by volume.

    w = x rho_g / [x rho_g + (1 - x) rho_w]

    Parameters
    ----------
    volume_fraction : float
        Glycol poured over the sum of volumes poured, x, [-]
    rho_glycol : float
        Density of the glycol, [kg/m**3]
    rho_water : float
        Density of the water, [kg/m**3]

    Returns
    -------
    mass_fraction : float
        Glycol over mix, by mass, [-]

    Notes
    -----
    Limits: volumes before mixing.
    Accuracy: exact by definition.

    References
    ----------
    Definition.
    """
    glycol = volume_fraction * rho_glycol
    return glycol / (glycol + (1.0 - volume_fraction) * rho_water)


@offer
def glycol_mass_fraction(glycol: Glycol, glycol_volume_fraction: float) -> float:
    """Mass share of glycol in a coolant mixed by volume at 20 C.

    Parameters
    ----------
    glycol : str
        MEG (ethylene), MPG (propylene) or water, [text]
    glycol_volume_fraction : float
        Glycol over mix, by volume; 0 for water, [-]

    Returns
    -------
    mass_fraction : float
        Glycol over mix, by mass, [-]

    Notes
    -----
    Limits: 0 to 0.75 by volume; refused outside. Inhibitors count as glycol.
    Accuracy: three digits; densities 1113.5, 1036 and 998.2 kg/m3.

    References
    ----------
    Densities at 20 C from memory; `mass_fraction`.
    """
    if glycol not in GLYCOLS:
        raise InputError([f"coolant {glycol!r} is not one of {', '.join(GLYCOLS)}"])
    if not 0.0 <= glycol_volume_fraction <= _RICHEST_VOLUME:
        raise OutOfRange("glycol by volume", glycol_volume_fraction, 0.0, _RICHEST_VOLUME, "as a share")
    if glycol == "water":
        if glycol_volume_fraction:
            raise InputError([f"plain water holds no glycol, not {glycol_volume_fraction:g} by volume"])
        return 0.0
    return mass_fraction(glycol_volume_fraction, _FACTS[glycol].density, _RHO_WATER)


@offer
def freeze_point(glycol: Glycol, glycol_volume_fraction: float) -> float:
    """Temperature at which a coolant starts to freeze.

    Parameters
    ----------
    glycol : str
        MEG (ethylene), MPG (propylene) or water, [text]
    glycol_volume_fraction : float
        Glycol over mix, by volume; 0 for water, [-]

    Returns
    -------
    freeze_point : float
        First crystals, [K]

    Notes
    -----
    Limits: up to 60 % glycol by mass (57.4 % EG, 59.1 % PG by volume), refused beyond; under 10 % by
    volume read on a straight line to plain water.
    Accuracy: printed trade figures and a second property set differ by up to 3 K at 50 %.

    References
    ----------
    ASHRAE secondary-coolant sets AEG and APG, by volume, tabulated from CoolProp 8.0.0.
    """
    if (mass := glycol_mass_fraction(glycol, glycol_volume_fraction)) > _RICHEST_MASS:
        raise OutOfRange("glycol by mass", 100.0 * mass, 0.0, 100.0 * _RICHEST_MASS, "%")
    if glycol == "water":
        return _ICE
    leanest = max(glycol_volume_fraction, 0.1)
    point = freezing(_FACTS[glycol].by_volume, leanest)
    return _ICE + (point - _ICE) * glycol_volume_fraction / leanest


def boil_point(glycol: Glycol, mass_fraction: float, pressure: float) -> float:
    """Temperature at which a coolant starts to boil.

    T = T_sat,water(P / x_w) less 0, 0.3, 0.8 K at 0, 50, 70 % glycol by mass; x_w = mole share of water

    Parameters
    ----------
    glycol : str
        MEG (ethylene), MPG (propylene) or water, [text]
    mass_fraction : float
        Glycol over mix, by mass; 0 for water, [-]
    pressure : float
        Absolute pressure, [Pa]

    Returns
    -------
    boil_point : float
        First bubbles, [K]

    Notes
    -----
    Limits: 0 to 0.8 by mass, refused outside; the correction is held past 0.7 and was drawn on ethylene
    glycol alone.
    Accuracy: within 0.4 K of the published fit at 50 and 70 % ethylene glycol, 75 to 205 kPa.

    References
    ----------
    Raoult's law on `saturation_temperature`; correction drawn on the Antoine fits of the MEGlobal ethylene glycol
    product guide, 2008, read in a public copy.
    """
    if glycol not in GLYCOLS:
        raise InputError([f"coolant {glycol!r} is not one of {', '.join(GLYCOLS)}"])
    if not 0.0 <= mass_fraction <= 0.8:
        raise OutOfRange("glycol by mass", mass_fraction, 0.0, 0.8, "as a share")
    if glycol == "water":
        return saturation_temperature(pressure)
    water = (1.0 - mass_fraction) / _M_WATER
    x_w = water / (water + mass_fraction / _FACTS[glycol].molar_mass)
    correction = float(np.interp(mass_fraction, (0.0, 0.5, 0.7), (0.0, 0.3, 0.8)))
    return saturation_temperature(pressure / x_w) - correction


@offer
def boil_point_under_cap(glycol: Glycol, mass_fraction: float, cap_pressure: float, altitude: float) -> float:
    """Temperature at which a coolant starts to boil under a pressure cap, glycol by mass.

    Parameters
    ----------
    glycol : str
        MEG (ethylene), MPG (propylene) or water, [text]
    mass_fraction : float
        Glycol over mix, by mass; 0 for water, [-]
    cap_pressure : float
        Rating of the cap, over the air outside (gauge, as every cap is marked); 0 for an open system, [Pa]
    altitude : float
        Geometric height above sea level, [m]

    Returns
    -------
    boil_point : float
        First bubbles, [K]

    Notes
    -----
    Limits: as `boil_point`. The system is full, hot and holds its cap; the pump's suction side sees less.
    Accuracy: as `boil_point`; caps themselves spread by about 10 % of their mark (practice).

    References
    ----------
    `boil_point` at the standard atmosphere of that altitude plus the cap.
    """
    return boil_point(glycol, mass_fraction, pressure_at_altitude(altitude) + cap_pressure)


@offer
def mix_boil_point(glycol: Glycol, glycol_volume_fraction: float, cap_pressure: float, altitude: float) -> float:
    """Temperature at which a coolant starts to boil under a pressure cap, glycol by volume as poured.

    Parameters
    ----------
    glycol : str
        MEG (ethylene), MPG (propylene) or water, [text]
    glycol_volume_fraction : float
        Glycol over mix, by volume; 0 for water, [-]
    cap_pressure : float
        Rating of the cap, over the air outside (gauge, as every cap is marked); 0 for an open system, [Pa]
    altitude : float
        Geometric height above sea level, [m]

    Returns
    -------
    boil_point : float
        First bubbles, [K]

    Notes
    -----
    Limits: as `glycol_mass_fraction` and `boil_point_under_cap`.
    Accuracy: as `boil_point`.

    References
    ----------
    `boil_point_under_cap` at `glycol_mass_fraction`.
    """
    share = glycol_mass_fraction(glycol, glycol_volume_fraction)
    return boil_point_under_cap(glycol, share, cap_pressure, altitude)


def _glycol_rows(glycol: str, share: float, temperatures: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return `glycol_rows` by the rules past 98 C and 60 % by mass, held below freezing."""
    if share > _RICHEST_MASS:
        lean, rich = (_glycol_rows(glycol, w, temperatures) for w in (0.5, _RICHEST_MASS))
        return lean + (rich - lean) * (share - 0.5) / (_RICHEST_MASS - 0.5)
    nodes = np.array([_HOTTEST - 40.0, _HOTTEST - 20.0, _HOTTEST])
    ends = glycol_rows(glycol, share, nodes)
    known = glycol_rows(glycol, share, np.clip(temperatures, freezing(glycol, share), _HOTTEST))
    hotter = temperatures[:, None] - _HOTTEST
    beyond = ends[2] + (ends[2] - ends[1]) * hotter / 20.0
    beyond[:, 3] = np.polyval(np.polyfit(1e3 / nodes, ends[:, 3], 2), 1e3 / temperatures)
    return np.where(hotter > 0.0, beyond, known)


@cache
def coolant_table(glycol: Glycol, glycol_volume_fraction: float) -> NDArray[np.float64]:
    """Properties of a coolant on an even ladder of temperatures, for `coolant_properties`.

    Parameters
    ----------
    glycol : str
        MEG (ethylene), MPG (propylene) or water, [text]
    glycol_volume_fraction : float
        Glycol over mix, by volume; 0 for water, [-]

    Returns
    -------
    table : array
        One row per kelvin from 253.15 to 443.15 K: temperature, density, specific heat, conductivity,
        natural logarithm of viscosity; read-only, SI, [-]

    Notes
    -----
    Limits: held below the freezing point. Past 98 C density, specific heat and conductivity run on
    straight from 78 and 98 C, ln viscosity as a quadratic in 1/T through 58, 78 and 98 C. Past 60 % by mass
    each runs on straight from 50 and 60 %. Both are told by `beyond_range`. Water is boiling-pressure
    liquid and needs neither rule.
    Accuracy: on water, where truth is known, the rule past 98 C gives viscosity -4, -6, -9 % at 110, 120,
    130 C and the rest within 2 %. Glycol sets differ among themselves by about 5 % in viscosity.

    References
    ----------
    Melinder, Properties of Secondary Working Fluids, 2010 (sets MEG and MPG), and IAPWS-95 water, tabulated
    from CoolProp 8.0.0.
    """
    share = glycol_mass_fraction(glycol, glycol_volume_fraction)
    temperatures = np.arange(_COLDEST_ROW, _HOTTEST_ROW + _STEP / 2, _STEP)
    rows = water_rows(temperatures) if glycol == "water" else _glycol_rows(glycol, share, temperatures)
    table: NDArray[np.float64] = np.column_stack((temperatures, rows))
    table.setflags(write=False)
    return table


@inlined
def coolant_properties(table: NDArray[np.float64], temperature: float) -> Coolant:
    """Properties of a coolant at one temperature, straight between the rungs of its table.

    Parameters
    ----------
    table : array
        From `coolant_table`, [-]
    temperature : float
        Coolant temperature, [K]

    Returns
    -------
    density : float
        Mass per volume, [kg/m**3]
    specific_heat : float
        At constant pressure, [J/kg/K]
    conductivity : float
        Thermal conductivity, [W/m/K]
    viscosity : float
        Dynamic viscosity, [Pa*s]

    Notes
    -----
    Limits: held at the first and last rung, 253.15 and 443.15 K.
    Accuracy: reading between rungs costs under 0.03 %.

    References
    ----------
    `coolant_table`.
    """
    last = table.shape[0] - 1
    place = (temperature - table[0, 0]) * (last / (table[last, 0] - table[0, 0]))
    place = min(max(place, 0.0), float(last))
    i = min(int(place), last - 1)
    b = place - i
    a = 1.0 - b
    return Coolant(
        float(a * table[i, 1] + b * table[i + 1, 1]),
        float(a * table[i, 2] + b * table[i + 1, 2]),
        float(a * table[i, 3] + b * table[i + 1, 3]),
        math.exp(a * table[i, 4] + b * table[i + 1, 4]),
    )


@offer
def coolant(glycol: Glycol, glycol_volume_fraction: float, temperature: float) -> Coolant:
    """Density, specific heat, conductivity and viscosity of a coolant.

    Parameters
    ----------
    glycol : str
        MEG (ethylene), MPG (propylene) or water, [text]
    glycol_volume_fraction : float
        Glycol over mix, by volume; 0 for water, [-]
    temperature : float
        Coolant temperature, [K]

    Returns
    -------
    density : float
        Mass per volume, [kg/m**3]
    specific_heat : float
        At constant pressure, [J/kg/K]
    conductivity : float
        Thermal conductivity, [W/m/K]
    viscosity : float
        Dynamic viscosity, [Pa*s]

    Notes
    -----
    Limits: as `coolant_table`; past 98 C or 60 % by mass it is extrapolated, see `beyond_range`.
    Accuracy: as `coolant_table`.

    References
    ----------
    `coolant_table`.
    """
    return coolant_properties(coolant_table(glycol, glycol_volume_fraction), temperature)


def beyond_range(glycol: Glycol, glycol_volume_fraction: float, temperature: float) -> tuple[str, ...]:
    """What about a coolant's properties is past the data, in words.

    Parameters
    ----------
    glycol : str
        MEG (ethylene), MPG (propylene) or water, [text]
    glycol_volume_fraction : float
        Glycol over mix, by volume; 0 for water, [-]
    temperature : float
        Coolant temperature, [K]

    Returns
    -------
    flags : tuple
        One plain line each; empty when all is inside, [text]

    Notes
    -----
    Limits: 0 to 0.75 by volume.
    Accuracy: exact; what each flag costs is in `coolant_table`.

    References
    ----------
    `coolant_table`, `freeze_point`.
    """
    share = glycol_mass_fraction(glycol, glycol_volume_fraction)
    flags = []
    if glycol != "water" and temperature > _HOTTEST:
        flags.append("coolant above 98 C: properties extrapolated")
    if share > _RICHEST_MASS:
        flags.append("glycol above 60 % by mass: properties extrapolated, heat 3 % less sure either way")
    elif temperature <= freeze_point(glycol, glycol_volume_fraction):
        flags.append("coolant at or below its freezing point: properties held")
    return tuple(flags)
