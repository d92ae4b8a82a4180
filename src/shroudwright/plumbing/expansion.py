"""Room for the coolant to grow.

coolant_expansion         cold to hot
surge_tank_volume         of a tank under the cap
recovery_bottle_volume    of an open bottle
"""

from shroudwright.bench.registry import offer

COLD = 293.15
"""A system is filled at, [K]"""
RESERVE = 0.10
"""Of the system that may be lost before the tank runs dry: heavy-duty practice, 10 to 12 %, from memory, [-]"""


@offer
def coolant_expansion(system_volume: float, density_cold: float, density_hot: float) -> float:
    """Volume the coolant gains from cold to hot.

    V (rho_cold / rho_hot - 1).

    Parameters
    ----------
    system_volume : float
        All the coolant, cold, [m**3]
    density_cold : float
        [kg/m**3]
    density_hot : float
        [kg/m**3]

    Returns
    -------
    expansion : float
        [m**3]

    Notes
    -----
    Limits: all of it at one temperature; engine, core and hoses keep their size, so it errs to the large side by
    about a tenth. Accuracy: of the densities.

    References
    ----------
    Mass is kept.
    """
    return system_volume * (density_cold / density_hot - 1.0)


@offer
def surge_tank_volume(expansion: float, system_volume: float) -> float:
    """Size of a surge tank: a reserve, the expansion, and as much air over it when cold again.

    0.10 V + 2 dV.

    Parameters
    ----------
    expansion : float
        From cold to hot, [m**3]
    system_volume : float
        All the coolant, [m**3]

    Returns
    -------
    volume : float
        [m**3]

    Notes
    -----
    Limits: a tank under the cap, filled cold to the reserve. Accuracy: a rule.

    References
    ----------
    Common practice, no source; the reserve as heavy-duty makers ask, from memory.
    """
    return RESERVE * system_volume + 2.0 * expansion


@offer
def recovery_bottle_volume(expansion: float) -> float:
    """Size of a recovery bottle: the expansion between its marks, half as much under and half over them.

    2 dV.

    Parameters
    ----------
    expansion : float
        From cold to hot, [m**3]

    Returns
    -------
    volume : float
        [m**3]

    Notes
    -----
    Limits: an open bottle whose tube ends at its bottom, a cap that draws back. Accuracy: a rule.

    References
    ----------
    Common practice, no source.
    """
    return 2.0 * expansion
