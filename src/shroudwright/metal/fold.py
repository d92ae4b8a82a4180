"""A flat folded: where each point of it ends up, and how much metal that makes.

folded   a flat -> its folded shape
Folded   the mapping, the area of its middle surface and its volume

Every bend is a strip of its allowance's width about its middle line. The flat is a tree of plane regions joined by
such strips; the region with most metal on either hand stays where it lies, and what is beyond a strip turns with it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shroudwright.bench.arcs import Arc, Circle, Outline, area, circle_outline, contains, inside, moved, segments
from shroudwright.bench.errors import InputError
from shroudwright.metal.cutting import Chord, Line, area_beyond, chords
from shroudwright.metal.flat import BendLine, Flat, metal_area

Numbers = NDArray[np.float64]
_NUDGE = 1e-7
"""How far inside a strip it is cut, so that an edge of the flat may run along the strip's own edge, [m]; metal so
near to a tangent is bent by less than a millionth of that."""
_ON_EDGE = 1e-9


@dataclass(frozen=True)
class Joint:
    """One bend, or the part of it that joins two regions: its middle line, beyond to the left, and the metal there."""

    bend: BendLine
    line: Line
    start: float
    end: float
    """along the line, where the metal on it starts and ends, [m]"""
    near: Outline
    """strip and all metal beyond"""
    far: Outline
    """all metal beyond the strip"""
    area: float
    """flat, of the strip, [m**2]"""
    depth: int
    """how many bends lie between it and the region that stays"""


@dataclass(frozen=True)
class Folded:
    """A flat folded. The region that stays keeps its x and y, and its outer face is up at z = thickness."""

    flat: Flat
    joints: tuple[Joint, ...]
    """the outermost first"""

    @property
    def middle_area(self) -> float:
        """Area of the middle surface, [m**2]."""
        stretch = [
            joint.area * (joint.bend.angle * (joint.bend.radius + 0.5 * self.flat.thickness) / joint.bend.allowance - 1)
            for joint in self.joints
        ]
        return metal_area(self.flat) + math.fsum(stretch)

    @property
    def volume(self) -> float:
        """Metal in it, each bend of even thickness: the middle surface times the thickness, exactly, [m**3]."""
        return self.middle_area * self.flat.thickness

    def at(
        self, x: ArrayLike, y: ArrayLike, through: ArrayLike, *, of: tuple[ArrayLike, ArrayLike] | None = None
    ) -> Numbers:
        """Where points of the flat end up.

        Parameters
        ----------
        x, y : array_like
            On the flat, of shapes that go together, [m]
        through : array_like
            0 on the inner face to the thickness on the outer, [m]
        of : tuple of array_like, optional
            x, y of points whose regions are taken in place of the points' own, [m]

        Returns
        -------
        place : ndarray
            X, Y, Z along the last axis, [m]

        Notes
        -----
        Limits: a point off the metal goes where its region would carry it. Accuracy: exact.

        References
        ----------
        Geometry: a bend is a part of a cylinder.
        """
        x, y, through = np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in (x, y, through)))
        where_x, where_y = (x, y) if of is None else np.broadcast_arrays(*of, x)[:2]
        place = np.stack((x, y, through), axis=-1)
        is_turned = np.zeros(x.shape, dtype=bool)
        for joint in self.joints:
            near = _within(joint.near, where_x, where_y)
            rigid = near & (is_turned | _within(joint.far, where_x, where_y))
            place[near] = _turned(joint, place[near], rigid[near], self.flat.thickness)
            is_turned |= near
        return place


def _turned(joint: Joint, place: Numbers, rigid: NDArray[np.bool_], thickness: float) -> Numbers:
    """Bend points about a joint; rigid ones lie beyond its strip, however they lie by now."""
    line, bend = joint.line, joint.bend
    dx, dy = place[:, 0] - line.x, place[:, 1] - line.y
    along, past, z = dx * line.dx + dy * line.dy, dy * line.dx - dx * line.dy, place[:, 2]
    half = 0.5 * bend.allowance
    gone = np.where(rigid, bend.allowance, np.clip(past + half, 0.0, bend.allowance))
    rest = past + half - gone
    sine, cosine = np.sin(bend.angle * gone / bend.allowance), np.cos(bend.angle * gone / bend.allowance)
    up = 1.0 if bend.direction == "up" else -1.0
    radius = bend.radius + (thickness - z if up > 0.0 else z)
    past = radius * sine + rest * cosine - half
    z = (thickness + bend.radius if up > 0.0 else -bend.radius) + up * (rest * sine - radius * cosine)
    return np.stack((line.x + along * line.dx - past * line.dy, line.y + along * line.dy + past * line.dx, z), axis=-1)


def _within(outline: Outline, x: Numbers, y: Numbers) -> NDArray[np.bool_]:
    """Whether points lie inside an outline or on it."""
    found = inside(outline, x, y)
    for piece in segments(outline):
        if isinstance(piece, Arc):
            away = np.abs(np.hypot(x - piece.x, y - piece.y) - piece.radius)
            turned = ((np.arctan2(y - piece.y, x - piece.x) - piece.start) * math.copysign(1.0, piece.sweep)) % math.tau
            found |= (away <= _ON_EDGE) & (turned <= abs(piece.sweep))
        else:
            dx, dy = piece.x2 - piece.x1, piece.y2 - piece.y1
            share = ((x - piece.x1) * dx + (y - piece.y1) * dy) / ((dx * dx + dy * dy) or 1.0)
            share = np.clip(share, 0.0, 1.0)
            found |= np.hypot(x - piece.x1 - share * dx, y - piece.y1 - share * dy) <= _ON_EDGE
    return np.asarray(found)


def folded(flat: Flat) -> Folded:
    """Fold a flat along all its bends.

    Parameters
    ----------
    flat : Flat
        Its bends at any angle to each other; none may cross another within the metal.

    Returns
    -------
    Folded
        The region with at most half the metal beyond each of its bends stays.

    Raises
    ------
    InputError
        Where a bend lies off the metal or has no size, or two bends cross or run into each other.

    Notes
    -----
    Limits: bends are whole: what a relief should free must be cut free in the outline. Whether folded metal
    meets itself is not looked at.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    faults = [
        f"bend {bend.number} of {flat.name}: angle, inside radius and allowance must be more than nothing"
        for bend in flat.bends
        if not (bend.angle > 0.0 and bend.allowance > 0.0 and bend.radius >= 0.0)
        or math.hypot(bend.x2 - bend.x1, bend.y2 - bend.y1) <= 0.0
    ]
    if faults:
        raise InputError(faults)
    joints = []
    for bend in flat.bends:
        mine = _joints(flat, bend)
        if not mine:
            faults.append(f"bend {bend.number} of {flat.name}: it does not lie across the metal; mend its line")
        joints += mine
    faults += _clashes(flat, joints)
    if faults:
        raise InputError(faults)
    nested = [
        Joint(**{**vars(joint), "depth": sum(_holds(other, joint) for other in joints if other is not joint)})
        for joint in joints
    ]
    return Folded(flat, tuple(sorted(nested, key=lambda joint: -joint.depth)))


def _joints(flat: Flat, bend: BendLine) -> list[Joint]:
    reach = math.hypot(bend.x2 - bend.x1, bend.y2 - bend.y1)
    line = Line(bend.x1, bend.y1, (bend.x2 - bend.x1) / reach, (bend.y2 - bend.y1) / reach)
    found = []
    for middle in chords(flat.outline, line.shifted(_NUDGE)):
        if _shared(middle, 0.0, reach) <= 0.5 * (middle.end - middle.start):
            continue
        way, start, end = line, middle.start, middle.end
        if area(middle.beyond) > area(middle.before):
            way, start, end = line.turned(), -middle.end, -middle.start
        inset = 0.5 * bend.allowance - _NUDGE
        near, far = (_best(chords(flat.outline, way.shifted(by)), start, end) for by in (-inset, inset))
        if near is None or far is None:
            return []
        edge = _NUDGE * (near.end - near.start + far.end - far.start)
        strip = area(near.beyond) - area(far.beyond) + edge - _opened(flat, way, near.beyond, 0.5 * bend.allowance)
        found.append(Joint(bend, way, start, end, near.beyond, far.beyond, strip, 0))
    return found


def _shared(chord: Chord, start: float, end: float) -> float:
    return min(chord.end, end) - max(chord.start, start)


def _best(found: Sequence[Chord], start: float, end: float) -> Chord | None:
    """The stretch that shares most with another."""
    best = max(found, key=lambda chord: _shared(chord, start, end), default=None)
    return None if best is None or _shared(best, start, end) <= 0.0 else best


def _opened(flat: Flat, line: Line, near: Outline, half: float) -> float:
    """Area of openings and holes within a strip."""
    holes = [circle_outline(Circle(hole.x, hole.y, 0.5 * hole.diameter)) for hole in flat.holes]
    total = 0.0
    for outline in (*(item.outline for item in flat.openings), *holes):
        around = outline if area(outline) > 0.0 else _reversed(outline)
        within = area_beyond(around, line.shifted(-half)) - area_beyond(around, line.shifted(half))
        if within > 0.0 and any(contains(near, vertex.x, vertex.y) for vertex in _points(around)):
            total += within
    return total


def _reversed(outline: Outline) -> Outline:
    bulges = (*(vertex.bulge for vertex in outline[-2::-1]), outline[-1].bulge)
    return tuple(vertex._replace(bulge=-bulge) for vertex, bulge in zip(outline[::-1], bulges, strict=True))


def _points(outline: Outline) -> Outline:
    """Corners, and the middles of what joins them."""
    middles = []
    for piece in segments(outline):
        if isinstance(piece, Arc):
            angle = piece.start + 0.5 * piece.sweep
            x, y = piece.x + piece.radius * math.cos(angle), piece.y + piece.radius * math.sin(angle)
        else:
            x, y = 0.5 * (piece.x1 + piece.x2), 0.5 * (piece.y1 + piece.y2)
        middles.append((x, y))
    return (*outline, *(moved(outline[:1], x - outline[0].x, y - outline[0].y)[0] for x, y in middles))


def _ends(joint: Joint) -> list[tuple[float, float]]:
    """Points of a joint's middle line just inside the metal, and its middle."""
    line, inset = joint.line, min(_NUDGE, 0.25 * (joint.end - joint.start))
    spots = joint.start + inset, 0.5 * (joint.start + joint.end), joint.end - inset
    return [(line.x + along * line.dx, line.y + along * line.dy) for along in spots]


def _holds(one: Joint, other: Joint) -> bool:
    """Whether a joint lies beyond another."""
    return contains(one.far, *_ends(other)[1])


def _clashes(flat: Flat, joints: Sequence[Joint]) -> list[str]:
    pairs = set()
    for one, other in permutations(joints, 2):
        sides = {(contains(one.near, *spot), contains(one.far, *spot)) for spot in _ends(other)}
        if sides not in ({(True, True)}, {(False, False)}):
            pairs.add((min(one.bend.number, other.bend.number), max(one.bend.number, other.bend.number)))
    return [
        f"bends {one} and {other} of {flat.name}: they cross or run into each other; move one, or cut a relief"
        for one, other in sorted(pairs)
    ]
