"""A pan bent from one blank: face, four walls, a flange out, in, none or a lip on each; corners welded.

pan_shroud     flats, section, weight and findings
relief_radius  hole where two bends meet

x across the core, y up, from the lower left corner of the inside, seen from behind; a flat lies as it is seen.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from shroudwright.bench.arcs import Box, Circle, Outline, Vertex, box, bulge_of, moved
from shroudwright.bench.errors import InputError
from shroudwright.metal.bend import bend_allowance, bend_deduction, k_factor
from shroudwright.metal.clip import middle_area
from shroudwright.metal.ends import FOOT_SHORT
from shroudwright.metal.flat import BendLine, EtchText, Finding, Flat, Hole, Opening
from shroudwright.metal.look import Fan, Spot, grommet_spot, inside_marks, look_over
from shroudwright.metal.profile import Mark
from shroudwright.metal.rows import bolt_away, spread
from shroudwright.metal.section import section_outline
from shroudwright.metal.sheet import find_sheet, sheet_weight
from shroudwright.metal.shroud import Shroud, must_be_possible
from shroudwright.metal.walls import Flange, Section, Side, section_of

_INCH = 0.0254
_GAP = 0.0156 * _INCH
"""Between two walls at a corner, for the weld, [m]; common practice, no source."""
_LARGE_ENOUGH = 0.064 * _INCH
_PAST = 0.3
"""How far a relief hole reaches past the bends, in its radii: enough to take the corner of the face with it."""
_TEXT_HEIGHT = 0.006


def relief_radius(thickness: float, bend_radius: float) -> float:
    """Least radius of the hole where two bends meet.

    1/8 in across to 0.064 in sheet, 3/16 in above, or the bend's 2 R where that is larger

    Parameters
    ----------
    thickness, bend_radius : float
        Of the sheet, inside of the bend, [m]

    Returns
    -------
    radius : float
        [m]

    References
    ----------
    FAA-H-8083-31, sheet-metal chapter; read in a public copy.
    """
    across = 0.125 if thickness <= _LARGE_ENOUGH * (1.0 + 1e-9) else 0.1875
    return max(0.5 * across * _INCH, bend_radius)


@dataclass(frozen=True)
class _Pan:
    """A pan on its flat; ``up`` is the section from its bottom to its top, ``wide`` that from left to right."""

    up: Section
    wide: Section
    relief: float

    @property
    def thickness(self) -> float:
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
                bent, flat = (
                    self.ends(side.kind, inner.kind, depth) for depth in (side.flange_radius, self._leg(side))
                )
                corner += [at(bent, tangent), at(bent, edge + side.flange), at(flat, edge)]
            found += corner[::-1] if is_top else corner
        return found

    def _leg(self, side: Side) -> float:
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
                    self.ends(side.kind, neighbour.kind, depth) for depth in (side.flange_radius, self._leg(side))
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


def pan_shroud(
    *,
    width: float,
    height: float,
    depth: float,
    depth_top: float | None,
    bend_radius: float,
    flange_radius: float,
    flange_leg: float,
    flanges: Mapping[str, Flange],
    lip: float,
    thickness: float,
    metal: str,
    fans: Sequence[Fan],
    opening_clearance: float,
    bolt_hole: float,
    bolt_pitch: float,
    grommet: float,
    relief: float | None = None,
) -> Shroud:
    """Lay out a shroud bent from one blank, four walls square to the core, its corners welded.

    Parameters
    ----------
    width, height : float
        Inside, across and up, [m]
    depth, depth_top : float
        Inside of the face to the core's plane, at the bottom and, where it tapers, at the top, [m]
    bend_radius, flange_radius : float
        Inside, of the bends at the face and at the flanges, [m]
    flange_leg : float
        Inner wall face to the flange's edge, [m]
    flanges : mapping of str to str
        How the left, right, bottom and top walls end: out, in, none, lip, [text]
    lip : float
        How far a wall that ends in a lip goes on past the core's plane, [m]
    thickness : float
        [m]
    metal : str
        As `rolled_shroud`, [text]
    fans : sequence of Fan
        One round opening each, [m]
    opening_clearance : float
        Blade tip to the opening's edge, [m]
    bolt_hole, bolt_pitch, grommet : float
        Hole, most from one to the next, hole for the wires, [m]
    relief : float or None
        Diameter of the holes where bends meet; by the table where None, [m]

    Returns
    -------
    Shroud
        One flat, the section up the middle, weight in kg, findings.

    Raises
    ------
    InputError
        Where no such pan exists.

    Notes
    -----
    Limits: one taper, upward; square walls only.
    Accuracy: flat lengths as the neutral lines of `k_factor`.

    References
    ----------
    Geometry; corner reliefs FAA-H-8083-31, sheet-metal chapter, read in a public copy.
    """
    must_be_possible(
        {"width": width, "height": height, "depth": depth, "thickness": thickness, "bolt_pitch": bolt_pitch},
        {"bend_radius": bend_radius, "flange_radius": flange_radius, "opening_clearance": opening_clearance},
    )
    shape = {
        "roll_radius": bend_radius,
        "thickness": thickness,
        "flange_radius": flange_radius,
        "flange_leg": flange_leg,
        "k_roll": k_factor(bend_radius, thickness, metal),
        "k_flange": k_factor(flange_radius, thickness, metal),
        "lip": lip,
    }
    top = depth if depth_top is None else depth_top
    faults: list[str] = []
    sections = []
    for size, ends, depths in (
        (height, (flanges["bottom"], flanges["top"]), (depth, top)),
        (width, (flanges["left"], flanges["right"]), (min(depth, top),) * 2),
    ):
        try:
            sections.append(section_of(width=size, depth=depths[0], depth_high=depths[1], flanges=ends, **shape))  # type: ignore[arg-type]
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(list(dict.fromkeys(faults)))
    least = relief_radius(thickness, bend_radius)
    pan = _Pan(sections[0], sections[1], least if relief is None else 0.5 * relief)
    around = box(pan.outline)
    dx, dy = -around.x1, -around.y1
    outline = moved(pan.outline, dx, dy)
    openings = tuple(
        Opening(Circle(fan.x + dx, pan.up.place(fan.y) + dy, 0.5 * fan.blade + opening_clearance), fan.code)
        for fan in fans
    )
    spots: list[Spot] = [
        (opening.middle[0] + x, opening.middle[1] + y, diameter, f"{fan.code} mount")
        for fan, opening in zip(fans, openings, strict=True)
        for x, y, diameter in fan.holes
    ]
    spots += [(x + dx, y + dy, bolt_hole, purpose) for x, y, purpose in _bolts(pan, bolt_hole, bolt_pitch)]
    (left, low), (right, high) = pan.corner(-1.0, -1.0), pan.corner(1.0, 1.0)
    face = Box(left + dx, low + dy, right + dx, high + dy)
    spots.append(grommet_spot(outline, face, thickness, grommet, openings, spots))
    blank = Flat(
        name="main blank",
        outline=outline,
        openings=openings,
        holes=tuple(Hole(number, *spot) for number, spot in enumerate(spots, start=1)),
        bends=tuple(
            bend._replace(x1=bend.x1 + dx, x2=bend.x2 + dx, y1=bend.y1 + dy, y2=bend.y2 + dy) for bend in pan.bends
        ),
        etch_lines=(),
        etch_texts=(
            EtchText("OUTER FACE UP", face.x1 + _TEXT_HEIGHT, face.y2 - 2.0 * _TEXT_HEIGHT, _TEXT_HEIGHT, 0.0),
            *inside_marks(fans, openings, _TEXT_HEIGHT),
        ),
        thickness=thickness,
        quantity=1,
    )
    look = look_over(blank, outline, face, fans, sections, metal)
    torn = (Finding("B12", 2.0 * pan.relief, 2.0 * least, "corners"),) if pan.relief < least * (1.0 - 1e-9) else ()
    return Shroud(
        flats=(blank,),
        section=section_outline(pan.up),
        shape=pan.up,
        metal=metal,
        weight=sheet_weight(middle_area(blank) * thickness, find_sheet(metal).density),
        trim=0.0,
        findings=(*torn, *look.findings),
        stops=(*torn, *look.stops),
        thickness=thickness,
        family="bent pan",
        depths=(depth, top),
        seam=2.0 * (depth + top),
    )


def _bolts(pan: _Pan, diameter: float, pitch: float) -> list[tuple[float, float, str]]:
    """Holes along every flange and lip."""
    spots = []
    t = pan.thickness
    for is_top, side in ((False, pan.up.low), (True, pan.up.high)):
        if side.kind == "none":
            continue
        away = 0.5 * pan.up.lip if side.kind == "lip" else bolt_away(side.flange, t, diameter)
        y = pan.up.length - away if is_top else away
        ends = [pan.ends(side.kind, other.kind, pan._leg(side)) for other in (pan.wide.low, pan.wide.high)]
        for along in spread(pan.wide.width - sum(ends), 3.0 * diameter, pitch):
            spots.append((ends[0] + along, y, "lip bolt" if side.kind == "lip" else "flange bolt"))
    for is_right, side in ((False, pan.wide.low), (True, pan.wide.high)):
        if side.kind == "none":
            continue
        edge = pan.across(side)[1]
        w = edge + (0.5 * pan.wide.lip if side.kind == "lip" else bolt_away(side.flange, t, diameter))
        ends = [pan.ends(side.kind, other.kind, pan._leg(side)) for other in (pan.up.low, pan.up.high)]
        for along in spread(pan.up.width - sum(ends), 3.0 * diameter, pitch):
            x, y = pan.sheet(side, is_right=is_right, y=ends[0] + along, w=w)
            spots.append((x, y, "lip bolt" if side.kind == "lip" else "flange bolt"))
    return spots
