"""A bend in sheet: how much flat length it takes.

bend_allowance        flat length in the bend
bend_allowance_shop   the same by a shop formula
handbook_bend_length  a 90 deg bend by the handbook's three classes
setback               outside corner to tangent
bend_deduction        what to take off two outside legs
k_factor              recommended place of the neutral line
Neutral               the same, or what a shop has found for itself
is_large              whether a bend is rolled rather than bent
k_din_6935            the same by DIN 6935
smallest_radius       least inside radius that does not crack
"""

import math
from itertools import pairwise
from typing import NamedTuple

from shroudwright.bench.errors import InputError, OutOfRange
from shroudwright.bench.registry import offer
from shroudwright.metal.sheet import find_sheet

_INCH = 0.0254
_TABLE_THICKNESSES = tuple(share * _INCH for share in (1 / 32, 1 / 16, 1 / 8, 3 / 16, 1 / 4))
THICKEST = _TABLE_THICKNESSES[-1] * (1.0 + 1e-9)
"""Sheet past which the table of least radii says nothing, [m]"""
_LARGE_BEND = 5.0
_TIGHT_K = {"aluminium": 0.40, "mild steel": 0.44}
_HANDBOOK = {"soft": 0.55, "half-hard": 0.64, "hard": 0.71}


@offer
def bend_allowance(angle: float, inside_radius: float, thickness: float, k_factor: float) -> float:
    """Flat length that a bend takes, tangent to tangent.

    BA = A (R + K t)

    Parameters
    ----------
    angle : float
        Turned through, A, [rad]
    inside_radius : float
        R, [m]
    thickness : float
        t, [m]
    k_factor : float
        Depth of the neutral line over thickness, K, [-]

    Returns
    -------
    allowance : float
        [m]

    Notes
    -----
    Limits: K from 0.3 to 0.5.
    Accuracy: exact for the K given; K itself is sure to some 0.03 without a test bend.

    References
    ----------
    Geometry: the arc at radius R + K t.
    """
    return angle * (inside_radius + k_factor * thickness)


@offer
def bend_allowance_shop(angle: float, inside_radius: float, thickness: float) -> float:
    """Flat length that a bend takes, by the sheet-metal worker's formula.

    BA = (0.0173 R + 0.0078 t) N, N in degrees

    Parameters
    ----------
    angle : float
        Turned through, N, [rad]
    inside_radius : float
        R, [m]
    thickness : float
        t, [m]

    Returns
    -------
    allowance : float
        [m]

    Notes
    -----
    Limits: tight bends; for R / t over 5 use `bend_allowance` with K = 0.5.
    Accuracy: K = 0.447; 0.0173 is rounded and makes it up to 0.9 % short.

    References
    ----------
    US Navy, Aviation Structural Mechanic manual, bend allowance; read in a public copy.
    """
    return (0.0173 * inside_radius + 0.0078 * thickness) * math.degrees(angle)


@offer
def handbook_bend_length(inside_radius: float, thickness: float, temper: str) -> float:
    """Flat length of a 90 deg bend by the handbook's three classes of metal.

    L = c t + 1.57 R, c = 0.55, 0.64, 0.71

    Parameters
    ----------
    inside_radius : float
        R, [m]
    thickness : float
        t, [m]
    temper : str
        ``soft`` (soft brass, copper), ``half-hard`` (aluminium, soft steel, half-hard brass) or ``hard``
        (bronze, hard copper, cold-rolled and spring steel), [text]

    Returns
    -------
    length : float
        [m]

    Notes
    -----
    Limits: 90 deg, tight bends.
    Accuracy: K = 0.350, 0.407, 0.452; within 0.1 mm of the K tables on thin sheet.

    References
    ----------
    Machinery's Handbook, sheet-metal bending; from memory.
    """
    if temper not in _HANDBOOK:
        raise InputError([f"temper: {temper!r} is not one of {', '.join(_HANDBOOK)}"])
    return _HANDBOOK[temper] * thickness + 1.57 * inside_radius


@offer
def setback(angle: float, inside_radius: float, thickness: float) -> float:
    """Distance from the outside corner of a bend back to its tangent.

    OSSB = (R + t) tan(A / 2)

    Parameters
    ----------
    angle : float
        Turned through, A, [rad]
    inside_radius : float
        R, [m]
    thickness : float
        t, [m]

    Returns
    -------
    setback : float
        [m]

    Notes
    -----
    Limits: less than 180 deg.
    Accuracy: exact.

    References
    ----------
    FAA AC 43.13-1B (1998), par. 4-56, Tables 4-6 and 4-7; read in a public copy.
    """
    return (inside_radius + thickness) * math.tan(0.5 * angle)


@offer
def bend_deduction(angle: float, inside_radius: float, thickness: float, k_factor: float) -> float:
    """Length to take off the sum of two outside legs.

    BD = 2 OSSB - BA

    Parameters
    ----------
    angle : float
        Turned through, A, [rad]
    inside_radius : float
        R, [m]
    thickness : float
        t, [m]
    k_factor : float
        K, [-]

    Returns
    -------
    deduction : float
        [m]

    Notes
    -----
    Limits: legs measured to the outside corner, less than 180 deg.
    Accuracy: as `bend_allowance`.

    References
    ----------
    Geometry.
    """
    return 2.0 * setback(angle, inside_radius, thickness) - bend_allowance(angle, inside_radius, thickness, k_factor)


@offer
def k_factor(inside_radius: float, thickness: float, metal: str) -> float:
    """Recommended depth of the neutral line over thickness.

    K = 0.5 where R / t >= 5; else 0.40 in aluminium, 0.44 in mild steel

    Parameters
    ----------
    inside_radius : float
        R, [m]
    thickness : float
        t, [m]
    metal : str
        aluminium 3003-H14, aluminium 5052-H32, aluminium 6061-T6 or mild steel, [text]

    Returns
    -------
    k_factor : float
        [-]

    Notes
    -----
    Limits: cold bends of sheet.
    Accuracy: some 0.03, that is 0.004 in per 90 deg bend of 0.080 sheet; a test bend is better.

    References
    ----------
    Machinery's Handbook, 26th ed., K tables; read in a public copy. Steel and the step at 5: common practice.
    """
    return 0.5 if is_large(inside_radius, thickness) else _TIGHT_K[find_sheet(metal).family]


def is_large(inside_radius: float, thickness: float) -> bool:
    """Whether a bend is a roll: its inside radius five thicknesses or more."""
    return inside_radius >= _LARGE_BEND * thickness


class Neutral(NamedTuple):
    """Neutral lines over the thickness that a shop has found for itself; the table's where it has not, [-]."""

    tight: float | None = None
    roll: float | None = None

    def at(self, inside_radius: float, thickness: float, metal: str) -> float:
        """Return K of a bend, [-]."""
        own = self.roll if is_large(inside_radius, thickness) else self.tight
        return k_factor(inside_radius, thickness, metal) if own is None else own


TABLE = Neutral()
"""No neutral line of one's own."""


@offer
def k_din_6935(inside_radius: float, thickness: float) -> float:
    """Depth of the neutral line over thickness by DIN 6935.

    K = k / 2, k = 0.65 + 0.5 log10(R / t) to R / t = 5, then 1

    Parameters
    ----------
    inside_radius : float
        R, [m]
    thickness : float
        t, [m]

    Returns
    -------
    k_factor : float
        [-]

    Notes
    -----
    Limits: meant for steel, R / t from about 0.65.
    Accuracy: as `k_factor`.

    References
    ----------
    DIN 6935; from memory.
    """
    ratio = inside_radius / thickness
    return 0.5 if ratio > _LARGE_BEND else 0.5 * (0.65 + 0.5 * math.log10(ratio))


@offer
def smallest_radius(metal: str, thickness: float) -> float:
    """Least inside radius of a cold 90 deg bend.

    A multiple of the thickness from the metal's table, interpolated and rounded up to the next half.

    Parameters
    ----------
    metal : str
        aluminium 3003-H14, aluminium 5052-H32, aluminium 6061-T6 or mild steel, [text]
    thickness : float
        t, [m]

    Returns
    -------
    radius : float
        [m]

    Notes
    -----
    Limits: to 1/4 in; under 1/32 in the multiple for 1/32 in. Bend across the grain where there is a choice.
    Accuracy: a guide: many shops will not brake 6061-T6 under 4 to 6 thicknesses.

    References
    ----------
    Aluminum Association, Aluminum Design Manual 2005, part VII Table 3-1: 3003 and 5052 read in a public
    copy, 6061 in a handbook that carries the table. Mild steel, half t or 1/32 in: a design guideline page.
    """
    if thickness > THICKEST:
        raise OutOfRange("sheet thickness", thickness / _INCH, 0.0, 0.25, "in")
    sheet = find_sheet(metal)
    times = (sheet.times_1_32, sheet.times_1_16, sheet.times_1_8, sheet.times_3_16, sheet.times_1_4)
    multiple = times[0]
    for index, (near, far) in enumerate(pairwise(_TABLE_THICKNESSES)):
        if thickness > near:
            share = min((thickness - near) / (far - near), 1.0)
            multiple = times[index] + share * (times[index + 1] - times[index])
    multiple = 0.5 * math.ceil(2.0 * multiple - 1e-9)
    return max(multiple * thickness, sheet.least_radius)
