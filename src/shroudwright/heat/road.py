"""Power at the crank from what the road asks.

tractive_force   push at the tyres
brake_power      power at the crank behind a push
road_load        both, from the vehicle
gravity_power    what a grade alone takes
stop_go_power    mean power of stop-and-go driving
converter_power  drag of a torque converter in gear at rest
"""

from typing import NamedTuple

import numpy as np

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

_G = 9.80665


@offer
def tractive_force(
    mass: Draws,
    drag_area: Draws,
    rolling_coefficient: Draws,
    air_density: Draws,
    speed: Draws,
    grade: Draws,
    acceleration: Draws,
    rotating_factor: Draws,
) -> Draws:
    """Push needed at the tyres.

    F = rho CdA V^2 / 2 + m g (Crr cos th + sin th) + k m a, tan th = grade

    Parameters
    ----------
    mass : float
        Vehicle, load and trailer, m, [kg]
    drag_area : float
        Drag coefficient times frontal area, trailer's added, CdA, [m**2]
    rolling_coefficient : float
        Crr, [-]
    air_density : float
        rho, [kg/m**3]
    speed : float
        V, still air, [m/s]
    grade : float
        Rise over run, [-]
    acceleration : float
        a, [m/s**2]
    rotating_factor : float
        Mass with wheels and driveline spinning up over mass, k: 1.04 in top gear to 1.3 in low, [-]

    Returns
    -------
    tractive_force : float
        Negative where the road pushes the vehicle, [N]

    Notes
    -----
    Limits: no wind, straight road. Accuracy: that of CdA and Crr; paved Crr is 0.010 to 0.015.

    References
    ----------
    Equation of longitudinal motion, any vehicle-dynamics text, from memory.
    """
    cosine = 1.0 / np.sqrt(1.0 + grade * grade)
    aero = 0.5 * air_density * drag_area * speed * speed
    force: Draws = aero + mass * _G * cosine * (rolling_coefficient + grade) + mass * rotating_factor * acceleration
    return force


@offer
def brake_power(force: Draws, speed: Draws, driveline_efficiency: Draws, accessory_power: Draws) -> Draws:
    """Power the engine makes at the crank behind a push at the tyres.

    P = max(F, 0) V / eta + P_acc

    Parameters
    ----------
    force : float
        Tractive force F, [N]
    speed : float
        Road speed V, [m/s]
    driveline_efficiency : float
        Gearbox and axle together, eta: 0.85 (0.80 to 0.92), [-]
    accessory_power : float
        Alternator, compressor, steering and pump at the crank, [W]

    Returns
    -------
    brake_power : float
        [W]

    Notes
    -----
    Limits: an engine pushed by the vehicle burns no more than its accessories ask.
    Accuracy: the efficiency is common practice, about +-7 %.

    References
    ----------
    Definition; efficiency common practice, no source.
    """
    power: Draws = np.maximum(force, 0.0) * speed / driveline_efficiency + accessory_power
    return power


class RoadLoad(NamedTuple):
    """Push at the tyres and power at the crank."""

    tractive_force: Draws
    brake_power: Draws


@offer
def road_load(
    mass: Draws,
    drag_area: Draws,
    rolling_coefficient: Draws,
    air_density: Draws,
    speed: Draws,
    grade: Draws,
    acceleration: Draws,
    rotating_factor: Draws,
    driveline_efficiency: Draws,
    accessory_power: Draws,
) -> RoadLoad:
    """Push at the tyres and the crank power behind it.

    `tractive_force`, then `brake_power`.

    Parameters
    ----------
    mass : float
        Vehicle, load and trailer, [kg]
    drag_area : float
        Drag coefficient times frontal area, trailer's added, [m**2]
    rolling_coefficient : float
        [-]
    air_density : float
        [kg/m**3]
    speed : float
        [m/s]
    grade : float
        Rise over run, [-]
    acceleration : float
        [m/s**2]
    rotating_factor : float
        Mass with wheels and driveline spinning up over mass, [-]
    driveline_efficiency : float
        Gearbox and axle together, [-]
    accessory_power : float
        Taken at the crank, [W]

    Returns
    -------
    tractive_force : float
        Push at the tyres, [N]
    brake_power : float
        Power at the crank, [W]

    Notes
    -----
    Limits: no wind, straight road. Accuracy: that of CdA, Crr and the driveline.

    References
    ----------
    Equation of longitudinal motion, any vehicle-dynamics text, from memory.
    """
    force = tractive_force(
        mass,
        drag_area,
        rolling_coefficient,
        air_density,
        speed,
        grade,
        acceleration,
        rotating_factor,
    )
    return RoadLoad(force, brake_power(force, speed, driveline_efficiency, accessory_power))


@offer
def gravity_power(mass: Draws, speed: Draws, grade: Draws) -> Draws:
    """Power that lifting the vehicle up a grade takes, alone.

    P = m g V sin th, tan th = grade

    Parameters
    ----------
    mass : float
        Vehicle, load and trailer, [kg]
    speed : float
        Along the road, [m/s]
    grade : float
        Rise over run, [-]

    Returns
    -------
    power : float
        At the tyres, [W]

    Notes
    -----
    Limits: no rolling, air or driveline loss. Accuracy: exact.

    References
    ----------
    Mechanics.
    """
    power: Draws = mass * _G * speed * grade / np.sqrt(1.0 + grade * grade)
    return power


@offer
def stop_go_power(
    mass: Draws,
    drag_area: Draws,
    rolling_coefficient: Draws,
    air_density: Draws,
    top_speed: Draws,
    cycle_time: Draws,
    moving_share: Draws,
    rotating_factor: Draws,
    driveline_efficiency: Draws,
    accessory_power: Draws,
) -> Draws:
    """Mean power at the crank in stop-and-go driving on the level.

    P = [k m V^2 / (2 t) + s (rho CdA (V/2)^2 / 2 + m g Crr) V / 2] / eta + P_acc: each launch gives the
    vehicle energy that the brakes then burn, and half the top speed is the mean while moving.

    Parameters
    ----------
    mass : float
        m, [kg]
    drag_area : float
        CdA, [m**2]
    rolling_coefficient : float
        Crr, [-]
    air_density : float
        rho, [kg/m**3]
    top_speed : float
        Reached in each launch, V, [m/s]
    cycle_time : float
        From one launch to the next, t, [s]
    moving_share : float
        Share of the time moving, s, [-]
    rotating_factor : float
        Of the gear used, k: up to 1.3 in low gear, [-]
    driveline_efficiency : float
        eta, converter included: 0.75 to 0.85, [-]
    accessory_power : float
        Taken at the crank, [W]

    Returns
    -------
    brake_power : float
        Mean over the cycle, [W]

    Notes
    -----
    Limits: speed rises and falls in straight lines; drag while braking is charged to the engine too, which
    is a few per cent high; the converter's drag at rest is apart (`converter_power`).
    Accuracy: a sketch of the traffic, +-20 %.

    References
    ----------
    Energy balance; no source.
    """
    mean = 0.5 * top_speed
    launches = 0.5 * rotating_factor * mass * top_speed * top_speed / cycle_time
    drag = 0.5 * air_density * drag_area * mean * mean + mass * _G * rolling_coefficient
    return (launches + moving_share * drag * mean) / driveline_efficiency + accessory_power


class Converter(NamedTuple):
    """What a torque converter takes with the vehicle held in gear."""

    torque: Draws
    power: Draws


@offer
def converter_power(engine_rpm: Draws, stall_rpm: Draws, stall_torque: Draws) -> Converter:
    """Torque and power a torque converter takes with the vehicle held at rest in gear.

    T = T_stall (n / n_stall)^2, P = 2 pi n T / 60

    Parameters
    ----------
    engine_rpm : float
        n, [rpm]
    stall_rpm : float
        Speed the engine reaches against the brakes at full throttle, [rpm]
    stall_torque : float
        Engine torque at that speed, [N*m]

    Returns
    -------
    torque : float
        At the crank, [N*m]
    power : float
        All of it heat in the fluid, [W]

    Notes
    -----
    Limits: vehicle at rest. Accuracy: a hydraulic coupling's square law; +-20 % with a rated stall.

    References
    ----------
    Hydrodynamic similarity; from memory.
    """
    torque = stall_torque * (engine_rpm / stall_rpm) ** 2
    return Converter(torque, torque * engine_rpm * (np.pi / 30.0))
