"""The property sets kept beside this file, read once; `tools/tabulate_materials.py` made them.

water_rows   plain water along its boiling line
glycol_rows  glycol and water, by mass share
freezing     where a mix starts to freeze, by set

The glycol sets are polynomials: fifth degree in share, third in temperature, of each property or its
logarithm. A table holds values of them, and least squares through those gives the polynomial back, so
reading between the values costs nothing.
"""

import csv
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray


def _columns(name: str, of: str | None = None) -> NDArray[np.float64]:
    """Return a table's numbers by column; where its first column is a word, those of one word."""
    lines = files("shroudwright.materials").joinpath(name).read_text(encoding="utf-8").splitlines()
    names_and_units = 2
    rows = [row for row in csv.reader(lines[names_and_units:]) if of in (None, row[0])]
    return np.array([row[of is not None :] for row in rows], dtype=float).T


@cache
def _water() -> NDArray[np.float64]:
    T, density, specific_heat, conductivity, viscosity = _columns("water_properties.csv")
    return np.array([T, density, specific_heat, conductivity, np.log(viscosity)])


def water_rows(temperatures: NDArray[np.float64]) -> NDArray[np.float64]:
    """Density, specific heat, conductivity and logarithm of viscosity of water at its boiling pressure.

    Parameters
    ----------
    temperatures : array
        One per row wanted, [K]

    Returns
    -------
    rows : array
        The four properties in SI, one row per temperature, [-]

    Notes
    -----
    Limits: 273.16 to 443.15 K, held outside; straight between whole kelvins.
    Accuracy: within 0.01 % of the source.

    References
    ----------
    IAPWS-95 and its transport releases, tabulated from CoolProp 8.0.0.
    """
    T, *properties = _water()
    return np.column_stack([np.interp(temperatures, T, values) for values in properties])


def _terms(shares: NDArray[np.float64], temperatures: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the 24 products of powers, shares and temperatures first brought to about -1 to 1."""
    x, y = np.vander(shares / 0.3 - 1.0, 6), np.vander((temperatures - 303.15) / 70.0, 4)
    return (x[:, :, None] * y[:, None, :]).reshape(-1, 24)


@cache
def _glycol(glycol: str) -> NDArray[np.float64]:
    share, T, density, specific_heat, conductivity, viscosity = _columns("glycol_properties.csv", glycol)
    values = np.column_stack((density, specific_heat, conductivity, np.log(viscosity)))
    return np.asarray(np.linalg.lstsq(_terms(share, T), values)[0])


def glycol_rows(glycol: str, mass_fraction: float, temperatures: NDArray[np.float64]) -> NDArray[np.float64]:
    """Density, specific heat, conductivity and logarithm of viscosity of glycol and water.

    Parameters
    ----------
    glycol : str
        MEG (ethylene) or MPG (propylene), [text]
    mass_fraction : float
        Glycol over mix, by mass, [-]
    temperatures : array
        One per row wanted, [K]

    Returns
    -------
    rows : array
        The four properties in SI, one row per temperature, [-]

    Notes
    -----
    Limits: 0 to 0.6 by mass, from freezing to 100 C; a polynomial that runs on outside, so the caller keeps
    within.
    Accuracy: within 0.0001 % of the source.

    References
    ----------
    Melinder, Properties of Secondary Working Fluids, 2010, sets MEG and MPG, tabulated from CoolProp 8.0.0.
    """
    return np.asarray(_terms(np.full_like(temperatures, mass_fraction), temperatures) @ _glycol(glycol))


@cache
def _freezing(name: str) -> NDArray[np.float64]:
    share, T = _columns("glycol_freezing.csv", name)
    return np.polyfit(share / 0.3 - 1.0, np.log(T), 8)  # the Melinder sets are no logarithm: 8 serves both


def freezing(name: str, share: float) -> float:
    """Temperature at which a mix starts to freeze.

    Parameters
    ----------
    name : str
        MEG or MPG (by mass), AEG or APG (by volume), [text]
    share : float
        Glycol over mix, by mass or by volume as the set has it, [-]

    Returns
    -------
    freezing : float
        First crystals, [K]

    Notes
    -----
    Limits: 0 to 0.6 by mass, 0.1 to 0.6 by volume; a polynomial that runs on outside, so the caller keeps
    within.
    Accuracy: within 0.0002 K of the source.

    References
    ----------
    Melinder (2010), sets MEG and MPG; ASHRAE secondary coolants, sets AEG and APG; tabulated from
    CoolProp 8.0.0.
    """
    return float(np.exp(np.polyval(_freezing(name), share / 0.3 - 1.0)))
