"""A flat to cut and what is on it: outline, openings, holes, bend lines and marks.

Flat       one part, net size
Hole       a numbered round hole
BendLine   the middle line of a bend
EtchLine   a straight mark
EtchText   words to mark
Finding    a check that fires
Opening    what is cut out of it
cut_length how far a cutter goes round outline and openings
metal_area what is left of its area

A flat lies with its outer face up, origin at its lower left.
"""

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

from shroudwright.bench.arcs import Box, Circle, Outline, area, box, circle_outline, length


class Opening(NamedTuple):
    """What is cut out of a flat and is not a drilled hole: round, or any closed outline, counter-clockwise."""

    shape: Circle | Outline
    name: str = "opening"
    """what it is for: a fan's code, flap, access, neck"""

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


def cut_length(flat: Flat) -> float:
    """Return how far a cutter goes round outline and openings, holes left aside, [m]."""
    return length(flat.outline) + sum(length(item.outline) for item in flat.openings)


def metal_area(flat: Flat) -> float:
    """Return the flat's area less openings and holes, [m**2]."""
    holes = sum(0.25 * math.pi * hole.diameter**2 for hole in flat.holes)
    return abs(area(flat.outline)) - sum(abs(area(item.outline)) for item in flat.openings) - holes
