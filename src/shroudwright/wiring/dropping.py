"""The resistor that slows a fan to its low speed.

Dropper             one fan's
dropping_resistor   its resistance and the heat it must stand
dropper_of          circuit and low speed -> Dropper
"""

from typing import NamedTuple

from shroudwright.bench.registry import offer
from shroudwright.wiring.circuits import WORKING_VOLTS, FanCircuit

SPARE = 2.0
"""Rating over the heat it makes, in a hot bay with air over it: common practice, no source, [-]"""


class Dropper(NamedTuple):
    """A resistor in the way of one fan's low speed."""

    resistance: float
    """[ohm]"""
    heat: float
    """[W]"""
    rating: float
    """Least it should be sold for, [W]"""
    amps: float
    """on low, [A]"""
    speed: float
    """low over full, [-]"""


@offer
def dropping_resistor(volts: float, run_amps: float, start_ratio: float, speed_share: float) -> tuple[float, float]:
    """Resistor that slows a brushed fan, and the heat it makes.

    V = K w + R I and I ~ w^2: on low I = x^2 I_run, the motor wants V (x (1 - 1/s) + x^2 / s), the rest is dropped.

    Parameters
    ----------
    volts : float
        At the fan on full speed, V, [V]
    run_amps : float
        On full speed, I_run, [A]
    start_ratio : float
        Start over run amps, s, over 1, [-]
    speed_share : float
        Low speed over full, x, over 0 and under 1, [-]

    Returns
    -------
    resistance : float
        [ohm]
    heat : float
        Running on low, [W]

    Notes
    -----
    Limits: permanent-magnet brushed motor, the same air path, no-load current left out. Accuracy: 15 %; a start on low
    heats it more for a second or two.

    References
    ----------
    Motor and fan equations of any textbook; derived.
    """
    amps = speed_share**2 * run_amps
    motor = volts * (speed_share * (1.0 - 1.0 / start_ratio) + speed_share**2 / start_ratio)
    resistance = (volts - motor) / amps
    return resistance, amps**2 * resistance


def dropper_of(circuit: FanCircuit, speed: float) -> Dropper:
    """Size the resistor of one fan.

    Parameters
    ----------
    circuit : FanCircuit
        Of a brushed fan.
    speed : float
        Low over full, [-]

    Returns
    -------
    Dropper
    """
    ratio = circuit.locked_amps / circuit.highest_amps
    resistance, heat = dropping_resistor(WORKING_VOLTS, circuit.working_amps, ratio, speed)
    return Dropper(resistance, heat, SPARE * heat, speed**2 * circuit.working_amps, speed)
