"""How loud a fan is.

add_levels                several sources heard together
level_change_with_speed   the same fan turning faster or slower
level_at_distance         farther off, in the open
sound_power               of a fan from its flow and pressure
a_weighting_of_spectrum   what the ear takes off a spectrum
blade_passing_frequency   the fan's tone
sound_at_one_metre        of a fan from its flow and pressure
fan_sound                 of a fan at its duty, stalled or not
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

BAND = 5.0
"""Half width of the band about a level of `sound_at_one_metre` or `fan_sound`, [dB]"""
STALLED = 7.0
"""Added left of the peak of the fan's curve, 5 to 10: common practice, no source, [dB]"""
_HALF_SPACE = 8.0  # 10 log10 of the 2 pi m2 that sound from a fan near the ground crosses at 1 m
_LEAST_FLOW, _LEAST_PRESSURE = 0.01, 1.0
# Octaves 63 Hz to 8 kHz: an axial fan's spectrum against its total, and the ear.
_SPECTRUM = (-7.0, -9.0, -7.0, -7.0, -8.0, -11.0, -16.0, -18.0)
_EAR = (-26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1)


def add_levels(levels: Sequence[Draws]) -> Draws:
    """Level of several sources heard together.

    L = 10 log10 sum 10^(L_i / 10)

    Parameters
    ----------
    levels : float
        L_i, one for each source, [dB]

    Returns
    -------
    level : float
        L, [dB]

    Notes
    -----
    Limits: sources that do not keep step; two tones of the same frequency beat about it.
    Accuracy: exact.

    References
    ----------
    Energy sum, any acoustics textbook.
    """
    total: Draws = 10.0 * np.log10(sum(10.0 ** (level / 10.0) for level in levels))
    return total


@offer
def level_change_with_speed(speed_ratio: Draws, exponent: float = 50.0) -> Draws:
    """Change of a fan's level when its speed changes.

    dL = n log10(N2 / N1)

    Parameters
    ----------
    speed_ratio : float
        N2 / N1, above 0, [-]
    exponent : float
        n: 50 for the same fan, 50 to 60 from one fan to another, [-]

    Returns
    -------
    change : float
        dL, below 0 when slower; half speed is 15 dB quieter, [dB]

    Notes
    -----
    Limits: same fan on the same air path; motor and rubbing noise do not follow it.
    Accuracy: 3 dB over a factor of two in speed, the spread of n.

    References
    ----------
    Fan law of sound, any fan textbook, read in a public copy.
    """
    change: Draws = exponent * np.log10(speed_ratio)
    return change


@offer
def level_at_distance(level: Draws, near: Draws, far: Draws) -> Draws:
    """Level farther from a source, in the open.

    L2 = L1 - 20 log10(r2 / r1)

    Parameters
    ----------
    level : float
        At the first distance, L1, [dB]
    near : float
        First distance, r1, [m]
    far : float
        Second distance, r2, [m]

    Returns
    -------
    level : float
        L2; 6 dB less for each doubling, [dB]

    Notes
    -----
    Limits: free field, both distances more than a fan's diameter; walls and a garage hold the level up.
    Accuracy: exact for a point source.

    References
    ----------
    Inverse square law, any acoustics textbook.
    """
    farther: Draws = level - 20.0 * np.log10(far / near)
    return farther


@offer
def sound_power(air_flow: Draws, pressure: Draws) -> Draws:
    """Sound power level of a fan from its flow and pressure.

    Lw = 40 + 10 log10 Q + 20 log10 p, Q in m3/s and p in Pa

    Parameters
    ----------
    air_flow : float
        Q, above 0, [m**3/s]
    pressure : float
        Static, across the fan at its working point, p, above 0, [Pa]

    Returns
    -------
    sound_power_level : float
        Lw on 1 pW, not weighted, [dB]

    Notes
    -----
    Limits: a fan working right of the peak of its curve, near its best point.
    Accuracy: +-5 dB; no maker's test is in it.

    References
    ----------
    Engineering ToolBox, Fans and Sound Power Generation, equation 1b, read.
    """
    power: Draws = 40.0 + 10.0 * np.log10(air_flow) + 20.0 * np.log10(pressure)
    return power


def a_weighting_of_spectrum(corrections: Sequence[Draws], weights: Sequence[float]) -> Draws:
    """A-weighted level of a spectrum over its unweighted total.

    10 log10 sum 10^((C_i + A_i) / 10)

    Parameters
    ----------
    corrections : float
        Each octave's level over the total, C_i, [dB]
    weights : float
        A-weight of the same octaves, A_i, [dB]

    Returns
    -------
    change : float
        [dB]

    Notes
    -----
    Limits: octave bands; a strong tone inside a band is weighted as the band's middle.
    Accuracy: that of the spectrum.

    References
    ----------
    IEC 61672-1:2003, octave A-weights, read in a public copy.
    """
    return add_levels([correction + weight for correction, weight in zip(corrections, weights, strict=True)])


_WEIGHTED = a_weighting_of_spectrum(_SPECTRUM, _EAR)


@offer
def blade_passing_frequency(spin_rpm: Draws, blades: Draws) -> Draws:
    """Frequency of a fan's tone.

    N Z / 60

    Parameters
    ----------
    spin_rpm : float
        Fan speed, N, [rpm]
    blades : float
        Count of blades, Z, [-]

    Returns
    -------
    frequency : float
        [Hz]

    Notes
    -----
    Limits: evenly spaced blades; uneven spacing spreads the tone. Two fans a few Hz apart beat.
    Accuracy: exact.

    References
    ----------
    Blades passing a point in a second.
    """
    return spin_rpm * blades / 60.0


@offer
def sound_at_one_metre(air_flow: Draws, pressure: Draws) -> Draws:
    """A-weighted sound level of a fan at 1 m, from its flow and pressure.

    Lw of `sound_power`, less 3.6 dB for the ear on an axial fan's spectrum, less 8 dB for half a space

    Parameters
    ----------
    air_flow : float
        Above 0, [m**3/s]
    pressure : float
        Static, across the fan at its working point, above 0, [Pa]

    Returns
    -------
    level : float
        dB(A), [dB]

    Notes
    -----
    Limits: as `sound_power`; axial fan near the ground, in the open. A core or a strut close to the blades
    adds 3 to 5 dB. Accuracy: +-5 dB.

    References
    ----------
    As `sound_power`, with its octave table for axial fans; A-weights as `a_weighting_of_spectrum`.
    """
    return sound_power(air_flow, pressure) + _WEIGHTED - _HALF_SPACE


def fan_sound(air_flow: Draws, pressure: Draws, is_stalled: bool | NDArray[np.bool_]) -> Draws:
    """A-weighted sound level of a fan at 1 m, within `BAND` either way.

    `sound_at_one_metre`, 7 dB more stalled

    Parameters
    ----------
    air_flow : float
        Through the fan, [m**3/s]
    pressure : float
        Static, across the fan, [Pa]
    is_stalled : bool
        1 left of the peak of the fan's curve, 0 right of it, [-]

    Returns
    -------
    level : float
        dB(A), [dB]

    Notes
    -----
    Limits: as `sound_at_one_metre`. Held below 1 Pa and 0.01 m3/s, so a fan that the wind turns gets a low
    number, which is no estimate. Accuracy: +-5 dB.

    References
    ----------
    As `sound_at_one_metre`; stalled, common practice, no source.
    """
    level = sound_at_one_metre(np.maximum(air_flow, _LEAST_FLOW), np.maximum(pressure, _LEAST_PRESSURE))
    return level + np.where(is_stalled, STALLED, 0.0)
