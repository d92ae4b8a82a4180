"""Where a place on a shroud's face lands on its flat.

Axis       across, or up
Landing    both
"""

from typing import NamedTuple

from shroudwright.bench.arcs import Outline, box
from shroudwright.metal.walls import Section

_NEAR = 1e-9


class Edge(NamedTuple):
    """A flange turned out: how far past the inside it reaches, and where its edge lies on the flat, [m]."""

    reach: float
    at: float


class Axis(NamedTuple):
    """One way across the face, [m]."""

    start: float
    """where the inside's low edge would lie if the face went on flat"""
    scale: float
    """flat over place: more than 1 where the face tilts, [-]"""
    size: float
    """of the inside"""
    low: Edge | None = None
    high: Edge | None = None
    is_cut: bool = False
    """whether the sheet goes on flat past the inside on both sides"""

    def at(self, place: float) -> float | None:
        """Where a place from the inside's low edge lands; None past it where no flange turns out, [m]."""
        past = -place if place < 0.0 else place - self.size
        if self.is_cut or past < _NEAR:
            return self.start + self.scale * place
        edge = self.low if place < 0.0 else self.high
        if edge is None:
            return None
        in_from_edge = edge.reach - past
        return edge.at + in_from_edge if place < 0.0 else edge.at - in_from_edge

    def turned(self, edge: float) -> "Axis":
        """Return it counted from the other side, its flat from another edge."""
        low, high = (None if one is None else one._replace(at=edge - one.at) for one in (self.high, self.low))
        return self._replace(start=edge - self.start - self.scale * self.size, low=low, high=high)


class Landing(NamedTuple):
    """From the lower left corner of the inside to the flat's, [m]."""

    x: Axis
    y: Axis

    def at(self, x: float, y: float) -> tuple[float, float] | None:
        """Where a place lands; None off the face where no flange turns out, [m]."""
        across, up = self.x.at(x), self.y.at(y)
        return None if across is None or up is None else (across, up)

    def quarter_turned(self, flat: Outline) -> "Landing":
        """Return it for a shroud and a flat that are both turned left by 90 deg; its flat before that."""
        return Landing(self.y.turned(box(flat).y2), self.x)


def flanges_of(section: Section, low: float, high: float) -> tuple[Edge | None, Edge | None]:
    """Return a section's flanges where they turn out, its sheet's edges at two places on the flat, [m]."""
    around = box(section.profile.outline)
    reaches = (-around.x1, around.x2 - section.width)
    sides = zip((section.low, section.high), reaches, (low, high), strict=True)
    first, last = (Edge(reach, at) if side.kind == "out" else None for side, reach, at in sides)
    return first, last
