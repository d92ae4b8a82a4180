"""The thermostat.

lift
"""

from shroudwright.bench.compiled import inlined


@inlined
def lift(temperature: float, opens: float, span: float) -> float:
    """Share of full lift at a steady temperature.

    A straight line from the start of opening to full open.

    Parameters
    ----------
    temperature : float
        Of the coolant at the wax, [K]
    opens : float
        Start of opening, [K]
    span : float
        From start to full open, [K rise]

    Returns
    -------
    share : float
        0 shut to 1 full open, [-]

    Notes
    -----
    Limits: steady; no hysteresis or lag. Accuracy: +-3 K on the temperatures.

    References
    ----------
    Common practice, no source.
    """
    return min(max((temperature - opens) / span, 0.0), 1.0)
