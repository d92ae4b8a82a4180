"""The blank of a pan: where walls, flanges, open corners and relief holes lie on it.

PanFlat     outline and bends

x across the core, y up the flat; the face's lower left corner stands where the inside's would with sharp bends.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from shroudwright.bench.arcs import Outline, Vertex, bulge_of
from shroudwright.metal.bend import bend_allowance, bend_deduction
from shroudwright.metal.ends import FOOT_SHORT
from shroudwright.metal.flat import BendLine
from shroudwright.metal.profile import Mark
from shroudwright.metal.walls import Flange, Section, Side

_GAP = 0.0156 * 0.0254
"""Between two walls at a corner, for the weld, [m]; common practice, no source."""
_PAST = 0.3
"""How far a relief hole reaches past the bends, in its radii: enough to take the corner of the face with it."""


@dataclass(frozen=True)
class PanFlat:
    """A pan on its flat; ``up`` is the section from its bottom to its top, ``wide`` that from left to right."""

    up: Section
    wide: Section
    relief: float

    @property
    def thickness(self) -> float:
        """Of the sheet, [m]."""
        return self.up.thickness

    @property
    def zone(self) -> tuple[float, float, float]:
        """Square left open at a corner: across, at the bottom, at the top."""
        least = 1.5 * self.relief
        low, high = (
            side.turn * (side.roll_radius + side.k_roll * self.thickness) for side in (self.up.low, self.up.high)
        )
        return max(self.wide.roll_allowance, least), max(low, least), max(high, least)

    def sheet(self, side: Side, *, is_right: bool, y: float, w: float) -> tuple[float, float]:
        """Place on a side wall, or on its flange laid flat with it: y up, w over the core's plane."""
        tilt = self.up.tilt
        along = y * math.cos(tilt) + (w - self.up.depth) * math.sin(tilt)
        below = y * math.sin(tilt) + (self.up.depth - w) * math.cos(tilt)
        out = below - side.roll_radius + self.wide.roll_allowance
        x = self.wide.width - side.roll_radius + out if is_right else side.roll_radius - out
        return x, self.up.place(0.0) + along

    def across(self, side: Side) -> tuple[float, float]:
        """w at a side wall's flange bend and at its edge, the flange laid flat with the wall."""
        t, radius = self.thickness, side.flange_radius
        if not side.flange_turn:
            edge = -self.wide.lip if side.kind == "lip" else 0.0
            return edge, edge
        tangent = radius + t
        return tangent, tangent - bend_allowance(0.5 * math.pi, radius, t, side.k_flange) - side.flange

    def ends(self, kind: Flange, neighbour: Flange, depth: float) -> float:
        """How far from the inside of the next wall a flange starts, so deep into it."""
        if kind == "in":
            return _GAP + depth if neighbour == "in" else FOOT_SHORT
        return _GAP

    def arm(self, *, is_right: bool) -> list[Vertex]:
        """A side wall's outline beyond the open corners, from its bottom to its top."""
        side = self.wide.high if is_right else self.wide.low
        tangent, edge = self.across(side)
        b = self.up.width
        found = []
        for is_top in (False, True):
            inner = self.up.high if is_top else self.up.low
            zone = self.zone

            def at(inset: float, w: float, top: bool = is_top) -> Vertex:
                y = b - inset if top else inset
                return Vertex(*self.sheet(side, is_right=is_right, y=y, w=w))

            start, end = at(_GAP, self._clear(zone[0], _GAP, is_top=is_top)), at(_GAP, tangent)
            face_y = self.up.place(b - inner.start) if is_top else self.up.place(inner.start)
            x = start.x
            corner = [Vertex(x, face_y), start, end]
            if side.flange_turn:
                bent, flat = (self.ends(side.kind, inner.kind, depth) for depth in (side.flange_radius, self.leg(side)))
                corner += [at(bent, tangent), at(bent, edge + side.flange), at(flat, edge)]
            found += corner[::-1] if is_top else corner
        return found

    def leg(self, side: Side) -> float:
        """Inner wall face to a flange's edge, [m]."""
        return side.flange + side.flange_radius

    def _clear(self, zone: float, inset: float, *, is_top: bool) -> float:
        """w where a side wall, an inset from its end, comes out of the open corner."""
        tilt, y = self.up.tilt, self.up.width - inset if is_top else inset
        below = self.wide.low.roll_radius + zone - self.wide.roll_allowance
        return self.up.depth - (below - y * math.sin(tilt)) / math.cos(tilt)

    def wall(self, *, is_top: bool) -> list[Vertex]:
        """Bottom or top wall beyond the open corners, from left to right."""
        side = self.up.high if is_top else self.up.low
        zone = self.zone[2] if is_top else self.zone[1]
        face = self.up.start + (self.up.face if is_top else 0.0)
        way = 1.0 if is_top else -1.0
        edge = self.up.length if is_top else 0.0
        flange = bend_allowance(abs(side.flange_turn), side.flange_radius, self.thickness, side.k_flange)
        tangent = edge - way * (side.flange + flange)
        a = self.wide.width
        found = []
        for is_right in (False, True):
            neighbour = self.wide.high if is_right else self.wide.low

            def at(inset: float, y: float, right: bool = is_right) -> Vertex:
                return Vertex(a - inset if right else inset, y)

            corner = [at(neighbour.roll_radius, face + way * zone), at(_GAP, face + way * zone), at(_GAP, tangent)]
            if side.flange_turn:
                bent, flat = (
                    self.ends(side.kind, neighbour.kind, depth) for depth in (side.flange_radius, self.leg(side))
                )
                corner += [at(bent, tangent), at(bent, edge - way * side.flange), at(flat, edge)]
            found += corner[::-1] if is_right else corner
        return found

    @cached_property
    def outline(self) -> Outline:
        """Whole blank, counter-clockwise."""
        bottom, top = self.wall(is_top=False), self.wall(is_top=True)
        left, right = self.arm(is_right=False), self.arm(is_right=True)
        loop = [*bottom, *self._relief(1.0, -1.0), *right, *self._relief(1.0, 1.0)]
        loop += [*top[::-1], *self._relief(-1.0, 1.0), *left[::-1], *self._relief(-1.0, -1.0)]
        after = loop[1:] + loop[:1]
        return tuple(v for v, then in zip(loop, after, strict=True) if math.dist(v[:2], then[:2]) > 1e-9)

    def corner(self, right: float, up: float) -> tuple[float, float]:
        """Where the bends' tangents cross at a corner of the face."""
        wide = self.wide.width - self.wide.high.roll_radius if right > 0.0 else self.wide.low.roll_radius
        return wide, self.up.start + (self.up.face if up > 0.0 else 0.0)

    def _relief(self, right: float, up: float) -> list[Vertex]:
        """Arc of a relief hole into the face, between the tangents, in the outline's way round."""
        x, y = self.corner(right, up)
        into, radius = _PAST * self.relief, self.relief
        cx, cy = x + right * (radius - into), y + up * (radius - into)
        reach = math.sqrt(radius**2 - (radius - into) ** 2)
        on_side, on_end = (cx + right * reach, y), (x, cy + up * reach)
        sweep = 1.5 * math.pi - 2.0 * math.asin(1.0 - _PAST)
        first, last = (on_end, on_side) if right * up < 0.0 else (on_side, on_end)
        return [Vertex(*first, bulge_of(-sweep)), Vertex(*last)]

    @cached_property
    def bends(self) -> tuple[BendLine, ...]:
        """Bottom to top, then left, then right."""
        lines, t = [], self.thickness
        for mark, is_flange, is_top in self._marks():
            neighbours = (self.wide.low, self.wide.high)
            side = self.up.high if is_top else self.up.low
            if is_flange:
                insets = [self.ends(side.kind, other.kind, side.flange_radius) for other in neighbours]
            else:
                insets = [other.roll_radius for other in neighbours]
            x1, x2 = insets[0], self.wide.width - insets[1]
            turn = abs(mark.bend.angle)
            way = "up" if mark.bend.angle > 0.0 else "down"
            deduction = bend_deduction(turn, mark.bend.radius, t, mark.bend.k)
            lines.append((x1, mark.middle, x2, mark.middle, turn, mark.bend.radius, way, mark.allowance, deduction))
        for is_right, side in ((False, self.wide.low), (True, self.wide.high)):
            half = 0.5 * self.wide.roll_allowance
            x = self.wide.width - side.roll_radius + half if is_right else side.roll_radius - half
            y1, y2 = self.up.start, self.up.start + self.up.face
            deduction = bend_deduction(0.5 * math.pi, side.roll_radius, t, side.k_roll)
            roll = (x, y1, x, y2, 0.5 * math.pi, side.roll_radius, "down", 2.0 * half, deduction)
            lines.append(roll)
            if side.flange_turn:
                tangent, edge = self.across(side)
                taken = tangent - edge - side.flange
                insets = [self.ends(side.kind, end.kind, side.flange_radius) for end in (self.up.low, self.up.high)]
                places = insets[0], self.up.width - insets[1]
                (ax, ay), (bx, by) = (self.sheet(side, is_right=is_right, y=y, w=tangent - 0.5 * taken) for y in places)
                way = "up" if side.kind == "out" else "down"
                deduction = bend_deduction(0.5 * math.pi, side.flange_radius, t, side.k_flange)
                lines.append((ax, ay, bx, by, 0.5 * math.pi, side.flange_radius, way, taken, deduction))
        return tuple(BendLine(number, *line) for number, line in enumerate(lines, start=1))  # type: ignore[arg-type]

    def _marks(self) -> Iterator[tuple[Mark, bool, bool]]:
        """Bends from bottom to top: whether a flange's, whether at the top."""
        marks = self.up.profile.marks
        low, high = bool(self.up.low.flange_turn), bool(self.up.high.flange_turn)
        for i, mark in enumerate(marks):
            yield mark, (i == 0 and low) or (i == len(marks) - 1 and high), i > int(low)
