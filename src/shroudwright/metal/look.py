"""What is wrong with a blank, and where its grommet goes.

Fan            a fan's seat on the face
look_over      findings of bends, openings and holes of a blank
look_over_plate   and of a plate that closes it
grommet_spot   the spot low on the face with most room
inside_marks   which fans sit in the room behind the core
"""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

from shroudwright.bench.arcs import Box, Circle, Outline, box, contains, distance
from shroudwright.metal.bend import smallest_radius
from shroudwright.metal.flat import BendLine, EtchText, Finding, Flat, Opening
from shroudwright.metal.rows import GOOD_END, LEAST_END
from shroudwright.metal.section import largest_roll
from shroudwright.metal.walls import Section

_WEB = 0.75 * 0.0254
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


class Look(NamedTuple):
    """What is wrong, and which of it forbids cutting."""

    findings: tuple[Finding, ...]
    stops: tuple[Finding, ...]


def look_over(
    blank: Flat, finished: Outline, face: Box, fans: Sequence[Fan], sections: Sequence[Section], metal: str
) -> Look:
    """Say what is wrong with a main blank.

    Parameters
    ----------
    blank : Flat
        The main blank.
    finished : tuple of Vertex
        Its outline once trimmed, [m]
    face : Box
        What lies flat between the bends, [m]
    fans : sequence of Fan
        In the order of the openings.
    sections : sequence of Section
        Across its bends.
    metal : str
        As `rolled_shroud`, [text]

    Returns
    -------
    findings : tuple of Finding
        Bends B01, B03 to B06 and openings O01 to O05, O08; of like holes only the worst. Lengths in m,
        O08 in holes.
    stops : tuple of Finding
        Those of them after which nothing should be cut.

    Notes
    -----
    Limits: O05 leaves the swept ring aside, for an opening is never smaller than the blades here.
    Accuracy: exact for straights and circles.

    References
    ----------
    Distances to bends, edges and webs: common practice; end distance EN 1993-1-8, Table 3.3, read in a
    public copy.
    """
    found = [*_fan_findings(blank, face, fans)]
    for shape in sections:
        found += (one for one in _bend_findings(shape, metal) if one not in found)
    return _look([*found, *_worst(blank, finished)])


def look_over_plate(flat: Flat) -> Look:
    """Say what is wrong with a plate that closes a shroud.

    Parameters
    ----------
    flat : Flat
        Its edge on the core, or its foot's, at the bottom.

    Returns
    -------
    findings : tuple of Finding
        Its foot too short (B06) and of like holes the worst, O01 to O04, the plate named; lengths in m.
    stops : tuple of Finding
        Those of them after which nothing should be cut.

    Notes
    -----
    Limits and accuracy: as `look_over`.
    """
    found = _worst(flat, flat.outline)
    foot, least = min((bend.y1 - 0.5 * bend.allowance for bend in flat.bends), default=math.inf), 4.0 * flat.thickness
    if foot < least * _NEARLY:
        found.insert(0, (True, Finding("B06", foot, least, "foot")))
    return _look([(is_stop, one._replace(place=f"{flat.name}: {one.place}")) for is_stop, one in found])


def _look(found: Sequence[tuple[bool, Finding]]) -> Look:
    return Look(
        findings=tuple(finding for _, finding in found),
        stops=tuple(finding for is_stop, finding in found if is_stop),
    )


def _worst(flat: Flat, finished: Outline) -> list[tuple[bool, Finding]]:
    """Of like holes' findings the gravest."""
    worst: dict[tuple[str, str], tuple[bool, Finding]] = {}
    for kind, is_stop, finding in _hole_findings(flat, finished):
        key = finding.code, kind
        if key not in worst or _gravity(is_stop, finding) > _gravity(*worst[key]):
            worst[key] = is_stop, finding
    return list(worst.values())


def _gravity(is_stop: bool, finding: Finding) -> tuple[bool, float]:
    """Rank a finding; to the micrometre, so that of equals the first is named."""
    return is_stop, round(finding.limit - finding.measured, 6)


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
        if fan.frame and 2.0 * opening.radius * _NEARLY > fan.frame:
            yield True, Finding("O05", 2.0 * opening.radius, fan.frame, fan.code)
        if not fan.holes:
            yield False, Finding("O08", 0.0, 1.0, fan.code)
    for (one, first), (other, second) in combinations(zip(fans, circles_of(blank.openings), strict=True), 2):
        web = math.hypot(first.x - second.x, first.y - second.y) - first.radius - second.radius
        if web < _WEB * _NEARLY:
            is_stop = web < 2.0 * t * _NEARLY
            yield is_stop, Finding("O04", web, 2.0 * t if is_stop else _WEB, f"{one.code} and {other.code}")


def _to_bend(bend: BendLine, x: float, y: float) -> float:
    """Distance from a place to the tangent of a bend beside it, negative within it."""
    long = math.hypot(bend.x2 - bend.x1, bend.y2 - bend.y1)
    away = abs((bend.x2 - bend.x1) * (y - bend.y1) - (bend.y2 - bend.y1) * (x - bend.x1)) / long
    along = ((bend.x2 - bend.x1) * (x - bend.x1) + (bend.y2 - bend.y1) * (y - bend.y1)) / long
    past = max(-along, along - long, 0.0)
    return math.hypot(past, max(away - 0.5 * bend.allowance, 0.0)) if past else away - 0.5 * bend.allowance


def _inside(outline: Outline, x: float, y: float) -> float:
    """Distance to an outline, negative outside it."""
    apart = distance(outline, x, y)
    return apart if contains(outline, x, y) else -apart


def _hole_findings(blank: Flat, finished: Outline) -> Iterator[tuple[str, bool, Finding]]:
    """Findings of single holes and openings: the kind of hole, whether it stops the cutting, the finding."""
    t = blank.thickness
    for index, hole in enumerate(blank.holes):
        d, place = hole.diameter, f"hole {hole.number}, {hole.purpose}"
        to_bend = min((_to_bend(bend, hole.x, hole.y) for bend in blank.bends), default=math.inf) - 0.5 * d
        to_edge = _inside(finished, hole.x, hole.y)
        others = [Circle(item.x, item.y, 0.5 * item.diameter) for item in blank.holes[:index]]
        webs = [
            math.hypot(hole.x - c.x, hole.y - c.y) - c.radius - 0.5 * d for c in (*circles_of(blank.openings), *others)
        ]
        for code, measured, limit, is_stop in (
            ("O02", to_bend, 0.0, True),
            ("O01", to_bend, t, True),
            ("O01", to_bend, 2.0 * t, False),
            ("O03", to_edge, LEAST_END * d, True),
            ("O03", to_edge - 0.5 * d, 2.0 * t, True),
            ("O03", to_edge, GOOD_END * d, False),
            ("O04", min(webs, default=math.inf), 2.0 * t, True),
        ):
            if measured < limit * _NEARLY and not (code == "O01" and to_bend < 0.0):
                yield hole.purpose, is_stop, Finding(code, measured, limit, place)
    for number, opening in enumerate(circles_of(blank.openings), start=1):
        to_edge = _inside(finished, opening.x, opening.y) - opening.radius
        if to_edge < 2.0 * t * _NEARLY:
            yield f"opening {number}", True, Finding("O03", to_edge, 2.0 * t, f"opening {number}")
