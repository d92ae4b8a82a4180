"""What is wrong with a blank, and where its grommet goes.

Fan            a fan's seat on the face
look_over      findings of bends, openings and holes of a blank
look_over_plate   and of a plate that closes it
grommet_spot   the spot low on the face with most room
inside_marks   which fans sit in the room behind the core
"""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from shroudwright.bench.arcs import Box, Circle, Outline, box, contains, distance
from shroudwright.metal.bend import smallest_radius
from shroudwright.metal.flat import EtchText, Finding, Flat, Opening
from shroudwright.metal.opening_rules import Look, Seat, opening_findings
from shroudwright.metal.rows import GOOD_END
from shroudwright.metal.section import largest_roll
from shroudwright.metal.walls import Section

_GROMMET_SPOTS = 64
_NEARLY = 1.0 - 1e-9
"""A limit met is not a limit missed, [-]"""

Spot = tuple[float, float, float, str]
"""A hole to drill: x, y, diameter [m] and what for"""


class Fan(NamedTuple):
    """A fan's seat on the face: centre, blade and frame (0 unknown), mounting holes (x, y, d) about its centre."""

    code: str
    x: float
    y: float
    blade: float
    frame: float = 0.0
    holes: tuple[tuple[float, float, float], ...] = ()
    is_inside: bool = False
    """whether it sits in the room behind the core, its motor toward the fins"""


def circles_of(openings: Sequence[Opening]) -> list[Circle]:
    """Return the openings that are round."""
    return [opening.shape for opening in openings if isinstance(opening.shape, Circle)]


def inside_marks(fans: Sequence[Fan], openings: Sequence[Opening], height: float) -> tuple[EtchText, ...]:
    """Return a mark over the opening of each fan that sits inside, its motor toward the core."""
    return tuple(
        EtchText(f"{fan.code}: FAN INSIDE", opening.box.x1, opening.box.y2 + height, height, 0.0)
        for fan, opening in zip(fans, openings, strict=True)
        if fan.is_inside
    )


def grommet_spot(
    finished: Outline,
    face: Box,
    thickness: float,
    diameter: float,
    openings: Sequence[Opening],
    holes: Sequence[Spot],
) -> Spot:
    """Return the spot low on the face with most room for the wires' hole.

    Parameters
    ----------
    finished : tuple of Vertex
        Outline of the flat, [m]
    face : Box
        What lies flat between the bends, [m]
    thickness, diameter : float
        Of the sheet, of the hole, [m]
    openings : sequence of Opening
        Taken already, [m]
    holes : sequence of (float, float, float, str)
        Taken already, [m]

    Returns
    -------
    tuple
        x, y, diameter [m] and its purpose
    """
    y = face.y1 + 3.0 * thickness + 0.5 * diameter
    taken = [*circles_of(openings), *(Circle(hole_x, hole_y, 0.5 * size) for hole_x, hole_y, size, _ in holes)]

    def room(x: float) -> float:
        least = min((math.hypot(x - item.x, y - item.y) - item.radius for item in taken), default=math.inf)
        return min(least, distance(finished, x, y)) if contains(finished, x, y) else -math.inf

    end, around = GOOD_END * diameter, box(finished)
    first, last = max(around.x1, face.x1) + end, min(around.x2, face.x2) - end
    spots = [first + (last - first) * index / _GROMMET_SPOTS for index in range(_GROMMET_SPOTS + 1)]
    return max(spots, key=room), y, diameter, "grommet"


def look_over(
    blank: Flat, face: Box, fans: Sequence[Fan], sections: Sequence[Section], metal: str, trim: float = 0.0
) -> Look:
    """Say what is wrong with a main blank.

    Parameters
    ----------
    blank : Flat
        The main blank.
    face : Box
        What lies flat between the bends, [m]
    fans : sequence of Fan
        In the order of the openings.
    sections : sequence of Section
        Across its bends.
    metal : str
        As `rolled_shroud`, [text]
    trim : float
        Left long at its left and right ends, [m]

    Returns
    -------
    findings : tuple of Finding
        Bends B01, B03 to B06, and those of `opening_findings`. Lengths in m, O08 in holes.
    stops : tuple of Finding
        Those of them after which nothing should be cut.

    Notes
    -----
    Limits: round openings, one to a fan.
    Accuracy: exact.

    References
    ----------
    Common practice; see `opening_findings`.
    """
    found = [*_fan_findings(blank, face, fans)]
    for shape in sections:
        found += (one for one in _bend_findings(shape, metal) if one not in found)
    seats = [
        Seat(fan.code, *opening.middle, fan.blade, frame=fan.frame, holes=fan.holes)
        for fan, opening in zip(fans, blank.openings, strict=True)
    ]
    return _look(found, opening_findings(blank, seats=seats, trim=trim))


def look_over_plate(flat: Flat) -> Look:
    """Say what is wrong with a plate that closes a shroud.

    Parameters
    ----------
    flat : Flat
        Its edge on the core, or its foot's, at the bottom.

    Returns
    -------
    findings : tuple of Finding
        Its foot too short (B06) and those of `opening_findings`, the plate named; lengths in m.
    stops : tuple of Finding
        Those of them after which nothing should be cut.

    Notes
    -----
    Limits and accuracy: as `look_over`.
    """
    foot, least = min((bend.y1 - 0.5 * bend.allowance for bend in flat.bends), default=math.inf), 4.0 * flat.thickness
    short = [(True, Finding("B06", foot, least, "foot"))] if foot < least * _NEARLY else []
    look = _look(short, opening_findings(flat))
    return Look(*(tuple(one._replace(place=f"{flat.name}: {one.place}") for one in found) for found in look))


def _look(bent: Sequence[tuple[bool, Finding]], cut: Look) -> Look:
    return Look(
        findings=(*(finding for _, finding in bent), *cut.findings),
        stops=(*(finding for is_stop, finding in bent if is_stop), *cut.stops),
    )


def _bend_findings(shape: Section, metal: str) -> Iterator[tuple[bool, Finding]]:
    t = shape.thickness
    least = smallest_radius(metal, t)
    for radius, place in ((shape.flange_radius, "flange bends"), (shape.roll_radius, "rolls")):
        if radius < least * _NEARLY:
            yield True, Finding("B01", radius, least, place)
    if min(shape.low.angle, shape.high.angle) < 0.5 * math.pi * _NEARLY:
        most = largest_roll(min(shape.depth, shape.depth_high), shape.flange_radius, t)
        yield False, Finding("B03", shape.roll_radius, most, "rolls")
    if 0.0 < shape.wall < 2.0 * t * _NEARLY:
        yield False, Finding("B04", shape.wall, 2.0 * t, "walls")
    flanges = [side.flange for side in (shape.low, shape.high) if side.flange_turn]
    if flanges and min(flanges) < 4.0 * t * _NEARLY:
        yield True, Finding("B06", min(flanges), 4.0 * t, "flanges")


def _fan_findings(blank: Flat, face: Box, fans: Sequence[Fan]) -> Iterator[tuple[bool, Finding]]:
    t = blank.thickness
    for fan, opening in zip(fans, circles_of(blank.openings), strict=True):
        room = 2.0 * min(opening.y - face.y1, face.y2 - opening.y, opening.x - face.x1, face.x2 - opening.x)
        need = max(fan.frame, 2.0 * opening.radius + 4.0 * t)
        if room < need * _NEARLY:
            yield True, Finding("B05", room, need, fan.code)
