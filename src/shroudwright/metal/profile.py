"""A bent section of any family: a chain of straights and bends.

Straight, Bend    its links
Profile           the chain, from one edge of the sheet to the other

It is walked with the outer face on the left; the inner face is level 0, the outer face level `thickness`.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from shroudwright.bench.arcs import Outline, Vertex, bulge_of
from shroudwright.metal.bend import bend_allowance

_NOTHING = 1e-12


class Straight(NamedTuple):
    """A flat part, [m]."""

    length: float


class Bend(NamedTuple):
    """A bend: turned through, positive toward the outer face [rad], inside radius [m], neutral line K [-]."""

    angle: float
    radius: float
    k: float


class Mark(NamedTuple):
    """Where a bend lies on the flat: its middle line from the first edge, and the length it takes, [m]."""

    middle: float
    allowance: float
    bend: Bend


@dataclass(frozen=True)
class Profile:
    """A chain of straights and bends, and where its inner face starts as drawn, [m] and [rad]."""

    parts: tuple[Straight | Bend, ...]
    thickness: float
    x: float = 0.0
    y: float = 0.0
    heading: float = 0.0

    @property
    def length(self) -> float:
        """Developed length, edge to edge, [m]."""
        return math.fsum(self._taken(part) for part in self.parts)

    @property
    def middle_length(self) -> float:
        """Length along the middle of the sheet, [m]."""
        half = 0.5 * self.thickness
        return math.fsum(
            part.length if isinstance(part, Straight) else abs(part.angle) * (part.radius + half) for part in self.parts
        )

    @property
    def area(self) -> float:
        """Metal in the section, [m**2]."""
        return self.middle_length * self.thickness

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Bends on the flat, from the first edge."""
        return tuple(self._marks())

    def _taken(self, part: Straight | Bend) -> float:
        if isinstance(part, Straight):
            return part.length
        return bend_allowance(abs(part.angle), part.radius, self.thickness, part.k)

    def _marks(self) -> Iterator[Mark]:
        at = 0.0
        for part in self.parts:
            taken = self._taken(part)
            if isinstance(part, Bend):
                yield Mark(at + 0.5 * taken, taken, part)
            at += taken

    def line(self, level: float) -> Outline:
        """Return the open line of the sheet at a level, 0 inner face to `thickness`, as drawn."""
        heading = self.heading
        x, y = self.x - level * math.sin(heading), self.y + level * math.cos(heading)
        path = [Vertex(x, y)]
        for part in self.parts:
            if isinstance(part, Straight):
                bulge, dx, dy = 0.0, part.length * math.cos(heading), part.length * math.sin(heading)
            else:
                side = math.copysign(1.0, part.angle)
                radius = part.radius + (self.thickness - level if side > 0.0 else level)
                bulge, before = bulge_of(part.angle), heading
                heading += part.angle
                dx = side * radius * (math.sin(heading) - math.sin(before))
                dy = side * radius * (math.cos(before) - math.cos(heading))
            if math.hypot(dx, dy) > _NOTHING:
                path[-1] = path[-1]._replace(bulge=bulge)
                x, y = x + dx, y + dy
                path.append(Vertex(x, y))
        return tuple(path)

    @property
    def outline(self) -> Outline:
        """The metal as drawn, closed, counter-clockwise, [m]."""
        return self.line(0.0) + backwards(self.line(self.thickness))


def backwards(path: Outline) -> Outline:
    """Return an open line walked the other way.

    Parameters
    ----------
    path : tuple of Vertex
        Open; the last bulge is not used, [m]

    Returns
    -------
    tuple of Vertex
        [m]
    """
    bulges = (*(vertex.bulge for vertex in path[-2::-1]), 0.0)
    return tuple(Vertex(vertex.x, vertex.y, 0.0 - bulge) for vertex, bulge in zip(path[::-1], bulges, strict=True))
