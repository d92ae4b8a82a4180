"""What a copper wire may carry, and which gauge to run.

ampacity              in still air, by insulation and ambient
engine_space_ampacity by the boat rule's own factor
ambient_factor        share of ampacity left in hotter air
bundle_factor         share left among other loaded wires
derated_ampacity      both, in wire sized AWG or SAE
area_for_drop         copper a drop asks for: the marine "circular mils" sum
gauge_for_area        smallest wire with that copper
wire_for              smallest wire for a drop and an ampacity
"""

import math
from functools import cache
from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.catalogue.read import table
from shroudwright.materials.conductor import awg_area, resistivity, sae_area

TABLE_AMBIENT = 303.15
HOT_COPPER = 353.15
"""Copper of a loaded wire in an engine bay: common practice, no source, [K]"""
HOT_RESISTIVITY = resistivity(HOT_COPPER)

_SHARES = {"AWG": 1.0, "SAE": 0.95}
_ENGINE_SPACE = {60: 0.58, 75: 0.75, 80: 0.78, 90: 0.82, 105: 0.85, 125: 0.89, 200: 1.00}
_BUNDLES = ((1, 1.0), (3, 0.70), (6, 0.60), (24, 0.50))
_FULL_BUNDLE = 0.40


class Ampacity(NamedTuple):
    """What one gauge with one insulation carries."""

    code: str
    gauge: float
    insulation: float
    """temperature rating, [K]"""
    current: float
    """in 30 degC air, [A]"""
    source: str
    seen: str
    grade: str


def _rows() -> tuple[Ampacity, ...]:
    return table("ampacity.csv", Ampacity)


def gauges(sizing: str) -> list[float]:
    """Return the gauges kept, thinnest first, in wire sized AWG or SAE."""
    if sizing not in _SHARES:
        raise InputError([f"wire is sized AWG or SAE, not {sizing!r}"])
    kept = list(dict.fromkeys(row.gauge for row in _rows()))
    return [gauge for gauge in kept if sizing == "AWG" or gauge >= 4]


@cache
def _held(insulation_temperature: float) -> float:
    """Return the table's rating at or next below an insulation's own."""
    ratings = {row.insulation for row in _rows()}
    below = [rating for rating in ratings if rating <= insulation_temperature + 0.01]
    if not below:
        raise InputError([f"insulation good for {insulation_temperature - 273.15:g} degC is below the table's 60"])
    return max(below)


@cache
def _table_current(gauge: float, insulation_temperature: float) -> float:
    for row in _rows():
        if row.gauge == gauge and row.insulation == insulation_temperature:
            return row.current
    kept = ", ".join(f"{each:g}" for each in gauges("AWG"))
    raise InputError([f"no ampacity is kept for {gauge:g} gauge; there are {kept}"])


@offer
def ampacity(gauge: float, insulation_temperature: float, ambient: float) -> float:
    """Current one copper wire may carry by itself in open air.

    The table's figure for 30 degC times `ambient_factor`.

    Parameters
    ----------
    gauge : float
        18, 16, 14, 12, 10, 8, 6, 4, 2 or 0 (1/0), AWG, [-]
    insulation_temperature : float
        Rating of the insulation: 60, 75, 80, 90, 105, 125 or 200 degC; between, the next lower stands, [K]
    ambient : float
        Air round the wire; 30 degC gives the table as printed, [K]

    Returns
    -------
    current : float
        [A]

    Raises
    ------
    InputError
        If the gauge is not in the table, or the rating is below it.

    Notes
    -----
    Limits: single conductors under 50 V, alone in air; none is left where the air is as hot as the rating.
    Accuracy: an allowance made for boats; other ambients within 1 % of published factors, 6 % at 200 degC.

    References
    ----------
    US 33 CFR 183.425 Table 5, read in a public copy.
    """
    held = _held(insulation_temperature)
    return _table_current(gauge, held) * ambient_factor(held, ambient)


@offer
def engine_space_ampacity(gauge: float, insulation_temperature: float) -> float:
    """Current one copper wire may carry in a boat's engine space, 50 degC, by the rule's own factor.

    Parameters
    ----------
    gauge : float
        As `ampacity`, [-]
    insulation_temperature : float
        As `ampacity`, [K]

    Returns
    -------
    current : float
        [A]

    Notes
    -----
    Limits: 50 degC; a car's bay is hotter. Accuracy: the factor 0.85 of 105 degC wire was read, the others
    are from memory and within 1 % of `ambient_factor`, but at 200 degC.

    References
    ----------
    US 33 CFR 183.425 Table 5, note 1, read in a public copy.
    """
    held = _held(insulation_temperature)
    return _table_current(gauge, held) * _ENGINE_SPACE[round(held - 273.15)]


@offer
def ambient_factor(insulation_temperature: float, ambient: float, reference: float = TABLE_AMBIENT) -> float:
    """Share of a wire's ampacity left in hotter air.

    sqrt[(T_ins - T_amb) / (T_ins - T_ref)]: heat made goes as the current squared.

    Parameters
    ----------
    insulation_temperature : float
        Rating of the insulation, T_ins, [K]
    ambient : float
        Air round the wire, T_amb, [K]
    reference : float
        Air of the table, T_ref; 30 degC, [K]

    Returns
    -------
    factor : float
        0 where the air is as hot as the rating, over 1 in cooler air than the table's, [-]

    Notes
    -----
    Limits: same cooling, same resistance. Accuracy: 1 % of published factors, 6 % low at 200 degC.

    References
    ----------
    Heat balance; agrees with 33 CFR 183.425 and with a public copy of a Canadian code table.
    """
    return math.sqrt(max(insulation_temperature - ambient, 0.0) / (insulation_temperature - reference))


@offer
def bundle_factor(count: float) -> float:
    """Share of a wire's ampacity left among other wires in one loom.

    1, then 0.70 to 3 wires, 0.60 to 6, 0.50 to 24, 0.40 beyond.

    Parameters
    ----------
    count : float
        Wires loaded at the same time; a fan's supply and ground are 2, [-]

    Returns
    -------
    factor : float
        [-]

    Notes
    -----
    Limits: all loaded fully and at once. Accuracy: an allowance.

    References
    ----------
    Boat-wiring practice, from memory.
    """
    return next((factor for most, factor in _BUNDLES if count <= most), _FULL_BUNDLE)


@offer
def derated_ampacity(
    gauge: float, insulation_temperature: float, ambient: float, bundle_count: float, sizing: str
) -> float:
    """Current a wire may carry where it lies.

    `ampacity` times `bundle_factor`, and 0.95 for the thinner SAE wire of the same number.

    Parameters
    ----------
    gauge : float
        As `ampacity`, [-]
    insulation_temperature : float
        As `ampacity`, [K]
    ambient : float
        Air round the wire: 85 degC behind the core, 60 along the inner fender, 40 in the cabin, [K]
    bundle_count : float
        Wires loaded at the same time in its loom, [-]
    sizing : str
        AWG or SAE; wire from a car-parts counter is SAE, [text]

    Returns
    -------
    current : float
        [A]

    Notes
    -----
    Limits: as `ampacity`. Accuracy: as `ampacity`; current goes about as the square root of copper.

    References
    ----------
    As `ampacity` and `bundle_factor`.
    """
    share = _SHARES.get(sizing)
    if share is None:
        raise InputError([f"wire is sized AWG or SAE, not {sizing!r}"])
    return ampacity(gauge, insulation_temperature, ambient) * bundle_factor(bundle_count) * share


@offer
def area_for_drop(
    current: float, round_trip: float, volts: float, drop_share: float, resistivity: float = HOT_RESISTIVITY
) -> float:
    """Copper a wire needs for a given loss of volts; in circular mils, the marine sizing sum.

    A = K I L / E, E = drop_share V

    Parameters
    ----------
    current : float
        I, [A]
    round_trip : float
        Out and back, L, [m]
    volts : float
        Of the system, V, [V]
    drop_share : float
        Loss allowed, 0.03 for what matters, [-]
    resistivity : float
        Of the copper, K; the marine 10.75 ohm*cmil/ft is copper at 29 degC, a hot bay has 12.8, [ohm*m]

    Returns
    -------
    area : float
        [m**2]

    Notes
    -----
    Limits: wire alone; check the ampacity too. Accuracy: 2 %.

    References
    ----------
    Marine sizing formula, worked example read in a public copy; Ohm's law.
    """
    return resistivity * current * round_trip / (drop_share * volts)


def _area(gauge: float, sizing: str) -> float:
    return sae_area(gauge) if sizing == "SAE" else awg_area(gauge)


@offer
def gauge_for_area(area: float, sizing: str) -> float:
    """Smallest wire with at least some copper.

    Parameters
    ----------
    area : float
        Of copper, [m**2]
    sizing : str
        AWG or SAE, [text]

    Returns
    -------
    gauge : float
        [-]

    Raises
    ------
    InputError
        If no wire kept is thick enough.

    Notes
    -----
    Limits: 18 to 1/0 AWG, 18 to 4 SAE. Accuracy: least copper of SAE wire.

    References
    ----------
    As `materials.conductor.sae_area` and `awg_area`.
    """
    for gauge in gauges(sizing):
        if _area(gauge, sizing) >= area:
            return gauge
    raise InputError([f"no {sizing} wire kept has {area * 1e6:.3g} mm2 of copper; run two, or shorten the way"])


@offer
def wire_for(
    current: float,
    round_trip: float,
    volts: float,
    drop_share: float,
    sizing: str,
    insulation_temperature: float,
    ambient: float,
    bundle_count: float = 1.0,
    resistivity: float = HOT_RESISTIVITY,
) -> float:
    """Smallest wire that loses little enough and carries the current where it lies.

    The thicker of `gauge_for_area` of `area_for_drop` and the first whose `derated_ampacity` reaches the current.

    Parameters
    ----------
    current : float
        [A]
    round_trip : float
        Out and back, [m]
    volts : float
        Of the system, [V]
    drop_share : float
        Loss allowed, [-]
    sizing : str
        AWG or SAE, [text]
    insulation_temperature : float
        As `ampacity`, [K]
    ambient : float
        Air round its hottest part, [K]
    bundle_count : float
        Wires loaded at the same time in its loom, [-]
    resistivity : float
        Of the copper, as `area_for_drop`, [ohm*m]

    Returns
    -------
    gauge : float
        [-]

    Raises
    ------
    InputError
        If no wire kept does both.

    Notes
    -----
    Limits: as `area_for_drop` and `ampacity`. Accuracy: as both.

    References
    ----------
    Marine sizing practice, worked example read in a public copy.
    """
    area = area_for_drop(current, round_trip, volts, drop_share, resistivity)
    for gauge in gauges(sizing):
        carried = derated_ampacity(gauge, insulation_temperature, ambient, bundle_count, sizing)
        if carried >= current and _area(gauge, sizing) >= area:
            return gauge
    raise InputError([f"no {sizing} wire kept carries {current:g} A there; run two, or a cooler way"])
