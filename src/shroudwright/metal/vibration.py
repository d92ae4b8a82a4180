"""What shakes a face and what heat does to it.

BODY, ELECTRONICS   two random profiles a part on a car's body is tried with
profile_level       power of a profile at one frequency
profile_rms         all of it
miles_response      how hard a part answers a random shake at its own frequency
firing_frequency    how often an engine fires
WHEEL_HOP           the band in which wheels hop
thermal_growth      how much longer a part gets when hot
buckling_rise       temperature rise at which a held flat sheet pops
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from shroudwright.bench.registry import offer

WHEEL_HOP = (10.0, 15.0)
"""Body heave is near 1.75 Hz; TRL report SR12UC, abstract read, [Hz]"""

Profile = tuple[tuple[float, float], ...]
BODY: Profile = ((10.0, 20.0), (55.0, 6.5), (180.0, 0.25), (300.0, 0.25), (360.0, 0.14), (1000.0, 0.14))
"""ISO 16750-3, Test IV, 8 h an axis, points from memory; they come to the 27.8 m/s**2 it states, [Hz], [m**2/s**3]"""
_G2 = 9.80665**2
ELECTRONICS: Profile = (
    (10.0, 0.2 * _G2),
    (50.0, 0.2 * _G2),
    (66.7, 0.02 * _G2),
    (100.0, 0.02 * _G2),
    (1000.0, 0.002 * _G2),
)
"""MSR-MEDOC specification of vehicle electronics, read; it states 38.1 m/s**2, the points come to 37.4"""


def profile_level(profile: Sequence[tuple[float, float]], frequency: float) -> float:
    """Read a random profile at a frequency.

    Parameters
    ----------
    profile : sequence of (float, float)
        Frequency, [Hz], and power, [m**2/s**3]; straight on paper ruled by tens both ways.
    frequency : float
        [Hz]

    Returns
    -------
    float
        Power, held at its ends' beyond them, [m**2/s**3]
    """
    for (f1, level1), (f2, level2) in pairwise(profile):
        if frequency < f2:
            part = max(math.log(frequency / f1) / math.log(f2 / f1), 0.0)
            return level1 * math.pow(level2 / level1, part)
    return profile[-1][1]


def profile_rms(profile: Sequence[tuple[float, float]]) -> float:
    """Sum a random profile.

    Parameters
    ----------
    profile : sequence of (float, float)
        As `profile_level` takes it.

    Returns
    -------
    float
        Root mean square acceleration, [m/s**2]
    """
    total = 0.0
    for (f1, level1), (f2, level2) in pairwise(profile):
        power = math.log(level2 / level1) / math.log(f2 / f1)
        if abs(power + 1.0) < 1e-9:
            total += level1 * f1 * math.log(f2 / f1)
        else:
            total += (level2 * f2 - level1 * f1) / (power + 1.0)
    return math.sqrt(total)


@offer
def miles_response(frequency: float, quality: float, level: float) -> float:
    """How hard a part shakes at its own frequency when its seat is shaken at random, root mean square.

    g = sqrt((pi / 2) f Q P); it stays under that two thirds of the time, and under three times that nearly always

    Parameters
    ----------
    frequency : float
        The part's own, f, [Hz]
    quality : float
        How far it rings up, Q: 10 is usual for riveted and bolted sheet, [-]
    level : float
        Power of the shake there, P, [m**2/s**3]

    Returns
    -------
    response : float
        [m/s**2]

    Notes
    -----
    Limits: one frequency by itself, lightly damped, and a shake that is even about it.
    Accuracy: as good as Q, which is assumed; 5 to 20 is usual, so the square root of two either way.

    References
    ----------
    Miles, J. Aeronautical Sciences 21 (1954) 753, from memory; Simmons, NASA Goddard note on it (2001), read.
    """
    return math.sqrt(0.5 * math.pi * frequency * quality * level)


@offer
def firing_frequency(engine_speed: float, cylinders: float, strokes: float = 4.0) -> float:
    """How often an engine fires.

    f = n z 2 / strokes

    Parameters
    ----------
    engine_speed : float
        n, [rpm]
    cylinders : float
        z, [-]
    strokes : float
        4 or 2, [-]

    Returns
    -------
    frequency : float
        [Hz]

    Notes
    -----
    Limits: cylinders that fire evenly.
    Accuracy: exact.

    References
    ----------
    Counting.
    """
    return engine_speed / 60.0 * cylinders * 2.0 / strokes


@offer
def thermal_growth(length: float, expansion: float, rise: float) -> float:
    """How much longer a part gets when hot.

    x = alpha L dT

    Parameters
    ----------
    length : float
        L, [m]
    expansion : float
        alpha: 23.8e-6 aluminium 5052, 11.7e-6 steel, [1/K]
    rise : float
        dT, [K rise]

    Returns
    -------
    growth : float
        [m]

    Notes
    -----
    Limits: none near room temperature.
    Accuracy: 2 %, that of the expansion.

    References
    ----------
    Aluminum Association typical values, 68 to 212 degF, read in a mill's table.
    """
    return expansion * length * rise


@offer
def buckling_rise(width: float, height: float, thickness: float, expansion: float, poisson: float) -> float:
    """Temperature rise at which a flat sheet, hinged and held fast in its plane all round, pops out of flat.

    dT = pi^2 t^2 / (12 (1 + nu) alpha) (1 / a^2 + 1 / b^2)

    Parameters
    ----------
    width, height : float
        a and b, [m]
    thickness : float
        t, [m]
    expansion : float
        alpha, [1/K]
    poisson : float
        nu, [-]

    Returns
    -------
    rise : float
        Of the sheet over what holds it, [K rise]

    Notes
    -----
    Limits: no openings, dead flat, edges that do not give. Real walls give, and weld shrinkage adds to it.
    Accuracy: a lower bound; clamped edges take about 2.6 times as much (from memory).

    References
    ----------
    Timoshenko and Gere, Theory of Elastic Stability, equal pressure both ways; Gerard and Becker, NACA TN 3781;
    from memory.
    """
    return (math.pi * thickness) ** 2 / (12.0 * (1.0 + poisson) * expansion) * (width**-2 + height**-2)
