"""How often fans start, and what they take out of the battery after the engine stops.

least_cycle        shortest time from start to start
after_run_charge   taken with the engine off
"""

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer


@offer
def least_cycle(
    heat_store: float,
    hysteresis: float,
    heat_change: float,
    fan_off: float | None = None,
    full_open: float | None = None,
) -> float:
    """Return the shortest time from one start of a fan to the next.

    T = 4 C h / dQ, when the engine makes heat half-way between what is shed with the fan off and on.
    Refused where OFF lies under the thermostat's full opening: there the thermostat, not the fan, sets the heat shed.

    Parameters
    ----------
    heat_store : float
        Of engine and coolant, C, [J/K]
    hysteresis : float
        ON less OFF, h, [K rise]
    heat_change : float
        Heat shed with the fan on less off, dQ, [W]
    fan_off : float, optional
        Where the fan stops, at the engine's outlet, [K]
    full_open : float, optional
        Where the thermostat is full open, [K]

    Returns
    -------
    time : float
        [s]

    Raises
    ------
    InputError
        If the fan stops while the thermostat still opens.

    Notes
    -----
    Limits: one lump of heat, no delay in the coolant's way round, thermostat full open throughout.
    Accuracy: that of the heat store, 35 %.

    References
    ----------
    Heat balance of two straight lines, worked out for this.
    """
    if fan_off is not None and full_open is not None and fan_off < full_open:
        raise InputError(
            [
                f"fan_off: at {fan_off:.1f} K the thermostat is not full open ({full_open:.1f} K), so no closed form "
                "holds; run `shroudwright drive`, which follows the thermostat second by second"
            ]
        )
    return 4.0 * heat_store * hysteresis / heat_change


@offer
def after_run_charge(current: float, time: float) -> float:
    """Return the charge fans take after the engine stops.

    I t

    Parameters
    ----------
    current : float
        All that run, I, [A]
    time : float
        t, [s]

    Returns
    -------
    charge : float
        [A*s]

    Notes
    -----
    Limits: at a steady current; volts fall a little as it goes. Accuracy: that of the current.

    References
    ----------
    Arithmetic.
    """
    return current * time
