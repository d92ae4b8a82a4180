"""Copper wire: sizes, resistance and the volts it loses.

awg_diameter, awg_area      American Wire Gauge, solid
awg_area_ratio              copper of one gauge over another's
sae_area, sae_over_awg      SAE primary wire of the same number, which is smaller
metric_resistance           most resistance of a metric flexible conductor at 20 degC
resistivity                 of copper at a temperature
copper_temperature          at which copper has a resistivity
resistance_per_length       of an area
gauge_resistance            of a gauge
voltage_drop                along a wire, out and back

A gauge is a bare number; 1/0 is 0, 2/0 is -1.
"""

import math

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.catalogue.read import Wire, table

_IACS = 0.017241e-6
_PER_KELVIN = 0.00393
_IACS_TEMPERATURE = 293.15


@offer
def awg_diameter(gauge: float) -> float:
    """Diameter of a solid wire of an American Wire Gauge.

    d = 0.127 mm 92^((36 - n) / 39)

    Parameters
    ----------
    gauge : float
        n, [-]

    Returns
    -------
    diameter : float
        [m]

    Notes
    -----
    Limits: 40 to 4/0. Accuracy: by definition.

    References
    ----------
    ASTM B258, formula from memory; agrees with a public table to its printed digits.
    """
    return 0.127e-3 * math.pow(92.0, (36.0 - gauge) / 39.0)


@offer
def awg_area(gauge: float) -> float:
    """Copper area of an American Wire Gauge.

    A = pi d^2 / 4

    Parameters
    ----------
    gauge : float
        [-]

    Returns
    -------
    area : float
        [m**2]

    Notes
    -----
    Limits: 40 to 4/0. Accuracy: by definition.

    References
    ----------
    ASTM B258, as `awg_diameter`.
    """
    return 0.25 * math.pi * awg_diameter(gauge) ** 2


@offer
def awg_area_ratio(gauge: float, base_gauge: float) -> float:
    """Copper area of one American Wire Gauge over another's; three numbers are about double.

    Parameters
    ----------
    gauge : float
        [-]
    base_gauge : float
        [-]

    Returns
    -------
    ratio : float
        [-]

    Notes
    -----
    Limits: 40 to 4/0. Accuracy: by definition.

    References
    ----------
    ASTM B258, as `awg_diameter`.
    """
    return awg_area(gauge) / awg_area(base_gauge)


def _sizes(system: str) -> list[Wire]:
    return [wire for wire in table("wire.csv", Wire) if wire.system == system]


@offer
def sae_area(gauge: float) -> float:
    """Least copper area of SAE primary wire.

    Parameters
    ----------
    gauge : float
        18, 16, 14, 12, 10, 8, 6 or 4, [-]

    Returns
    -------
    area : float
        [m**2]

    Raises
    ------
    InputError
        If the gauge is not kept.

    Notes
    -----
    Limits: the sizes kept. Accuracy: a least value; wire may carry a little more copper.

    References
    ----------
    SAE J1128 as tabulated in two public copies; the standard itself not seen.
    """
    areas = {wire.gauge: wire.area for wire in _sizes("SAE") if wire.gauge is not None}
    area = areas.get(gauge)
    if area is None:
        kept = ", ".join(f"{size:g}" for size in areas)
        raise InputError([f"no SAE wire of {gauge:g} gauge is kept; there are {kept}"])
    return area


@offer
def sae_over_awg(gauge: float) -> float:
    """Copper area of SAE primary wire over American Wire Gauge of the same number.

    Parameters
    ----------
    gauge : float
        [-]

    Returns
    -------
    ratio : float
        0.89 to 0.95, [-]

    Notes
    -----
    Limits: the sizes kept. Accuracy: as `sae_area`.

    References
    ----------
    As `sae_area` and `awg_area`.
    """
    return sae_area(gauge) / awg_area(gauge)


@offer
def metric_resistance(size: float) -> float:
    """Most resistance per length of a metric flexible copper conductor at 20 degC.

    Parameters
    ----------
    size : float
        Nominal area, 0.5 to 25 mm2, [m**2]

    Returns
    -------
    resistance_per_length : float
        [ohm/m]

    Raises
    ------
    InputError
        If the size is not kept.

    Notes
    -----
    Limits: class 5, plain copper; a stand-in for road-vehicle cable, whose own table was not seen.
    Accuracy: a limit; real wire is a few per cent lower.

    References
    ----------
    IEC 60228 class 5, read in two public copies.
    """
    for wire in _sizes("metric"):
        if wire.size is not None and wire.resistance is not None and math.isclose(wire.size, size, rel_tol=1e-6):
            return wire.resistance
    raise InputError([f"no metric wire of {size * 1e6:g} mm2 is kept"])


@offer
def resistivity(temperature: float) -> float:
    """Resistivity of annealed copper.

    0.017241 ohm mm2/m [1 + 0.00393 (T - 20 degC)]

    Parameters
    ----------
    temperature : float
        Of the copper, [K]

    Returns
    -------
    resistivity : float
        [ohm*m]

    Notes
    -----
    Limits: -40 to 150 degC. Accuracy: 0.5 % of the factors of IEC 60228 to 100 degC.

    References
    ----------
    International Annealed Copper Standard, from memory.
    """
    return _IACS * (1.0 + _PER_KELVIN * (temperature - _IACS_TEMPERATURE))


@offer
def copper_temperature(resistivity: float) -> float:
    """Temperature at which copper has a resistivity: what a wire table's constant takes for granted.

    The inverse of `resistivity`.

    Parameters
    ----------
    resistivity : float
        Such as 10.75 ohm*cmil/ft, [ohm*m]

    Returns
    -------
    temperature : float
        [K]

    Notes
    -----
    Limits: as `resistivity`. Accuracy: 1 % of resistivity is 2.5 K.

    References
    ----------
    As `resistivity`.
    """
    return _IACS_TEMPERATURE + (resistivity / _IACS - 1.0) / _PER_KELVIN


@offer
def resistance_per_length(area: float, temperature: float) -> float:
    """Resistance of a copper wire per length.

    rho(T) / A

    Parameters
    ----------
    area : float
        Of copper, [m**2]
    temperature : float
        Of the copper; 80 degC in an engine bay, [K]

    Returns
    -------
    resistance_per_length : float
        [ohm/m]

    Notes
    -----
    Limits: direct current. Accuracy: strands lie at a slant, which adds 1 or 2 %.

    References
    ----------
    As `resistivity`.
    """
    return resistivity(temperature) / area


@offer
def gauge_resistance(gauge: float, sizing: str, temperature: float) -> float:
    """Resistance of a copper wire of a gauge, per length.

    Parameters
    ----------
    gauge : float
        [-]
    sizing : str
        AWG or SAE, [text]
    temperature : float
        Of the copper; 80 degC in an engine bay, [K]

    Returns
    -------
    resistance_per_length : float
        [ohm/m]

    Notes
    -----
    Limits: as `sae_area` or `awg_area`. Accuracy: as `resistance_per_length`.

    References
    ----------
    As `resistivity`, `sae_area`, `awg_area`.
    """
    areas = {"AWG": awg_area, "SAE": sae_area}
    if sizing not in areas:
        raise InputError([f"wire is sized AWG or SAE, not {sizing!r}"])
    return resistance_per_length(areas[sizing](gauge), temperature)


@offer
def voltage_drop(current: float, round_trip: float, gauge: float, sizing: str, temperature: float) -> float:
    """Volts lost along a copper wire, out and back.

    dV = I L rho(T) / A

    Parameters
    ----------
    current : float
        I, [A]
    round_trip : float
        Out and back, L, [m]
    gauge : float
        [-]
    sizing : str
        AWG or SAE; wire from a car-parts counter is SAE, [text]
    temperature : float
        Of the copper; 80 degC in an engine bay, [K]

    Returns
    -------
    voltage_drop : float
        [V]

    Notes
    -----
    Limits: wire alone; joints, relay and fuse come on top. Tables built on the constant 10.75 stand for
    copper at 29 degC; a hot bay loses 19 % more. Accuracy: 2 %.

    References
    ----------
    Ohm's law; as `gauge_resistance`.
    """
    return current * round_trip * gauge_resistance(gauge, sizing, temperature)
