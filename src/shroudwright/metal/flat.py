"""A flat to cut and what is on it: outline, openings, holes, bend lines and marks.

Flat       one part, net size
Hole       a numbered round hole
BendLine   the middle line of a bend
EtchLine   a straight mark
EtchText   words to mark
Finding    a check that fires
Opening    what is cut out of it
numbered   holes numbered in their order
bolts_of   where bolts sit in it, holes and slots alike
cut_length how far a cutter goes round outline and openings
metal_area what is left of its area
quarter_turned   turned left by 90 deg

A flat lies with its outer face up, origin at its lower left.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from shroudwright.bench.arcs import Box, Circle, Outline, Vertex, area, box, circle_outline, length

ON_THE_CORE = ("flange bolt", "lip bolt", "spacer bolt")
"""Purposes of the bolts that hold a blank to the core"""


class Opening(NamedTuple):
    """What is cut out of a flat and is not a drilled hole: round, or any closed outline, counter-clockwise."""

    shape: Circle | Outline
    name: str = "opening"
    """what it is for: a fan's code, flap, access, neck; of a slot or keyhole what its bolt is"""
    bolt: Circle | None = None
    """where a bolt sits in it, of a slot, keyhole or enlarged hole"""
    bends_from: Circle | Outline | None = None
    """where the flat face ends and the bend of its lip begins"""

    @property
    def box(self) -> Box:
        """Least upright box, [m]."""
        if isinstance(self.shape, Circle):
            x, y, radius = self.shape
            return Box(x - radius, y - radius, x + radius, y + radius)
        return box(self.shape)

    @property
    def middle(self) -> tuple[float, float]:
        """Middle of its box, [m]."""
        around = self.box
        return 0.5 * (around.x1 + around.x2), 0.5 * (around.y1 + around.y2)

    @property
    def outline(self) -> Outline:
        """Its edge, counter-clockwise, [m]."""
        return circle_outline(self.shape) if isinstance(self.shape, Circle) else self.shape


class Hole(NamedTuple):
    """A numbered round hole."""

    number: int
    x: float
    y: float
    diameter: float
    purpose: str


class BendLine(NamedTuple):
    """The middle line of a bend; the direction is that of the metal beyond it, outer face up."""

    number: int
    x1: float
    y1: float
    x2: float
    y2: float
    angle: float
    radius: float
    direction: Literal["up", "down"]
    allowance: float
    deduction: float


class EtchLine(NamedTuple):
    """A straight mark."""

    x1: float
    y1: float
    x2: float
    y2: float


class EtchText(NamedTuple):
    """Words to mark, from their lower left, turned through an angle."""

    text: str
    x: float
    y: float
    height: float
    angle: float


class Finding(NamedTuple):
    """A check that fires: of the limits its code knows, the gravest one missed."""

    code: str
    measured: float
    limit: float
    place: str


@dataclass(frozen=True)
class Flat:
    """One flat to cut, net size."""

    name: str
    outline: Outline
    openings: tuple[Opening, ...]
    holes: tuple[Hole, ...]
    bends: tuple[BendLine, ...]
    etch_lines: tuple[EtchLine, ...]
    etch_texts: tuple[EtchText, ...]
    thickness: float
    quantity: int


def numbered(holes: Sequence[Hole]) -> tuple[Hole, ...]:
    """Return holes numbered from 1 in their order."""
    return tuple(hole._replace(number=number) for number, hole in enumerate(holes, start=1))


def bolts_of(flat: Flat, purpose: str | None = None) -> list[Hole]:
    """Return where bolts sit in a flat, in holes or slots, of one purpose or any; a slot's has no number, [m]."""
    slotted = [
        Hole(0, item.bolt.x, item.bolt.y, 2.0 * item.bolt.radius, item.name) for item in flat.openings if item.bolt
    ]
    return [hole for hole in (*flat.holes, *slotted) if purpose in (None, hole.purpose)]


def cut_length(flat: Flat) -> float:
    """Return how far a cutter goes round outline and openings, holes left aside, [m]."""
    return length(flat.outline) + sum(length(item.outline) for item in flat.openings)


def metal_area(flat: Flat) -> float:
    """Return the flat's area less openings and holes, [m**2]."""
    holes = sum(0.25 * math.pi * hole.diameter**2 for hole in flat.holes)
    return abs(area(flat.outline)) - sum(abs(area(item.outline)) for item in flat.openings) - holes


def quarter_turned(flat: Flat) -> Flat:
    """Return a flat turned left by 90 deg, its lower left at the origin again; words stay level, openings are plain."""
    high = box(flat.outline).y2

    def turned(outline: Outline) -> Outline:
        return tuple(Vertex(high - v.y, v.x, v.bulge) for v in outline)

    def shape(one: Circle | Outline) -> Circle | Outline:
        return Circle(high - one.y, one.x, one.radius) if isinstance(one, Circle) else turned(one)

    return replace(
        flat,
        outline=turned(flat.outline),
        openings=tuple(item._replace(shape=shape(item.shape)) for item in flat.openings),
        holes=tuple(hole._replace(x=high - hole.y, y=hole.x) for hole in flat.holes),
        bends=tuple(b._replace(x1=high - b.y1, y1=b.x1, x2=high - b.y2, y2=b.x2) for b in flat.bends),
        etch_lines=tuple(EtchLine(high - m.y1, m.x1, high - m.y2, m.x2) for m in flat.etch_lines),
        etch_texts=tuple(text._replace(x=high - text.y, y=text.x) for text in flat.etch_texts),
    )
