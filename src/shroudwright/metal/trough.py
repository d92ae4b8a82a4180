"""A main blank with bent long edges: along its rolls an even section, or one whose depth grows.

Trough         the blank: outline, bends, where a place on the core lands on it
shape_faults   why an outline cannot be cut from one

Coordinates u along the rolls and v across them, from the lower left corner of the inside, seen from behind. Where
the depth grows along the rolls, the face leans: blank and side pieces stand square to the face, not to the core.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from shroudwright.bench.arcs import Outline, Vertex, area, box
from shroudwright.metal.bend import bend_allowance, bend_deduction
from shroudwright.metal.flat import BendLine
from shroudwright.metal.walls import Section, Side

_NEAR = 1e-7


class Run(NamedTuple):
    """A stretch of a long edge: low or high, and from where to where along it, [m]."""

    is_low: bool
    start: float
    end: float


@dataclass(frozen=True)
class Trough:
    """A blank with two bent edges.

    ``section`` is that at its low end, ``rise`` the depth gained along it, ``trim`` what each end is left long,
    ``outline`` its inside on the core, of straights along and across, ``lap`` what each end goes on past it once
    trimmed, [m].
    """

    section: Section
    length: float
    trim: float
    outline: Outline
    rise: float = 0.0
    lap: float = 0.0

    @property
    def lean(self) -> float:
        """Of the face along the rolls, [rad]."""
        return math.atan2(self.rise, self.length)

    @property
    def run(self) -> float:
        """Length of the blank along the rolls without its trim, [m]."""
        return self.length * math.cos(self.lean)

    @cached_property
    def offset(self) -> float:
        """What the blank grows beyond the low end's section on its low edge, at its deepest, [m]."""
        return self._most(is_low=True)

    def _most(self, *, is_low: bool) -> float:
        return max(*(self._grown(along, is_low=is_low) for along in (-self.trim, self.run + self.trim)), 0.0)

    def _grown(self, along: float, *, is_low: bool) -> float:
        """How much longer the flat is from the face to its low or high edge, at a distance from the low end."""
        side, t = self.section.low if is_low else self.section.high, self.section.thickness
        past = self.section.lip if side.kind == "lip" else 0.0
        if side.flange_turn:
            allowance = bend_allowance(abs(side.flange_turn), side.flange_radius, t, side.k_flange)
            past = side.flange + allowance - side.flange_radius - t
        return self._deeper(along) + past * (1.0 / math.cos(self.lean) - 1.0)

    def _deeper(self, along: float) -> float:
        """How much further the core's plane is from the face, square to it, than the low end's depth, [m]."""
        return along * math.tan(self.lean) - self.section.depth * (1.0 - math.cos(self.lean))

    def wall(self, along: float) -> float:
        """Straight wall, square to the face, at a distance from the low end, [m]."""
        low = self.section.low
        leaned = (low.flange_radius + self.section.thickness if low.flange_turn else 0.0) * (
            1.0 / math.cos(self.lean) - 1.0
        )
        return self.section.wall + self._deeper(along) - leaned

    def depth(self, along: float) -> float:
        """Inside of the face to the core's plane, square to the face, at a distance from the low end, [m]."""
        return self.section.depth + self._deeper(along)

    def x(self, u: float) -> float:
        """Where a place along the core lies on the flat, [m]."""
        return self.trim + (u + self.section.depth * math.sin(self.lean) * math.cos(self.lean)) / math.cos(self.lean)

    def y(self, v: float) -> float:
        """Where a place on the face, across, lies on the flat, [m]."""
        return self.offset + self.section.place(v)

    @property
    def height(self) -> float:
        """Of the flat, [m]."""
        return self.section.length + self.offset + self._most(is_low=False)

    @property
    def face(self) -> tuple[float, float]:
        """Where the flat face starts and ends across the flat, [m]."""
        start = self.offset + self.section.start
        return start, start + self.section.face

    def blank(self, *, is_long: bool) -> Outline:
        """Outline of the flat, left long at both ends or trimmed, [m]."""
        trim = self.trim if is_long else self.lap
        if self.rise:
            ends = (self.trim - trim, self.trim + self.run + trim)
            low, high = (
                [self._most(is_low=side) - self._grown(x - self.trim, is_low=side) for x in ends]
                for side in (True, False)
            )
            return (
                Vertex(ends[0], low[0]),
                Vertex(ends[1], low[1]),
                Vertex(ends[1], self.height - high[1]),
                Vertex(ends[0], self.height - high[0]),
            )
        corners = []
        for vertex in self.outline:
            x = self.trim + vertex.x
            x += trim if abs(vertex.x - self.length) < _NEAR else -trim if abs(vertex.x) < _NEAR else 0.0
            is_low, is_high = abs(vertex.y) < _NEAR, abs(vertex.y - self.section.width) < _NEAR
            corners.append(Vertex(x, 0.0 if is_low else self.height if is_high else self.y(vertex.y)))
        return tuple(corners)

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """Stretches of the outline on its long edges, low ones first."""
        found = []
        for one, other in _edges(self.outline):
            for is_low, v in ((True, 0.0), (False, self.section.width)):
                if max(abs(one.y - v), abs(other.y - v)) < _NEAR:
                    found.append(Run(is_low, min(one.x, other.x), max(one.x, other.x)))
        return tuple(sorted(found, key=lambda run: (not run.is_low, run.start)))

    def ends_of(self, run: Run) -> tuple[float, float]:
        """Where a stretch starts and ends on the flat, trim and all, [m]."""
        start = 0.0 if run.start < _NEAR else self.x(run.start)
        whole = self.run + 2.0 * self.trim
        return start, whole if run.end > self.length - _NEAR else self.x(run.end)

    def from_edge(self, run: Run, along: float, away: float) -> float:
        """y on the flat at a distance square to a long edge of the sheet, at x, [m]."""
        if self.rise:
            grown = self._grown(along - self.trim, is_low=run.is_low)
            away = self._most(is_low=run.is_low) - grown + away / math.cos(self.lean)
        return away if run.is_low else self.height - away

    @cached_property
    def bends(self) -> tuple[BendLine, ...]:
        """Bends of the flat, from the low edge to the high one, numbered."""
        low = [line for run in self.runs if run.is_low for line in self._bends(run, self.section.low)]
        high = [line for run in self.runs if not run.is_low for line in self._bends(run, self.section.high)]
        lines = [*low, *high[::-1]]
        return tuple(line._replace(number=number) for number, line in enumerate(lines, start=1))

    def _bends(self, run: Run, side: Side) -> Iterator[BendLine]:
        t = self.section.thickness
        (x1, x2), face = self.ends_of(run), self.face
        if side.flange_turn:
            turn, allowance = abs(side.flange_turn), abs(side.flange_turn) * (side.flange_radius + side.k_flange * t)
            away = side.flange + 0.5 * allowance
            y1, y2 = (self.from_edge(run, x, away) for x in (x1, x2))
            way = "up" if side.kind == "out" else "down"
            deduction = bend_deduction(turn, side.flange_radius, t, side.k_flange)
            yield BendLine(0, x1, y1, x2, y2, turn, side.flange_radius, way, allowance, deduction)  # type: ignore[arg-type]
        allowance = side.turn * (side.roll_radius + side.k_roll * t)
        y = face[0] - 0.5 * allowance if run.is_low else face[1] + 0.5 * allowance
        deduction = bend_deduction(side.turn, side.roll_radius, t, side.k_roll)
        yield BendLine(0, x1, y, x2, y, side.turn, side.roll_radius, "down", allowance, deduction)


def _edges(outline: Outline) -> Iterator[tuple[Vertex, Vertex]]:
    yield from zip(outline, outline[1:] + outline[:1], strict=True)


def shape_faults(outline: Outline, section: Section) -> list[str]:
    """Why an outline cannot be cut from a blank with two bent edges.

    Parameters
    ----------
    outline : tuple of Vertex
        The inside on the core from the lower left corner of its box, u along the rolls, [m]
    section : Section
        Across them.

    Returns
    -------
    list of str
        Empty where it can.
    """
    if any(vertex.bulge for vertex in outline):
        return ["it has arcs"]
    if any(min(abs(one.x - other.x), abs(one.y - other.y)) > _NEAR for one, other in _edges(outline)):
        return ["it has a slanted side"]
    around = box(outline)
    low, high = section.low.start, section.width - section.high.start
    inner = [v.y for v in outline if around.y1 + _NEAR < v.y < around.y2 - _NEAR]
    if any(not low - _NEAR < y < high + _NEAR for y in inner):
        return ["a corner of it lies in a roll"]
    return []


def is_plain(outline: Outline) -> bool:
    """Return whether an outline is an upright rectangle."""
    around = box(outline)
    whole = (around.x2 - around.x1) * (around.y2 - around.y1)
    return not any(v.bulge for v in outline) and abs(area(outline) - whole) < 1e-9 * whole


def sides_of(outline: Outline) -> Sequence[tuple[Vertex, Vertex, bool, bool]]:
    """Edges of an outline across the rolls or within its box: ends, and whether each end is a re-entrant corner."""
    around, count = box(outline), len(outline)

    def is_inward(i: int) -> bool:
        a, b, c = outline[i - 1], outline[i], outline[(i + 1) % count]
        return (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x) < 0.0

    found = []
    for i in range(count):
        one, other = outline[i], outline[(i + 1) % count]
        is_rolled = abs(one.y - other.y) < _NEAR and min(one.y - around.y1, around.y2 - one.y) < _NEAR
        if not is_rolled:
            found.append((one, other, is_inward(i), is_inward((i + 1) % count)))
    return found
