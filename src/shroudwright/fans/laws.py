"""How a fan answers to volts and air density.

speed_exponent     of a brushed motor on a fan
flow_ratio         flow at other volts, brushed
current_ratio      amps at other volts, brushed
fan_speed_ratio    speed at other volts, either motor
fan_current_ratio  amps at other volts, either motor
percent_on_speed   speed of a fan that is only partly on
fan_power_ratio    shaft power at other speeds
belt_fan_speed     speed of a fan behind a belt and a viscous drive
volts_at_fan       what is left of the source's volts
working_current    amps at the working point
"""

import math

import numpy as np

from shroudwright.bench.compiled import compilable
from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

THROTTLED = 1.15
"""Amps through a core over amps in free air, where no amps curve is known: common practice, weak, [-]"""
_WINDOW_VOLTS = 11.0
_STEPS = 40


@offer
@compilable
def speed_exponent(stall_ratio: float) -> float:
    """Exponent of volts in the speed of a brushed motor on a fan.

    n = s / (s + 1), the local slope of V = K w + R c w^2 / K

    Parameters
    ----------
    stall_ratio : float
        Current at the first instant of a start over running current, s: 2 to 5, 3.3 when unknown, [-]

    Returns
    -------
    exponent : float
        n, [-]

    Notes
    -----
    Limits: permanent-magnet brushed motor, unchanged air path.
    Accuracy: within 0.1 % of the exact quadratic in flow from 12 to 13.5 V, s 2 to 5.

    References
    ----------
    Motor and fan equations of any textbook; derived.
    """
    return stall_ratio / (stall_ratio + 1.0)


@offer
@compilable
def flow_ratio(volts: float, test_volts: float, stall_ratio: float) -> float:
    """Flow of a brushed fan over its flow at the test's volts.

    (V / V_test)^n, n = s / (s + 1); the speed goes the same way.

    Parameters
    ----------
    volts : float
        At the fan, V, [V]
    test_volts : float
        Of the rating, V_test, [V]
    stall_ratio : float
        Start over run amps, s, [-]

    Returns
    -------
    flow_ratio : float
        [-]

    Notes
    -----
    Limits: unchanged air path, motor at the same temperature; one 100 K hotter turns a few per cent slower.
    Accuracy: 0.1 % of the exact quadratic from 12 to 13.5 V, 2.4 % from 12 to 6 V.

    References
    ----------
    As `speed_exponent`.
    """
    return math.pow(volts / test_volts, speed_exponent(stall_ratio))


@offer
@compilable
def current_ratio(volts: float, test_volts: float, stall_ratio: float) -> float:
    """Current of a brushed fan over its current at the test's volts.

    (V / V_test)^(2 n), n = s / (s + 1)

    Parameters
    ----------
    volts : float
        At the fan, V, [V]
    test_volts : float
        Of the rating, V_test, [V]
    stall_ratio : float
        Start over run amps, s, [-]

    Returns
    -------
    current_ratio : float
        [-]

    Notes
    -----
    Limits: unchanged air path; no-load current left out.
    Accuracy: 0.2 % of the exact quadratic from 12 to 13.5 V.

    References
    ----------
    As `speed_exponent`.
    """
    return math.pow(volts / test_volts, 2.0 * speed_exponent(stall_ratio))


@compilable
def _governed_speed(volts: float) -> float:
    return min(volts / _WINDOW_VOLTS, 1.0)


@offer
@compilable
def fan_speed_ratio(volts: float, test_volts: float, stall_ratio: float, is_brushless: bool) -> float:
    """Speed of a fan over its speed at the test's volts.

    Brushed: `flow_ratio`. Brushless: constant from 11 V up, in proportion to volts below.

    Parameters
    ----------
    volts : float
        At the fan, [V]
    test_volts : float
        Of the rating, [V]
    stall_ratio : float
        Start over run amps of a brushed motor, [-]
    is_brushless : bool
        1 brushless with its own speed control, 0 brushed, [-]

    Returns
    -------
    speed_ratio : float
        [-]

    Notes
    -----
    Limits: unchanged air path. Accuracy: brushed as `flow_ratio`; brushless a maker's window, 11 V assumed.

    References
    ----------
    As `speed_exponent`; the window common practice, no source.
    """
    if is_brushless:
        return _governed_speed(volts) / _governed_speed(test_volts)
    return flow_ratio(volts, test_volts, stall_ratio)


@offer
def belt_fan_speed(engine_rpm: Draws, pulley_ratio: Draws, slip: Draws, most_rpm: Draws) -> Draws:
    """Speed of a fan the engine drives through a belt and an engaged viscous drive.

    min(engine speed x pulley ratio x (1 - slip), what the drive allows)

    Parameters
    ----------
    engine_rpm : float
        Engine speed, [rpm]
    pulley_ratio : float
        Fan pulley turns for one turn of the engine, [-]
    slip : float
        Share of that speed the hot, engaged drive loses, [-]
    most_rpm : float
        Speed past which the drive slips rather than turn the fan faster, [rpm]

    Returns
    -------
    fan_rpm : float
        [rpm]

    Notes
    -----
    Limits: drive hot and engaged; a cold one turns at about a third of its input. Accuracy: 10 %.

    References
    ----------
    Common practice, no source.
    """
    return np.minimum(engine_rpm * pulley_ratio * (1.0 - slip), most_rpm)


@offer
def percent_on_speed(percent_on: Draws, stall_ratio: Draws, is_brushless: Draws) -> Draws:
    """Speed of a fan on a share of its time or command, over its speed full on.

    Brushed, pulsed: the mean volts are that share, so speed goes as its power n = s / (s + 1). Brushless: the
    command is the speed.

    Parameters
    ----------
    percent_on : float
        Share of the time the pulses are on, or of full command, [-]
    stall_ratio : float
        Start over run amps of a brushed motor, s, [-]
    is_brushless : bool
        1 brushless, 0 brushed, [-]

    Returns
    -------
    speed_ratio : float
        [-]

    Notes
    -----
    Limits: pulsed fast enough that the motor's current does not stop; a controller's own map comes first.
    Accuracy: 5 %.

    References
    ----------
    As `speed_exponent`.
    """
    return np.where(is_brushless, percent_on, percent_on ** (stall_ratio / (stall_ratio + 1.0)))


@offer
@compilable
def fan_power_ratio(speed_ratio: float) -> float:
    """Shaft power of a fan over its power at the reference speed.

    P ~ N^3; flow goes as N and pressure as N^2.

    Parameters
    ----------
    speed_ratio : float
        N over the reference speed, [-]

    Returns
    -------
    power_ratio : float
        [-]

    Notes
    -----
    Limits: same fan, same air path, same density. Accuracy: 1 or 2 % over a factor of two in speed.

    References
    ----------
    Fan laws, any textbook.
    """
    return speed_ratio * speed_ratio * speed_ratio


@offer
@compilable
def fan_current_ratio(volts: float, test_volts: float, stall_ratio: float, is_brushless: bool) -> float:
    """Current of a fan over its current at the test's volts.

    Brushed: `current_ratio`. Brushless: speed ratio cubed times V_test / V.

    Parameters
    ----------
    volts : float
        At the fan, V, [V]
    test_volts : float
        Of the rating, V_test, [V]
    stall_ratio : float
        Start over run amps of a brushed motor, [-]
    is_brushless : bool
        1 brushless with its own speed control, 0 brushed, [-]

    Returns
    -------
    current_ratio : float
        [-]

    Notes
    -----
    Limits: unchanged air path and density. Accuracy: as `fan_speed_ratio`.

    References
    ----------
    As `fan_speed_ratio`.
    """
    if is_brushless:
        speed = fan_speed_ratio(volts, test_volts, stall_ratio, is_brushless)
        return fan_power_ratio(speed) * test_volts / volts
    return current_ratio(volts, test_volts, stall_ratio)


@offer
@compilable
def volts_at_fan(
    source_volts: float,
    path_resistance: float,
    run_current: float,
    test_volts: float,
    stall_ratio: float,
    is_brushless: bool,
) -> float:
    """Volts left at a fan behind the resistance of its wires, joints and relay.

    V = V_source - R I(V)

    Parameters
    ----------
    source_volts : float
        At the alternator or battery post, [V]
    path_resistance : float
        Out and back, R, [ohm]
    run_current : float
        Of the fan at the test's volts in this air, [A]
    test_volts : float
        Of the rating, [V]
    stall_ratio : float
        Start over run amps of a brushed motor, 1 or more, [-]
    is_brushless : bool
        1 brushless with its own speed control, 0 brushed, [-]

    Returns
    -------
    volts : float
        [V]

    Notes
    -----
    Limits: steady. A brushless fan whose wires cannot feed its full power falls to the part of its law below
    11 V. Accuracy: solved to 1e-12 V; that of `fan_current_ratio`.

    References
    ----------
    Ohm's law; `fan_current_ratio`.
    """
    if is_brushless:
        full_power = run_current * test_volts / fan_power_ratio(_governed_speed(test_volts))
        square = source_volts * source_volts - 4.0 * path_resistance * full_power
        if square >= 0.0:
            volts = 0.5 * (source_volts + math.sqrt(square))
            if volts >= _WINDOW_VOLTS:
                return volts
        below = path_resistance * full_power / _WINDOW_VOLTS**3
        return 2.0 * source_volts / (1.0 + math.sqrt(1.0 + 4.0 * below * source_volts))
    volts = source_volts
    slope = 2.0 * speed_exponent(stall_ratio)
    for _ in range(_STEPS):
        drop = path_resistance * run_current * current_ratio(volts, test_volts, stall_ratio)
        excess, steep = volts + drop - source_volts, 1.0 + slope * drop / volts
        bend = slope * (slope - 1.0) * drop / (volts * volts)
        step = excess / (steep - 0.5 * excess * bend / steep)  # Halley's
        volts -= step
        if math.fabs(step) <= 1e-4:  # the error left is about its cube
            break
    return volts


@offer
def working_current(
    run_current: float,
    volts: float,
    test_volts: float,
    stall_ratio: float,
    is_brushless: bool,
    density_ratio: float,
    throttle: float = THROTTLED,
) -> float:
    """Current of a fan at its working point.

    I = I_run (throttle) (rho / rho_test) times `fan_current_ratio`

    Parameters
    ----------
    run_current : float
        Of the rating, [A]
    volts : float
        At the fan, [V]
    test_volts : float
        Of the rating, [V]
    stall_ratio : float
        Start over run amps of a brushed motor, [-]
    is_brushless : bool
        1 brushless with its own speed control, 0 brushed, [-]
    density_ratio : float
        Air at the fan over air of the test; 0.88 behind a hot core, [-]
    throttle : float
        1.15 from one free-air number, 1.3 blocked, 1 where the rating is at the working pressure, [-]

    Returns
    -------
    current : float
        [A]

    Notes
    -----
    Limits: small axial fans, whose torque is flat to rising as they are throttled. Use the maker's amps curve
    where there is one. Accuracy: +-15 % from one free-air number.

    References
    ----------
    Fan laws; throttle common practice, no source, weak.
    """
    return run_current * throttle * density_ratio * fan_current_ratio(volts, test_volts, stall_ratio, is_brushless)
