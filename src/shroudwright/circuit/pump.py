"""A belt-driven pump and the parts of the circuit that come with the engine.

The pump is known by its flow through an open thermostat in an ordinary circuit and by its shut-off
pressure, both at the engine speed of the case: flow goes with speed, pressure with speed squared. At
that flow an ordinary circuit is taken to use 55 % of the shut-off pressure: 65 % of it in the engine,
20 % in the thermostat, and the rest in hoses and core, which are computed.

    pump_pressure, engine_loss, thermostat_loss, bypass_flow, flow_at_engine_speed, electric_pump_flow
"""

import math

from shroudwright.bench.compiled import inlined
from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

USED_AT_RATED_FLOW = 0.55
ENGINE_SHARE = 0.65
THERMOSTAT_SHARE = 0.20
REFERENCE_RPM = 1000.0
LEAK_SHARE = 0.005
"""Flow through a shut thermostat over the flow through it open."""
LEAK_LIFT = 0.0017
"""The lift that leaks that much: a shut valve meets nearly the whole pump pressure."""


@inlined
def pump_pressure(pump_flow: float, shutoff_pressure: float, rated_pump_flow: float) -> float:
    """Pressure a pump makes at a flow.

    p0 (1 - 0.45 (q / q_rated)^2).

    Parameters
    ----------
    pump_flow : float
        Flow through the pump, [m**3/s]
    shutoff_pressure : float
        Pressure against a closed outlet at this speed, [Pa]
    rated_pump_flow : float
        Pump flow in an ordinary circuit with the thermostat open, at this speed, [m**3/s]

    Returns
    -------
    pressure : float
        Pressure rise, [Pa]

    Notes
    -----
    Limits: no cavitation. Accuracy: the shape is a guess; flow is known to a factor of about 1.8 until
    the hose-to-hose drop is measured.

    References
    ----------
    Common practice, no source.
    """
    share = pump_flow / rated_pump_flow
    return shutoff_pressure * (1.0 - (1.0 - USED_AT_RATED_FLOW) * share * share)


@inlined
def engine_loss(pump_flow: float, shutoff_pressure: float, rated_pump_flow: float) -> float:
    """Pressure lost in the engine's own passages at a pump flow, [Pa]; see the module's shares."""
    share = pump_flow / rated_pump_flow
    return ENGINE_SHARE * USED_AT_RATED_FLOW * shutoff_pressure * share * share


@inlined
def thermostat_loss(radiator_flow: float, lift: float, shutoff_pressure: float, rated_radiator_flow: float) -> float:
    """Pressure lost at the thermostat at a lift from 0 to 1, [Pa]; see the module's shares."""
    share = radiator_flow / (rated_radiator_flow * max(lift, LEAK_LIFT))
    return THERMOSTAT_SHARE * USED_AT_RATED_FLOW * shutoff_pressure * share * share


@inlined
def bypass_flow(
    pressure: float,
    bypass_share: float,
    shutoff_pressure: float,
    rated_pump_flow: float,
    rated_pressure_share: float,
) -> float:
    """Flow past the radiator through bypass and heater at the pressure between engine and pump, [m**3/s].

    Sized so that it takes its share of the pump's flow at the rated point.
    """
    rated = bypass_share * rated_pump_flow
    return rated * math.sqrt(max(pressure, 0.0) / (rated_pressure_share * shutoff_pressure))


@offer
def flow_at_engine_speed(flow_per_1000_rpm: Draws, engine_rpm: Draws) -> Draws:
    """Coolant flow of a belt-driven pump at an engine speed.

    In proportion to speed.

    Parameters
    ----------
    flow_per_1000_rpm : float
        Flow at 1000 engine rpm with the thermostat open, [m**3/s]
    engine_rpm : float
        Engine speed, [rpm]

    Returns
    -------
    flow : float
        Coolant flow, [m**3/s]

    Notes
    -----
    Limits: no cavitation; same circuit. Accuracy: similarity law.

    References
    ----------
    Pump affinity law, any pump text, from memory.
    """
    return flow_per_1000_rpm * engine_rpm / REFERENCE_RPM


@offer
def electric_pump_flow(
    free_flow: Draws, shutoff_pressure: Draws, belt_pump_flow: Draws, belt_pump_shutoff: Draws
) -> Draws:
    r"""Rated flow of a belt pump that would move through this engine what an electric one moves.

    .. math:: p - (p / q_0^2 + k) q^2 = p (1 - u q^2 / q_r^2)

    Parameters
    ----------
    free_flow : float
        Of the electric pump against nothing, [m**3/s]
    shutoff_pressure : float
        Of the electric pump, outlet shut, [Pa]
    belt_pump_flow : float
        Flow of this engine's belt pump in its ordinary circuit at some speed, [m**3/s]
    belt_pump_shutoff : float
        Its pressure at that speed, outlet shut, [Pa]

    Returns
    -------
    flow : float
        To be used with the electric pump's own shut-off pressure, at any engine speed, [m**3/s]

    Notes
    -----
    Limits: the electric pump's curve is a parabola; where the belt pump sat costs nothing more; engine and thermostat
    cost what the shares of an ordinary circuit say. Accuracy: as the loss of the engine is known, a factor of 1.5.

    References
    ----------
    Common practice, no source, for the shares; a parabola through both ends of the data sheet.
    """
    in_engine = (ENGINE_SHARE + THERMOSTAT_SHARE) * USED_AT_RATED_FLOW
    k = in_engine * belt_pump_shutoff / belt_pump_flow**2
    whole = 1.0 - USED_AT_RATED_FLOW + in_engine
    return (whole * shutoff_pressure / (shutoff_pressure / free_flow**2 + k)) ** 0.5
