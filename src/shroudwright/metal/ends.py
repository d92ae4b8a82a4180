"""Plates that stand on the core and close a shroud: side pieces, the sides of a notch, a divider.

Foot       a flange bent from a plate's straight edge
Cut        a piece let out of that edge, round a hose neck
plate      from a plate's outline to its flat
turned     an outline turned and set with its lower left at the origin
same_cut   whether two flats are one part cut twice
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from shroudwright.bench.arcs import Outline, Vertex, box, bulge_of, moved
from shroudwright.metal.bend import bend_allowance, bend_deduction
from shroudwright.metal.clip import clipped
from shroudwright.metal.flat import BendLine, EtchText, Flat, Hole
from shroudwright.metal.rows import bolt_away, spread

FOOT_SHORT = 0.0625 * 0.0254
"""How much more than a thickness a foot stops short of a long flange, [m]; common practice, no source."""
_CORNER = 0.25 * 0.0254
_TEXT_HEIGHT = 0.006
_NEAR = 1e-9


class Foot(NamedTuple):
    """A flange bent from the edge toward the outer face, [m] and [rad]; between places along the edge."""

    leg: float
    """the plate's inner face to the flange's edge"""
    radius: float
    k: float
    turn: float
    start: float
    end: float
    bolt: float = 0.0
    pitch: float = 1.0

    def flat(self, thickness: float) -> float:
        """Straight part, [m]."""
        return self.leg - (self.radius + thickness) * math.tan(0.5 * self.turn)


class Cut(NamedTuple):
    """A piece let out of the edge, between places along it, and how far in, [m]."""

    start: float
    end: float
    height: float


def plate(
    name: str,
    outline: Outline,
    thickness: float,
    *,
    foot: Foot | None = None,
    cuts: Sequence[Cut] = (),
    quantity: int = 1,
) -> Flat:
    """Lay out a plate whose straight lower edge stands on the core.

    Parameters
    ----------
    name : str
        What it is called, [text]
    outline : tuple of Vertex
        Its inner face without foot and cuts, seen from its outer side, the edge lowest, counter-clockwise, [m]
    thickness : float
        [m]
    foot : Foot or None
        Left out between cuts where less than four thicknesses of it would remain.
    cuts : sequence of Cut
        Apart from each other, within the edge.
    quantity : int
        How many, [-]

    Returns
    -------
    Flat
        Lower left at the origin, bends named with the outer face up.

    Notes
    -----
    Limits: a slit a thickness wide and past the bend by its radius relieves each end of the foot.
    Accuracy: exact for the neutral line given.

    References
    ----------
    Relief of a bend's end, width of a thickness and past the bend by more than its radius: a design guideline page.
    """
    outline = _parted(outline)
    low = min(vertex.y for vertex in outline)
    count = len(outline)
    (at,) = [i for i in range(count) if max(outline[i].y, outline[(i + 1) % count].y) - low <= _NEAR]
    left, right, *rest = outline[at:] + outline[:at]
    parts: list[tuple[float, float, Outline, BendLine | None]] = [
        (cut.start, cut.end, _notch(cut, low), None) for cut in cuts
    ]
    if foot is not None and (beside := _across_slit(outline, foot, low, thickness)):
        taken = sorted((cut.start, cut.end) for cut in cuts)
        room = thickness + FOOT_SHORT
        first, last = max(foot.start - room, beside[0]), min(foot.end + room, beside[1])
        ends = [first, *(value for pair in taken for value in pair), last]
        for number, (start, end) in enumerate(pairwise(ends)):
            if number % 2 == 0 and end - start - 2.0 * room >= 4.0 * thickness:
                parts.append(_foot(foot, start + room, end - room, low, thickness))
    parts.sort(key=lambda part: part[0])
    corners = (left._replace(bulge=0.0), *(vertex for part in parts for vertex in part[2]), right, *rest)
    corners = _parted(corners)
    bends = [part[3] for part in parts if part[3] is not None]
    bolts = [spot for bend in bends for spot in _bolts(bend, foot, thickness)] if foot else []
    around = box(corners)
    dx, dy, wide = -around.x1, -around.y1, around.x2 - around.x1
    letter = min(_TEXT_HEIGHT, wide / (2.0 * len(name)), 0.2 * (around.y2 - low))
    above = max(0.4 * (around.y2 - low), foot.radius + 3.0 * thickness if foot else 0.0)
    spots = [dx + around.x1 + share * wide for share in (0.1, 0.3, 0.5, 0.7)]
    room = 0.8 * letter * len(name)
    free = [x for x in spots if all(x > cut.end + dx or x + room < cut.start + dx for cut in cuts)]
    text = EtchText(name.upper(), (free or spots)[0], low + dy + above, letter, 0.0)
    return Flat(
        name=name,
        outline=moved(corners, dx, dy),
        openings=(),
        holes=tuple(
            Hole(number, x + dx, y + dy, foot.bolt if foot else 0.0, "foot bolt")
            for number, (x, y) in enumerate(bolts, start=1)
        ),
        bends=tuple(
            bend._replace(number=number, x1=bend.x1 + dx, x2=bend.x2 + dx, y1=bend.y1 + dy, y2=bend.y2 + dy)
            for number, bend in enumerate(bends, start=1)
        ),
        etch_lines=(),
        etch_texts=(text,) if foot or cuts else (),
        thickness=thickness,
        quantity=quantity,
    )


def _parted(outline: Outline) -> Outline:
    """Leave out corners that lie on the next one."""
    after = outline[1:] + outline[:1]
    return tuple(here for here, there in zip(outline, after, strict=True) if math.dist(here[:2], there[:2]) > _NEAR)


def _notch(cut: Cut, low: float) -> Outline:
    """Round its two inner corners, to half a circle where it is narrow."""
    radius, top = min(_CORNER, 0.5 * (cut.end - cut.start), cut.height), low + cut.height
    quarter = -bulge_of(0.5 * math.pi)
    return (
        Vertex(cut.start, low),
        Vertex(cut.start, top - radius, quarter),
        Vertex(cut.start + radius, top),
        Vertex(cut.end - radius, top, quarter),
        Vertex(cut.end, top - radius),
        Vertex(cut.end, low),
    )


def _across_slit(outline: Outline, foot: Foot, low: float, t: float) -> tuple[float, float] | None:
    """How far a plate reaches at the height where the slits beside its foot end; None where it is lower."""
    slit = low + (foot.radius + t) * math.tan(0.5 * foot.turn) + max(foot.radius, t)
    cut = [vertex.x for vertex in clipped(outline, 0.0, slit, 0.0) if abs(vertex.y - slit) < _NEAR]
    edge = [vertex.x for vertex in outline if vertex.y - low <= _NEAR]
    return (max(min(edge), min(cut)), min(max(edge), max(cut))) if cut else None


def _foot(foot: Foot, start: float, end: float, low: float, t: float) -> tuple[float, float, Outline, BendLine]:
    """Foot between two places, slits beside it, and its bend."""
    tangent = low + (foot.radius + t) * math.tan(0.5 * foot.turn)
    allowance = bend_allowance(foot.turn, foot.radius, t, foot.k)
    edge, slit = tangent - allowance - foot.flat(t), tangent + max(foot.radius, t)
    corners = (
        Vertex(start - t, low),
        Vertex(start - t, slit),
        Vertex(start, slit),
        Vertex(start, edge),
        Vertex(end, edge),
        Vertex(end, slit),
        Vertex(end + t, slit),
        Vertex(end + t, low),
    )
    middle = tangent - 0.5 * allowance
    deduction = bend_deduction(foot.turn, foot.radius, t, foot.k)
    return (
        start - t,
        end + t,
        corners,
        BendLine(0, start, middle, end, middle, foot.turn, foot.radius, "up", allowance, deduction),
    )


def _bolts(bend: BendLine, foot: Foot | None, t: float) -> list[tuple[float, float]]:
    """Spread bolts along the foot, midway between its edge and its bend."""
    if foot is None or not foot.bolt or bend.x2 - bend.x1 < 8.0 * foot.bolt:
        return []
    y = bend.y1 - 0.5 * bend.allowance - foot.flat(t) + bolt_away(foot.flat(t), t, foot.bolt)
    return [
        (bend.x1 + x, y) for x in spread(bend.x2 - bend.x1, min(3.0 * foot.bolt, 0.5 * (bend.x2 - bend.x1)), foot.pitch)
    ]


def turned(outline: Outline, angle: float, *, mirrored: bool = False) -> Outline:
    """Return an outline turned left, or first mirrored left to right, its lower left at the origin.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, counter-clockwise, [m]
    angle : float
        [rad]
    mirrored : bool
        Whether it is seen from the other side.

    Returns
    -------
    tuple of Vertex
        Counter-clockwise still, [m]
    """
    if mirrored:
        count = len(outline)
        outline = tuple(
            Vertex(-outline[-i % count].x, outline[-i % count].y, outline[(-i - 1) % count].bulge) for i in range(count)
        )
    c, s = math.cos(angle), math.sin(angle)
    spun = tuple(Vertex(c * v.x - s * v.y, s * v.x + c * v.y, v.bulge) for v in outline)
    around = box(spun)
    return moved(spun, -around.x1, -around.y1)


def same_cut(one: Flat, other: Flat) -> bool:
    """Return whether two flats are one part, cut twice: all alike but the name, to a thousandth of a millimetre."""

    def near(some: Sequence[tuple[float, ...]], others: Sequence[tuple[float, ...]]) -> bool:
        return len(some) == len(others) and all(
            abs(a - b) < 1e-6
            for first, then in zip(some, others, strict=True)
            for a, b in zip(first, then, strict=True)
        )

    corners, count = [tuple(v) for v in other.outline], len(other.outline)
    return (
        any(near(one.outline, corners[at:] + corners[:at]) for at in range(count))
        and near([hole[1:4] for hole in one.holes], [hole[1:4] for hole in other.holes])
        and near([_shape(bend) for bend in one.bends], [_shape(bend) for bend in other.bends])
    )


def _shape(bend: BendLine) -> tuple[float, ...]:
    return bend.x1, bend.y1, bend.x2, bend.y2, bend.angle, bend.radius
