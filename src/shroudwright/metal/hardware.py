"""What holds, seals and guards a shroud: chosen off the shelf by grip, hole and sheet.

choose_rivet     a blind rivet for the sheets it joins
by_hole          a bolt or rivet nut by the hole drilled
torque_of        how tight it is done up
choose_trim      edge trim by sheet
choose_grommet   a grommet by hole
row_of           even pitch of a row, 3 D to 8 D
rivet_findings   S08: pitch, edge and grip
couple           what two metals need between them, M05
strip_weight     of a length of seal or trim
Item             a line of the hardware list
"""

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from shroudwright.bench.registry import offer
from shroudwright.catalogue.read import table
from shroudwright.metal.flat import Finding

LEAST_PITCH, MOST_PITCH, LEAST_EDGE = 3.0, 8.0, 2.0
"""Of a rivet row over the rivet's diameter: 3 D and 2 D, FAA AC 43.13-1B, second hand; 8 D common practice, [-]"""
_GOOD_PITCH, _THIN_PITCH = 6.0, 24.0
_PER_SHEET = 3.0
_SAME = 1e-5
_NEARLY = 1.0 - 1e-9


class Fastener(NamedTuple):
    """One fastener. A bolt's holes are its close and its free fit, and its grip is what its length allows."""

    code: str
    kind: str
    """blind rivet, rivet nut or bolt, [text]"""
    size: str
    diameter: float
    """[m]"""
    hole_least: float
    """[m]"""
    hole_most: float
    """[m]"""
    grip_least: float | None
    """[m]"""
    grip_most: float | None
    """[m]"""
    weight: float
    """each, with washer and nut, [kg]"""
    source: str
    seen: str
    grade: str


class Torque(NamedTuple):
    """How tight a small fastener is done up."""

    code: str
    kind: str
    size: str
    torque: float
    """[N*m]"""
    source: str
    seen: str
    grade: str


class Seal(NamedTuple):
    """A strip by the length."""

    code: str
    kind: str
    thickness: float
    """[m]"""
    width: float
    """[m]"""
    solid_share: float
    """of thickness times width that is not hollow, [-]"""
    density: float
    """[kg/m**3]"""
    sheet_least: float | None
    """it grips, [m]"""
    sheet_most: float | None
    """[m]"""
    bend_radius: float | None
    """least it goes round, [m]"""
    narrows: float | None
    """what it takes off an opening all round, [m]"""
    source: str
    seen: str
    grade: str


class Grommet(NamedTuple):
    """A rubber grommet."""

    code: str
    hole: float
    """[m]"""
    bore: float
    """[m]"""
    sheet_least: float
    """[m]"""
    sheet_most: float
    """[m]"""
    weight: float
    """[kg]"""
    source: str
    seen: str
    grade: str


class Couple(NamedTuple):
    """Two metals in touch."""

    one: str
    other: str
    verdict: Literal["fine", "isolate"]
    isolator: str | None
    source: str
    seen: str
    grade: str


class Item(NamedTuple):
    """A line of the hardware list; a count, or a length where it goes by the length."""

    part: str
    size: str
    where: str
    number: int
    length: float
    """[m]"""
    hole: float
    """0 where none is drilled, [m]"""
    weight: float
    """of all of it, [kg]"""
    source: str


def fasteners(kind: str) -> tuple[Fastener, ...]:
    """Return the shelf's fasteners of a kind: blind rivet, rivet nut or bolt."""
    rows: tuple[Fastener, ...] = table("fasteners.csv", Fastener)
    return tuple(row for row in rows if row.kind == kind)


def choose_rivet(sheets: Sequence[float]) -> Fastener | None:
    """Return the blind rivet for a stack of sheets.

    Parameters
    ----------
    sheets : sequence of float
        Thickness of each, [m]

    Returns
    -------
    Fastener or None
        Of those whose grip range holds the sum, the one nearest three times the thickest sheet; None where none
        does.

    Notes
    -----
    Limits: aluminium rivets on hand.
    Accuracy: a grip between two ranges goes to the longer rivet.

    References
    ----------
    Grips as in the table; three times the sheet is common practice.
    """
    grip, wanted = sum(sheets), _PER_SHEET * max(sheets)
    rows = fasteners("blind rivet")
    # Ranges end a thousandth before the next begins: what falls between takes the longer.
    fits = [
        row for row in rows if row.grip_most is not None and row.grip_least is not None
        and row.grip_least - 2.6e-5 <= grip <= row.grip_most * (1.0 + 1e-9)
    ]  # fmt: skip
    return min(fits, key=lambda row: (abs(row.diameter - wanted), row.diameter), default=None)


def by_hole(kind: str, hole: float) -> Fastener | None:
    """Return the largest bolt or rivet nut a drilled hole takes; None where the hole is no size for any.

    Parameters
    ----------
    kind : str
        ``bolt`` or ``rivet nut``, [text]
    hole : float
        Diameter, [m]

    Returns
    -------
    Fastener or None
    """
    fits = [row for row in fasteners(kind) if row.hole_least - _SAME <= hole]
    if kind == "rivet nut":
        fits = [row for row in fits if hole <= row.hole_most + _SAME]
    return max(fits, key=lambda row: row.diameter, default=None)


def torque_of(kind: str, size: str) -> float | None:
    """How tight a bolt or rivet nut through thin aluminium is done up, dry.

    Parameters
    ----------
    kind : str
        bolt or rivet nut, [text]
    size : str
        Such as 10-32 or M5, [text]

    Returns
    -------
    torque : float or None
        None for what is not in the table, [N*m]

    Notes
    -----
    Limits: nothing soft under the head; over rubber only until it bulges. Accuracy: 20 %; the maker's figure first.

    References
    ----------
    Bolts: machine makers' tables of class 8.8 into lock nuts, of grade 5 times 65 % for lock nuts and of 18-8 stainless
    screws, read; they lie within a fastener seller's table for A2-70, read. Rivet nuts from memory.
    """
    return next((row.torque for row in table("torques.csv", Torque) if (row.kind, row.size) == (kind, size)), None)


def choose_seal(kind: str, sheet: float = 0.0) -> Seal | None:
    """Return the first strip of a kind that grips a sheet.

    Parameters
    ----------
    kind : str
        foam strip, bulb seal, edge trim, isolating strip or flap rubber, [text]
    sheet : float
        Thickness, 0 where it grips none, [m]

    Returns
    -------
    Seal or None
    """
    rows: tuple[Seal, ...] = table("seals.csv", Seal)
    for row in rows:
        grips = row.sheet_least is None or row.sheet_most is None or row.sheet_least <= sheet <= row.sheet_most
        if row.kind == kind and grips:
            return row
    return None


def choose_grommet(hole: float, sheet: float) -> Grommet | None:
    """Return the grommet for a hole and a sheet; None where the shelf has none.

    Parameters
    ----------
    hole, sheet : float
        Diameter and thickness, [m]

    Returns
    -------
    Grommet or None
        The largest that goes into the hole and is not over 1/16 in smaller.
    """
    rows: tuple[Grommet, ...] = table("grommets.csv", Grommet)
    fits = [
        row for row in rows
        if row.hole - _SAME <= hole <= row.hole + 0.0016 and row.sheet_least <= sheet <= row.sheet_most
    ]  # fmt: skip
    return max(fits, key=lambda row: row.hole, default=None)


class Row(NamedTuple):
    """An evenly spaced row of rivets."""

    rivets: int
    pitch: float
    """[m]"""


@offer
def row_of(length: float, diameter: float, thickness: float) -> Row:
    """Rivets in a row and their pitch.

    As few as keep the pitch at 6 D or 24 t, whichever is less, the first and last two diameters from the ends; never
    closer than 3 D

    Parameters
    ----------
    length : float
        Of the lap, end to end, [m]
    diameter : float
        Of the rivet, D, [m]
    thickness : float
        Of the thinner sheet, t, [m]

    Returns
    -------
    rivets : float
        [-]
    pitch : float
        0 for a single rivet, [m]

    Notes
    -----
    Limits: one row; a lap shorter than 7 D takes a single rivet.
    Accuracy: exact.

    References
    ----------
    Pitch 3 D and edge 2 D, FAA AC 43.13-1B, second hand; 6 D and 24 t common practice, no source.
    """
    between = length - 2.0 * LEAST_EDGE * diameter
    if between < LEAST_PITCH * diameter:
        return Row(1, 0.0)
    most = max(min(_GOOD_PITCH * diameter, _THIN_PITCH * thickness), LEAST_PITCH * diameter)
    spaces = min(max(math.ceil(between / most - 1e-9), 1), math.floor(between / (LEAST_PITCH * diameter) + 1e-9))
    return Row(spaces + 1, between / spaces)


def rivet_findings(
    rivet: Fastener, sheets: Sequence[float], pitch: float, edge: float, place: str
) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """Say what is wrong with a row of rivets.

    Parameters
    ----------
    rivet : Fastener
        A blind rivet.
    sheets : sequence of float
        What it joins, [m]
    pitch, edge : float
        From one to the next (0 for a single one), and from a centre to the sheet's edge, [m]
    place : str
        Which row, [text]

    Returns
    -------
    findings, stops : tuple of Finding
        S08, [m]; only a pitch over 8 D is no stop.

    Notes
    -----
    Limits: one row.
    Accuracy: exact.

    References
    ----------
    FAA AC 43.13-1B, second hand; the most is common practice.
    """
    d, grip = rivet.diameter, sum(sheets)
    stops = []
    if pitch and pitch < LEAST_PITCH * d * _NEARLY:
        stops.append(Finding("S08", pitch, LEAST_PITCH * d, f"{place}, pitch"))
    if edge < LEAST_EDGE * d * _NEARLY:
        stops.append(Finding("S08", edge, LEAST_EDGE * d, f"{place}, edge"))
    if rivet.grip_least is not None and grip < rivet.grip_least * _NEARLY:
        stops.append(Finding("S08", grip, rivet.grip_least, f"{place}, grip"))
    if rivet.grip_most is not None and grip * _NEARLY > rivet.grip_most:
        stops.append(Finding("S08", grip, rivet.grip_most, f"{place}, grip"))
    wide = (Finding("S08", pitch, MOST_PITCH * d, f"{place}, pitch"),) if pitch * _NEARLY > MOST_PITCH * d else ()
    return (*stops, *wide), tuple(stops)


def couple(one: str, other: str) -> Couple | None:
    """Return what two metals in touch need between them.

    Parameters
    ----------
    one, other : str
        aluminium, bare steel, zinc-plated steel, stainless fastener, copper or brass, [text]

    Returns
    -------
    Couple or None
        None for a pair that is not kept.
    """
    rows: tuple[Couple, ...] = table("couples.csv", Couple)
    return next((row for row in rows if {row.one, row.other} == {one, other}), None)


def couple_findings(one: str, other: str, is_isolated: bool) -> tuple[Finding, ...]:
    """Return M05, a stop, where two metals touch that must not."""
    found = couple(one, other)
    if found is None or found.verdict == "fine" or is_isolated:
        return ()
    return (Finding("M05", 0.0, 1.0, f"{one} on {other}: it needs {found.isolator}"),)


def strip_weight(seal: Seal, length: float, width: float = 0.0) -> float:
    """Return the weight of a length of seal or trim, of another width where one is given, [kg]."""
    return seal.thickness * (width or seal.width) * seal.solid_share * seal.density * length
