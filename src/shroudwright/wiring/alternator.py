"""The alternator at hot idle.

alternator_margin    amps it has left
volts_at_source      what is left of the volts when it falls short
"""

import numpy as np

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

CHARGING_VOLTS = 13.5
BATTERY_VOLTS = 12.2
SHORTFALL = 25.0
"""Amps short at which the battery alone sets the volts: common practice, no source, [A]"""


@offer
def alternator_margin(output: Draws, other_loads: Draws, fan_current: Draws) -> Draws:
    """Current an alternator has left at hot idle with everything on.

    output - other loads - fans

    Parameters
    ----------
    output : float
        Hot, at idle; a third to a half of the number on its case, [A]
    other_loads : float
        Everything but the fans, [A]
    fan_current : float
        All fans together, [A]

    Returns
    -------
    margin : float
        Below 0 the battery makes up the rest, [A]

    Notes
    -----
    Limits: steady. Accuracy: that of the output.

    References
    ----------
    Sum of currents.
    """
    return output - other_loads - fan_current


@offer
def volts_at_source(margin: Draws, charging_volts: Draws = CHARGING_VOLTS) -> Draws:
    """Volts at the alternator or battery post, by the current left over.

    Charging volts with a margin of 0 or more; a straight line down to the battery's 12.2 V at 25 A short, held
    beyond.

    Parameters
    ----------
    margin : float
        From `alternator_margin`, [A]
    charging_volts : float
        With current to spare, [V]

    Returns
    -------
    volts : float
        [V]

    Notes
    -----
    Limits: 12 V systems, a healthy battery, after some minutes; it goes on falling as the battery drains.
    Accuracy: +-0.3 V; the shape is a choice.

    References
    ----------
    Common practice, no source.
    """
    short = np.clip(-margin / SHORTFALL, 0.0, 1.0)
    return charging_volts - short * np.maximum(charging_volts - BATTERY_VOLTS, 0.0)
