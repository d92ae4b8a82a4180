"""How the bends of a shroud's flats are made: order, former, hits; and which of them cannot be.

Tools           what the shop bends with, and the neutral lines it has found
Step            one bend as it is made
Bending         every bend of every flat, and what is wrong with them
bending_of      flats -> Bending
grain_findings  tight bends along a sheet's grain: B02
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.metal.bend import Neutral, bend_allowance, is_large, smallest_radius
from shroudwright.metal.bend_order import Made
from shroudwright.metal.clip import middle_area
from shroudwright.metal.flat import BendLine, Finding, Flat
from shroudwright.metal.flat_order import Ordered, Way, order_of, way_of
from shroudwright.metal.fold import folded
from shroudwright.metal.forming import (
    LEAST_K,
    MOST_K,
    MOST_SPRING,
    bump_facet,
    bump_hits,
    former_angle,
    former_radius,
)
from shroudwright.metal.nest import Nest, radius_free_of_grain
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.walls import Section
from shroudwright.metal.welds import Told

_INCH = 0.0254
_MOST_OVER = math.radians(110.0) / math.radians(90.0)
"""Bend round the former over the bend wanted, from which the result is a lottery: common practice, [-]"""
_MOST_FACET = 0.010 * _INCH
"""Facet that shows through paint: common practice, [m]"""
_GOOD_FACET = 0.003 * _INCH
"""Facet aimed at where nobody says how many hits: common practice, [m]"""
_LEAST_ROLL_K = 0.45
_SAME_VOLUME = 1e-6
_NEARLY = 1.0 - 1e-9
_SIDES = {"level": ("bottom", "top"), "upright": ("left", "right")}


class Tools(NamedTuple):
    """What the shop bends with; 0 where nobody says, [m]."""

    brake_length: float = 0.0
    brake_thickness: float = 0.0
    hits: float = 0.0
    """on the brake that make a large roll; 0 where it is rolled over a former, [-]"""
    found: Neutral = Neutral()
    """neutral lines as typed or from a test bend, possible or not"""
    is_tested: bool = False
    """whether that of tight bends is from a test bend"""


class Step(NamedTuple):
    """One bend as it is made."""

    flat: str
    bend: BendLine
    number: int
    """in the order of making, from 1"""
    side_in: str
    """edge of the flat that lies toward the beam; none for a roll over a former"""
    is_turned_over: bool
    """whether the outer face lies down"""
    former: float
    """inside radius of the former, [m]"""
    former_angle: float
    """bent round it, [rad]"""
    hits: int = 0
    """that make a roll on a brake; 0 for a tight bend, [-]"""
    pitch: float = 0.0
    """from one hit to the next on the flat, [m]"""
    facet: float = 0.0
    """[m]"""
    is_by_hits: bool = False
    """whether the shop makes it so; else the hits are for who has no former"""


@dataclass(frozen=True)
class Bending:
    """How the bends are made."""

    steps: tuple[Step, ...]
    neutral: tuple[float, float]
    """K of tight bends and of rolls as laid out, [-]"""
    source: Literal["table", "typed", "test bend"]
    """of the first"""
    trapped: tuple[str, ...]
    """flats for which no order clears a leaf brake"""
    told: tuple[Told, ...]


def bending_of(
    flats: Sequence[Flat], section: Section | None, metal: str, used: Neutral, tools: Tools | None = None
) -> Bending:
    """Say how every bend of a shroud is made.

    Parameters
    ----------
    flats : sequence of Flat
        Main blank first.
    section : Section or None
        Across its bends; None without one.
    metal : str
        As `find_sheet`, [text]
    used : Neutral
        Neutral lines the flats were laid out with.
    tools : Tools, optional
        What the shop bends with.

    Returns
    -------
    Bending
        Steps in the order of making; findings B07 to B11, B14 to B16, each with its level. Lengths in m, angles in
        rad; B07 is a K, B14 counts hits.

    Notes
    -----
    Limits: a flat's order is that across the line with most bends; other bends of the kind are made with it.
    Accuracy: as `former_radius` and `bend_order`.

    References
    ----------
    As `former_radius`; limits of facets and overbend, and the brake: common practice, no source.
    """
    tools = tools or Tools()
    told = [*_of_neutral(tools, section), *_of_springback(flats, metal)]
    steps, trapped = [], []
    for flat in flats:
        order = order_of(flat)
        if order is None:
            trapped.append(flat.name)
            # An order to try with fingers or by hand: as they lie.
            order = [Ordered(bend, Made(0, "none", bend.direction == "down"), "level") for bend in flat.bends]
        steps += [_step(flat, at, one, metal, tools) for at, one in enumerate(order, start=1)]
        told += _of_brake(flat, tools)
        told += _of_volume(flat)
        if tools.hits:
            told += _of_hits(flat, tools.hits)
    if trapped and section:
        leg = max(section.low.flange, section.high.flange)
        told += [
            Told(Finding("B16", section.width, 2.0 * (max(section.depth, section.depth_high) + leg), name), "watch")
            for name in trapped
        ]
    tight, roll = (used.at(radius, 1.0, metal) for radius in (0.0, math.inf))
    source: Literal["table", "typed", "test bend"] = (
        "table" if used.tight is None else "test bend" if tools.is_tested else "typed"
    )
    return Bending(tuple(steps), (tight, roll), source, tuple(trapped), tuple(dict.fromkeys(told)))


def _step(flat: Flat, number: int, ordered: Ordered, metal: str, tools: Tools) -> Step:
    bend, made, way = ordered
    sheet, t = find_sheet(metal), flat.thickness
    former = former_radius(bend.radius, t, sheet.yield_strength, sheet.elasticity) if bend.radius else 0.0
    turned = former_angle(bend.angle, bend.radius, former) if former else bend.angle
    side = "none" if made.side_in == "none" else _SIDES[way][made.side_in == "high"]
    step = Step(flat.name, bend, number, side, made.is_turned_over, former, turned)
    if not is_large(bend.radius, t):
        return step
    hits = tools.hits or bump_hits(bend.radius, bend.angle, _GOOD_FACET)
    return step._replace(
        hits=round(hits),
        pitch=bend.allowance / hits,
        facet=bump_facet(bend.radius, bend.angle, hits),
        is_by_hits=bool(tools.hits),
    )


def _of_neutral(tools: Tools, section: Section | None) -> Iterator[Told]:
    for k, place in ((tools.found.tight, "tight bends"), (tools.found.roll, "rolls")):
        if k is not None and not LEAST_K <= k <= MOST_K:
            yield Told(Finding("B07", k, LEAST_K if k < LEAST_K else MOST_K, place), "stop")
    roll = tools.found.roll
    if section and roll is not None and LEAST_K <= roll < _LEAST_ROLL_K:
        r, t = section.roll_radius, section.thickness
        if is_large(r, t):
            short, right = (bend_allowance(section.angle, r, t, k) for k in (roll, 0.5))
            yield Told(Finding("B08", short, right, "rolls"), "watch")


def _of_springback(flats: Sequence[Flat], metal: str) -> Iterator[Told]:
    sheet = find_sheet(metal)
    for flat in flats:
        flexes = MOST_SPRING * sheet.elasticity * flat.thickness / sheet.yield_strength
        for bend in flat.bends:
            if not bend.radius:
                continue
            place = f"{flat.name}, B{bend.number}"
            former = former_radius(bend.radius, flat.thickness, sheet.yield_strength, sheet.elasticity)
            turned, most = former_angle(bend.angle, bend.radius, former), _MOST_OVER * bend.angle
            if bend.radius >= flexes:
                yield Told(Finding("B10", bend.radius, flexes, place), "stop")
            elif turned * _NEARLY > most:
                yield Told(Finding("B09", turned, most, place), "watch")


def _of_brake(flat: Flat, tools: Tools) -> Iterator[Told]:
    braked = [bend for bend in flat.bends if tools.hits or not is_large(bend.radius, flat.thickness)]
    if not braked:
        return
    longest = max(braked, key=lambda bend: math.hypot(bend.x2 - bend.x1, bend.y2 - bend.y1))
    run = math.hypot(longest.x2 - longest.x1, longest.y2 - longest.y1)
    if tools.brake_length and run * _NEARLY > tools.brake_length:
        yield Told(Finding("B11", run, tools.brake_length, f"{flat.name}, B{longest.number}"), "stop")
    if tools.brake_thickness and flat.thickness * _NEARLY > tools.brake_thickness:
        yield Told(Finding("B11", flat.thickness, tools.brake_thickness, f"{flat.name}, thickness"), "stop")


def _of_hits(flat: Flat, hits: float) -> Iterator[Told]:
    for bend in flat.bends:
        if is_large(bend.radius, flat.thickness) and bump_facet(bend.radius, bend.angle, hits) > _MOST_FACET:
            least = bump_hits(bend.radius, bend.angle, _MOST_FACET)
            yield Told(Finding("B14", hits, least, f"{flat.name}, B{bend.number}"), "note")


def _of_volume(flat: Flat) -> Iterator[Told]:
    """Two ways to the metal in a folded flat: the middle surface strip by strip, and the solid joint by joint."""
    try:
        solid = folded(flat).volume
    except InputError:
        return  # bends that cross: no solid is drawn either
    if volume := volume_finding(flat, solid):
        yield Told(volume, "stop")


def volume_finding(flat: Flat, solid: float) -> Finding | None:
    """Say where a flat and its folded solid disagree.

    Parameters
    ----------
    flat : Flat
    solid : float
        Metal in the solid, [m**3]

    Returns
    -------
    Finding or None
        B15 where they differ by over a millionth: solid over flat, and 1, [-]
    """
    share = solid / (middle_area(flat) * flat.thickness)
    return Finding("B15", share, 1.0, flat.name) if abs(share - 1.0) > _SAME_VOLUME else None


def grain_findings(laid: Nest, flats: Sequence[Flat], metal: str) -> tuple[Told, ...]:
    """Say which tight bends run along the grain.

    Parameters
    ----------
    laid : Nest
        As bought.
    flats : sequence of Flat
        The parts on it, by their names.
    metal : str
        As `find_sheet`, [text]

    Returns
    -------
    tuple of Told
        B02, a watch: of each part the tightest such bend, its radius and the least free of grain, [m]. A part wholly
        against the grain is D10's.

    References
    ----------
    Common practice, no source.
    """
    found = []
    lying = {spot.part.name: spot for sheet in laid.sheets for spot in sheet if not spot.is_against}
    for flat in flats:
        if flat.name not in lying:
            continue
        # The grain runs up the sheet.
        along: Way = "level" if lying[flat.name].is_turned else "upright"
        free, least = radius_free_of_grain(metal, flat.thickness), smallest_radius(metal, flat.thickness)
        near = [bend for bend in flat.bends if way_of(bend) == along and least <= bend.radius < free * _NEARLY]
        if near:
            worst = min(near, key=lambda bend: bend.radius)
            found.append(Told(Finding("B02", worst.radius, free, f"{flat.name}, B{worst.number}"), "watch"))
    return tuple(found)
