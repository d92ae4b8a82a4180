"""When fans start and stop, as plain numbers that a simulated drive can follow.

Plan        what a controller is set to
STAGES, MAP, LOOP   ways of controlling
"""

from typing import NamedTuple

STAGES, MAP, LOOP = 0.0, 1.0, 2.0
"""On and off in stages; percent on read off a straight line; a controller that seeks one temperature"""


class Plan(NamedTuple):
    """What a controller is set to; temperatures at its own sensor, [K]."""

    way: float = STAGES
    on_1: float = 368.15
    off_1: float = 363.15
    on_2: float = 373.15
    off_2: float = 368.15
    """fan 2 with fan 1; as fan 1 where there is no second stage"""
    start: float = 363.15
    full: float = 371.15
    """percent-on line: least at start, all at full; a loop seeks start"""
    least: float = 0.30
    """least percent on that turns the fan, [-]"""
    ramp: float = 0.10
    """most change of percent on, [1/s]"""
    gain: float = 0.08
    """of a loop, [1/K]"""
    integral: float = 0.002
    """of a loop, [1/K/s]"""
    air_conditioning: float = 1.0
    """stage, or share of full, that the A/C asks for: 0 none, 1 the first stage, 2 both, [-]"""
    cut_above: float = 1e9
    """road speed past which fans stop, [m/s]"""
    cut_below: float = 1e9
    """and under which they may run again, [m/s]"""
    hot: float = 378.15
    """sensor temperature past which the speed does not matter, until it falls as far as on_1 is over off_1, [K]"""
    least_on: float = 0.0
    """[s]"""
    least_off: float = 0.0
    """[s]"""
    after_run: float = 0.0
    """longest run with the key off, [s]"""
