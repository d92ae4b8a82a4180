"""Pressure round the circuit: what a cap sees, and what is left at the pump's inlet.

suction_pressure        at the pump's inlet
static_pressure_left    under a cap on the inlet tank
"""

from shroudwright.bench.registry import offer

_GRAVITY = 9.80665


@offer
def suction_pressure(held_pressure: float, head: float, density: float, lost: float) -> float:
    """Absolute pressure at the pump's inlet.

    p + rho g h - dp.

    Parameters
    ----------
    held_pressure : float
        Absolute pressure where cap or tank holds it, [Pa]
    head : float
        Height of that place over the pump's inlet, [m]
    density : float
        Of the coolant, [kg/m**3]
    lost : float
        On the way from there to the pump, [Pa]

    Returns
    -------
    pressure : float
        [Pa]

    Notes
    -----
    Limits: steady; what the pump's own eye takes on top is not in it. Accuracy: of the losses.

    References
    ----------
    Bernoulli, at one speed of flow.
    """
    return held_pressure + density * _GRAVITY * head - lost


@offer
def static_pressure_left(cap_pressure: float, core_drop: float, suction_hose_drop: float) -> float:
    """Pressure the system may hold at the pump's inlet before a cap on the inlet tank opens.

    The cap feels the system's pressure and, on top, what drives the flow through core and suction hose.

    Parameters
    ----------
    cap_pressure : float
        As stamped, over the air outside, [Pa]
    core_drop : float
        Lost in the core at this flow, [Pa]
    suction_hose_drop : float
        Lost from core to pump, [Pa]

    Returns
    -------
    pressure : float
        Over the air outside; under zero the cap opens at this flow even cold, [Pa]

    Notes
    -----
    Limits: steady. Accuracy: of the losses.

    References
    ----------
    Bernoulli, at one speed of flow.
    """
    return cap_pressure - core_drop - suction_hose_drop
