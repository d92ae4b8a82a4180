"""Sheet metal: what is kept of each, what it stands, gauge numbers, weight.

find_sheet    one metal's properties
sheet_gauge   thickness behind a gauge number
sheet_weight  weight of a volume
"""

from typing import NamedTuple

from shroudwright.bench.errors import InputError, OutOfRange
from shroudwright.bench.registry import offer
from shroudwright.catalogue.read import table

_INCH = 0.0254
# Manufacturers' Standard weights of steel sheet, lb/ft2; 41.82 of them to the inch of thickness.
_STEEL_WEIGHTS = {
    3: 10.0,
    4: 9.375,
    5: 8.75,
    6: 8.125,
    7: 7.5,
    8: 6.875,
    9: 6.25,
    10: 5.625,
    11: 5.0,
    12: 4.375,
    13: 3.75,
    14: 3.125,
    15: 2.8125,
    16: 2.5,
    17: 2.25,
    18: 2.0,
    19: 1.75,
    20: 1.5,
    21: 1.375,
    22: 1.25,
    23: 1.125,
    24: 1.0,
    25: 0.875,
    26: 0.75,
    27: 0.6875,
    28: 0.625,
}
_STEEL_PER_INCH = 41.82


class Sheet(NamedTuple):
    """One metal. The columns times_... are smallest inside radii of a cold 90 deg bend over thickness."""

    metal: str
    code: str
    family: str
    """aluminium or mild steel, [text]"""
    density: float
    """[kg/m**3]"""
    elasticity: float
    """[Pa]"""
    yield_strength: float
    """typical, [Pa]"""
    times_1_32: float
    times_1_16: float
    times_1_8: float
    times_3_16: float
    times_1_4: float
    least_radius: float
    """whatever the thickness, [m]"""
    ultimate: float
    """typical, as all of strength, [Pa]"""
    fatigue: float
    """smooth, stress to and fro, 5e8 turns, [Pa]"""
    annealed_yield: float
    """within an inch of a weld; of 6061 (11 to 15 ksi) and mild steel from memory, [Pa]"""
    expansion: float
    """[1/K]"""
    poisson: float
    """[-]"""
    source: str
    seen: str
    grade: str
    strength_source: str
    strength_seen: str
    strength_grade: str


def find_sheet(metal: str) -> Sheet:
    """Look up what is kept of a metal.

    Parameters
    ----------
    metal : str
        ``aluminium 5052-H32`` or just ``5052-H32``; aluminium 3003-H14, aluminium 6061-T6, mild steel, [text]

    Returns
    -------
    Sheet
        Its row of the catalogue, in SI.

    Raises
    ------
    InputError
        If no such metal is kept.
    """
    rows: tuple[Sheet, ...] = table("sheet.csv", Sheet)
    for row in rows:
        if metal in (row.metal, row.code):
            return row
    raise InputError([f"metal: {metal!r} is not one of {', '.join(row.metal for row in rows)}"])


@offer
def sheet_gauge(gauge: float, system: str) -> float:
    """Thickness of sheet behind a gauge number.

    B&S: 0.005 x 92^((36 - n) / 39) in; steel: the weight per square foot of the number, over 41.82

    Parameters
    ----------
    gauge : float
        Whole number; 0 is 1/0, [-]
    system : str
        ``B&S`` (aluminium, copper, brass) or ``Manufacturers' Standard`` (uncoated steel), [text]

    Returns
    -------
    thickness : float
        [m]

    Notes
    -----
    Limits: B&S 0 to 40; steel 3 to 28. Galvanised sheet is about 0.1 mm thicker at the same number.
    Accuracy: nominal; mill tolerance is several per cent. Order by decimal thickness, never by number.

    References
    ----------
    ASTM B258, from memory; Manufacturers' Standard Gauge table, read in public copies.
    """
    if system == "B&S":
        if not 0 <= gauge <= 40:
            raise OutOfRange("B&S gauge", gauge, 0, 40, "gauge")
        return float(0.005 * _INCH * 92.0 ** ((36.0 - gauge) / 39.0))
    if system == "Manufacturers' Standard":
        if gauge not in _STEEL_WEIGHTS:
            raise OutOfRange("steel gauge (whole numbers)", gauge, min(_STEEL_WEIGHTS), max(_STEEL_WEIGHTS), "gauge")
        return _STEEL_WEIGHTS[int(gauge)] / _STEEL_PER_INCH * _INCH
    raise InputError([f"system: {system!r} is not one of B&S, Manufacturers' Standard"])


@offer
def sheet_weight(volume: float, density: float) -> float:
    """Weight of a volume of metal.

    Parameters
    ----------
    volume : float
        Area times thickness, openings taken off, [m**3]
    density : float
        About 0.098 lb/in**3 for aluminium, 0.284 for steel, [kg/m**3]

    Returns
    -------
    weight : float
        [kg]

    Notes
    -----
    Limits: none.
    Accuracy: that of the thickness; mill tolerance is several per cent.

    References
    ----------
    Definition of density.
    """
    return volume * density
