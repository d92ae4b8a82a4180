"""The alternator's amps against everything that takes them, and what would close a gap.

LOADS        what else takes amps
Ways         what closes a gap, in numbers
ways_out     of a shortfall
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from shroudwright.wiring.alternator import speed_for

PUMP_LOAD = "electric water pump"
LOADS: tuple[tuple[str, float, float], ...] = (
    ("engine management, injection, ignition", 8.0, 15.0),
    ("fuel pump", 5.0, 12.0),
    ("headlamps (LED 4)", 4.0, 10.0),
    ("tail lamps and panel", 5.0, 5.0),
    ("brake lamps", 4.0, 4.0),
    ("wipers", 5.0, 5.0),
    ("blower", 10.0, 25.0),
    ("A/C clutch", 4.0, 4.0),
    ("rear window heater", 15.0, 20.0),
    (PUMP_LOAD, 7.0, 15.0),
    ("sound", 5.0, 5.0),
    ("battery charging", 5.0, 15.0),
)
"""Least and most at 13.5 V: common practice, no source, [A]"""
HIGHEST_RATIO = 3.5
"""Of pulleys, before the alternator turns too fast at high engine speed: common practice, no source, [-]"""
SLOWING = 0.77
"""Flow goes with duty to this power, amps with 1 + twice it: a motor of start ratio 3.3, [-]"""


class Ways(NamedTuple):
    """What closes a gap, each by itself; None where it cannot."""

    pulley_ratio: float | None
    """[-]"""
    alternator_rating: float | None
    """on the case of one with the same share at idle, [A]"""
    duty: float | None
    """of modules on every running fan, [-]"""
    flow: float | None
    """of full, at that duty, [-]"""
    left_off: str | None
    """the smallest single fan whose amps are enough"""


def ways_out(
    *,
    short: float,
    output: float,
    fans: Mapping[str, float],
    engine_rpm: float,
    curve: Sequence[tuple[float, float]] = (),
    rating: float | None = None,
) -> Ways:
    """Return what closes a gap between an alternator and its loads.

    Parameters
    ----------
    short : float
        Amps missing, [A]
    output : float
        Amps made, [A]
    fans : mapping of str to float
        Amps of every running fan, [A]
    engine_rpm : float
        [rpm]
    curve : sequence of (rpm, amps)
        The alternator's, by its own speed, hot, [rpm] and [A]
    rating : float, optional
        On its case, [A]

    Returns
    -------
    Ways

    Notes
    -----
    Limits: each way alone. A larger alternator is taken to give the same share at idle, which small ones often beat.
    Accuracy: to a size.

    References
    ----------
    Sums of currents; duty by the motor model of `fans.laws`.
    """
    spin = speed_for(curve, output + short) if curve else None
    ratio = None if spin is None else spin / engine_rpm
    total = sum(fans.values())
    left = (total - short) / total if total > short else None
    duty = None if left is None else left ** (1.0 / (1.0 + 2.0 * SLOWING))
    enough = [(amps, code) for code, amps in fans.items() if amps >= short]
    return Ways(
        pulley_ratio=ratio if ratio is not None and ratio <= HIGHEST_RATIO else None,
        alternator_rating=None if rating is None or output <= 0.0 else rating * (output + short) / output,
        duty=duty,
        flow=None if duty is None else duty**SLOWING,
        left_off=min(enough)[1] if enough and len(fans) > 1 else None,
    )
