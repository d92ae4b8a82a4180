"""The alternator at hot idle and on the road.

output_at            amps it makes at a speed, from its curve
alternator_margin    amps it has left
volts_at_source      what is left of the volts when it falls short
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

CHARGING_VOLTS = 13.5
BATTERY_VOLTS = 12.2
SHORTFALL = 25.0
"""Amps short at which the battery alone sets the volts: common practice, no source, [A]"""
AT_SPEED = 0.85
"""Of the number on its case, hot, at road speed: one data sheet, [-]"""


def output_at(curve: Sequence[tuple[float, float]], spin_rpm: float) -> float:
    """Return the hot output of an alternator at a speed of its own.

    Straight lines between the points; none under the first less a third of it, the last held beyond.

    Parameters
    ----------
    curve : sequence of (rpm, amps)
        Hot, by its own speed, [rpm] and [A]
    spin_rpm : float
        Engine speed times the ratio of the pulleys, [rpm]

    Returns
    -------
    current : float
        [A]

    Notes
    -----
    Limits: hot, as tested. Where it starts to charge is taken at two thirds of the first point. Accuracy: 10 %.

    References
    ----------
    Common practice, no source.
    """
    points = sorted(curve)
    (first, _), *_ = points
    speeds, amps = zip((2.0 / 3.0 * first, 0.0), *points, strict=True)
    return float(np.interp(spin_rpm, speeds, amps))


def speed_for(curve: Sequence[tuple[float, float]], amps: float) -> float | None:
    """Return the least speed of its own at which an alternator makes some amps, [rpm]; None where it never does."""
    points = sorted(curve)
    points = [(2.0 / 3.0 * points[0][0], 0.0), *points]
    for (before, low), (after, high) in pairwise(points):
        if low <= amps <= high and high > low:
            return before + (after - before) * (amps - low) / (high - low)
    return None


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
