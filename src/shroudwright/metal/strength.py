"""What a sheet stands: strength, fatigue, softening by welds, growth with heat.

find_strength  one metal's figures
"""

from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.catalogue.read import table


class Strength(NamedTuple):
    """One metal; typical values. Its yield strength and elasticity stand in `metal.sheet.Sheet`."""

    metal: str
    code: str
    ultimate: float
    """[Pa]"""
    fatigue: float
    """smooth, stress to and fro, 5e8 turns, [Pa]"""
    annealed_yield: float
    """within an inch of a weld, [Pa]"""
    expansion: float
    """[1/K]"""
    poisson: float
    """[-]"""
    source: str
    seen: str
    grade: str


def find_strength(metal: str) -> Strength:
    """Look up what a metal stands.

    Parameters
    ----------
    metal : str
        ``aluminium 5052-H32`` or just ``5052-H32``; aluminium 3003-H14, aluminium 6061-T6, mild steel, [text]

    Returns
    -------
    Strength
        Its row of the catalogue, in SI. The annealed yield of 6061 (11 to 15 ksi) and mild steel are from memory.

    Raises
    ------
    InputError
        If no such metal is kept.
    """
    rows: tuple[Strength, ...] = table("strength.csv", Strength)
    for row in rows:
        if metal in (row.metal, row.code):
            return row
    raise InputError([f"metal: {metal!r} is not one of {', '.join(row.metal for row in rows)}"])
