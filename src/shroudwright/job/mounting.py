"""The brackets of a job: shaped, loaded with their share of the pack, and what is wrong with them.

Mounted      one bracket, what it carries and what it makes of it
Mounting     all of them
mounting_of  job with its blanks filled -> Mounting
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.job.filled import Filled
from shroudwright.job.mounts import ENDS
from shroudwright.job.quantity import Reading
from shroudwright.metal.bend import smallest_radius
from shroudwright.metal.brackets import Bracket, Spot, Strength, bracket, least_sheet, strength
from shroudwright.metal.sheet import find_sheet

GRAVITY = 9.80665
SIDEWAYS = 1.5
"""Weights a bump makes of one fore and aft, and to the side: common practice, no source, [-]"""
HEAVIEST_ON_TIES = 3.0 * 0.45359237
"""Fan weight past which ties through the core saw the fins: common practice, no source, [kg]"""
_INCH = 0.0254
_SIZES = tuple(size * _INCH for size in (0.063, 0.080, 0.090, 0.125, 0.1875, 0.25, 0.3125, 0.375))
_SPOT = ("x", "y", "z")


class Mounted(NamedTuple):
    """One bracket under its share of the pack."""

    bracket: Bracket
    carries_weight: bool
    share: float
    """of the pack's weight, 0 where it only keeps the place, [-]"""
    held: Strength
    cure: float | None
    """thinnest sheet that would hold, none where even the thickest would not; the sheet itself where it holds, [m]"""


@dataclass(frozen=True)
class Mounting:
    """How the pack hangs."""

    brackets: tuple[Mounted, ...]
    weight: float
    """[kg]"""
    load_factor: float
    findings: tuple[tuple[str, float, float, str], ...]
    """code, measured, limit, place; stress in Pa, weight in kg, brackets in pieces"""


def mounting_of(filled: Filled) -> Mounting | None:
    """Shape every bracket of a job and load it.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Mounting or None
        None where the job has no bracket.

    Raises
    ------
    InputError
        Where a bracket's ends are not typed, or no strap joins them, all faults together.
    """
    rows = filled.job.brackets
    if not rows:
        return None
    weight, factor = filled.median("mount.weight"), filled.median("mount.load_factor")
    faults: list[str] = []
    shaped: list[tuple[int, Bracket]] = []
    for index in range(len(rows)):
        try:
            shaped.append((index, _shaped(filled, index)))
        except InputError as error:
            faults += [f"brackets.{index}: {fault}" for fault in error.faults]
    if faults:
        raise InputError(faults)
    carriers = [filled.word(f"brackets.{index}.carries") == "weight" for index in range(len(rows))]
    mounted = tuple(_loaded(filled, index, item, weight * GRAVITY, factor, carriers) for index, item in shaped)
    return Mounting(mounted, weight, factor, tuple(_findings(filled, mounted)))


def _shaped(filled: Filled, index: int, thickness: float | None = None) -> Bracket:
    row = filled.job.brackets[index]
    places: dict[str, Reading | None] = {name: getattr(row, name) for name in ENDS}
    missing = [name for name, typed in places.items() if typed is None]
    missing += [name for name in ("faces", "core_faces") if getattr(row, name) is None]
    if missing:
        raise InputError([f"{', '.join(missing)}: tape where the two holes are and say which way each surface faces"])

    def one(name: str) -> float:
        return filled.median(f"brackets.{index}.{name}")

    def at(start: str, faces: str, hole: str) -> Spot:
        x, y, z = (reading.value for axis in _SPOT if (reading := places[start + axis]))
        return Spot(x, y, z, faces, one(hole))  # type: ignore[arg-type]

    metal, sheet = str(filled.word(f"brackets.{index}.metal")), thickness or one("thickness")
    return bracket(
        row.name or f"bracket {index + 1}",
        at("", str(row.faces), "hole"),
        at("core_", str(row.core_faces), "core_hole"),
        width=one("width"),
        thickness=sheet,
        radius=max(smallest_radius(metal, min(sheet, 0.25 * _INCH)), 0.5 * sheet),
        metal=metal,
        gusset=one("gusset"),
    )


def _loaded(
    filled: Filled, index: int, item: Bracket, weight: float, factor: float, carriers: Sequence[bool]
) -> Mounted:
    """Two carry all the weight; every bracket takes its share of what pushes sideways and fore and aft."""
    carries = carriers[index]
    share = 1.0 / sum(carriers) if carries else 0.0
    sideways = SIDEWAYS * weight / len(carriers)
    loads = [(sideways, 0.0, 0.0), (0.0, 0.0, sideways)] + ([(0.0, -factor * share * weight, 0.0)] if carries else [])
    sheet = find_sheet(item.metal)

    def held(made: Bracket) -> Strength:
        return strength(
            made,
            loads,
            yield_strength=sheet.yield_strength,
            annealed_yield=sheet.annealed_yield,
            elasticity=sheet.elasticity,
            is_welded=filled.word(f"brackets.{index}.at_frame") == "welded",
        )

    def use(thickness: float) -> float:
        try:
            return held(_shaped(filled, index, thickness)).use
        except InputError:
            return math.inf

    now = held(item)
    thicker = [size for size in _SIZES if size > item.thickness]
    cure = item.thickness if now.use <= 1.0 else least_sheet(thicker, use)
    return Mounted(item, carries, share, now, cure)


def _findings(filled: Filled, mounted: Sequence[Mounted]) -> list[tuple[str, float, float, str]]:
    found = [
        ("S06", item.held.stress, item.held.allowable, f"{item.bracket.flat.name}, {item.held.place}")
        for item in mounted
        if item.held.use > 1.0
    ]
    hard = sum(not filled.word(f"brackets.{index}.rubber") for index in range(len(mounted)))
    if hard >= 4:
        found.append(("S09", float(hard), 3.0, "brackets"))
    if filled.word("mount.fans_hang_on") == "core":
        heavy = [(fan.weight.value, fan.code) for fan in filled.job.fans if fan.weight]
        found += [("S10", weight, HEAVIEST_ON_TIES, code) for weight, code in heavy if weight > HEAVIEST_ON_TIES]
    return found
