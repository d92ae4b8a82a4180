"""The section across a shroud's bent edges: face, bends or rolls, walls, and how the walls end on the core.

Flange, Side, Section    the section and its two edges
section_of               from what is asked to its straight parts and bends
over_room                the line of the sheet over the room behind the core

Lengths across the section are inside, depth is from the inside of the face to the plane of the core. A roll
that stops short of 90 deg leaves its wall leaning outward; the width is then that between the rolls' ends.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

from shroudwright.bench.arcs import Outline
from shroudwright.bench.errors import InputError
from shroudwright.metal.bend import bend_allowance
from shroudwright.metal.profile import Bend, Profile, Straight

Flange = Literal["out", "in", "none", "lip"]
"""How a wall ends: flange turned out on the core, or in under its edge, a plain edge, or on over the core's side."""

_RIGHT = 0.5 * math.pi
_INCH = 0.0254
_NOTHING = 1e-9


class Side(NamedTuple):
    """One edge of a section, [m] and [rad]."""

    kind: Flange
    roll_radius: float
    flange_radius: float
    angle: float
    """of the wall to the plane of the core: 90 deg is square"""
    turn: float
    """of the roll"""
    flange_turn: float
    wall: float
    flange: float
    k_roll: float
    k_flange: float
    start: float
    """across, from the wall's inner face to where the flat face starts"""

    @property
    def parts(self) -> tuple[Straight | Bend, ...]:
        """From the sheet's edge to the face."""
        ends: tuple[Straight | Bend, ...] = ()
        if self.flange_turn:
            ends = Straight(self.flange), Bend(self.flange_turn, self.flange_radius, self.k_flange)
        return (*ends, Straight(self.wall), Bend(-self.turn, self.roll_radius, self.k_roll))

    def run(self, thickness: float) -> float:
        """Flat length from the sheet's edge to the face, [m]."""
        return Profile(self.parts, thickness).length


@dataclass(frozen=True)
class Section:
    """A section: its shape and straight parts, [m] and [rad]."""

    width: float
    depth: float
    """at the low edge"""
    depth_high: float
    thickness: float
    face: float
    low: Side
    high: Side
    lip: float = 0.0

    @property
    def tilt(self) -> float:
        """Of the face, rising from the low edge, [rad]."""
        return math.atan2(self.depth_high - self.depth, self.width)

    @cached_property
    def profile(self) -> Profile:
        """Its chain, low edge to high; as drawn x is from the low wall's inner face, y from the core's plane."""
        heading = {"out": 0.0, "in": math.pi}.get(self.low.kind, self.low.angle)
        walked = Profile(self.low.parts, self.thickness, heading=heading).line(0.0)[-1]
        x, y = self.low.start - walked.x, self.depth + self.low.start * math.tan(self.tilt) - walked.y
        return Profile((*self.low.parts, Straight(self.face), *self.high.parts[::-1]), self.thickness, x, y, heading)

    @property
    def start(self) -> float:
        """Where the flat face starts on the flat, from the low edge, [m]."""
        return self.low.run(self.thickness)

    def place(self, across: float) -> float:
        """Where a place on the face, across from the low wall's inner face, lies on the flat, [m]."""
        return self.start + (across - self.low.start) / math.cos(self.tilt)

    @property
    def roll_radius(self) -> float:
        """Inside, the larger, [m]."""
        return max(self.low.roll_radius, self.high.roll_radius)

    @property
    def flange_radius(self) -> float:
        """Inside, [m]."""
        return self.low.flange_radius

    @property
    def angle(self) -> float:
        """What the rolls turn through, the lesser, [rad]."""
        return min(self.low.turn, self.high.turn)

    @property
    def wall(self) -> float:
        """The shorter straight wall, [m]."""
        return min(self.low.wall, self.high.wall)

    @property
    def flange(self) -> float:
        """The shorter straight flange, [m]; 0 where a wall has none."""
        return min(self.low.flange, self.high.flange)

    @property
    def roll_allowance(self) -> float:
        """Flat length in the low roll, [m]."""
        return bend_allowance(self.low.turn, self.low.roll_radius, self.thickness, self.low.k_roll)

    @property
    def flange_allowance(self) -> float:
        """Flat length in the low flange bend, [m]."""
        return bend_allowance(abs(self.low.flange_turn), self.flange_radius, self.thickness, self.low.k_flange)

    @property
    def length(self) -> float:
        """Developed length, edge to edge, [m]."""
        return self.profile.length

    @property
    def middle_length(self) -> float:
        """Length along the middle of the sheet, [m]."""
        return self.profile.middle_length


def section_of(
    *,
    width: float,
    depth: float,
    roll_radius: float,
    thickness: float,
    flange_radius: float,
    flange_leg: float,
    k_roll: float,
    k_flange: float,
    depth_high: float | None = None,
    flanges: tuple[Flange, Flange] = ("out", "out"),
    lip: float = 0.0,
    angle: float = _RIGHT,
    partial: bool = False,
) -> Section:
    """Straight parts and bends of a section whose edges may differ and whose face may tilt.

    A wall at angle A to the core's plane, on an edge whose face rises inward by the tilt T:
    the roll turns A - T, the flat face starts R (sin A - sin T) in, and with C the height the flange bend takes,
    s = (D + R (sin A - sin T) tan T - R (cos T - cos A) - C) / sin A;
    out: C = (r + t)(1 - cos A), in: C = r (1 + cos A) + t, plain: 0, lip: less its height

    Parameters
    ----------
    width : float
        Inside, across the walls, [m]
    depth, depth_high : float
        Inside of the face to the core's plane at the low and the high edge; alike where only one is given, [m]
    roll_radius : float
        Inside, R, of the bends or rolls at the face, [m]
    thickness : float
        t, [m]
    flange_radius : float
        Inside, r, [m]
    flange_leg : float
        Inner wall face to the flange's edge, out or in, [m]
    k_roll, k_flange : float
        Depth of the neutral line over thickness, [-]
    flanges : tuple of str
        How the low and the high wall end: out, in, none, lip, [text]
    lip : float
        How far a wall that ends in a lip goes on past the core's plane, [m]
    angle : float
        Of the walls to the core's plane, at most 90 deg, [rad]
    partial : bool
        Whether a roll too large for its depth may stop short of 90 deg; not with a flange turned in.

    Returns
    -------
    Section
        Its parts.

    Raises
    ------
    InputError
        Where no such section exists, naming what would fit.

    Notes
    -----
    Limits: straight edges; a tilt well under 45 deg.
    Accuracy: exact for the neutral lines given.

    References
    ----------
    Geometry.
    """
    depths = (depth, depth if depth_high is None else depth_high)
    tilt = math.atan2(depths[1] - depths[0], width)
    faults: list[str] = []
    sides = []
    for kind, inside, slope in zip(flanges, depths, (tilt, -tilt), strict=True):
        edge = _Edge(kind, inside, slope, roll_radius, thickness, flange_radius, lip)
        at = edge.lands() if partial and kind != "in" and edge.wall(_RIGHT) < -_NOTHING else angle
        faults += edge.faults(at, flange_leg)
        sides.append(edge.side(at, flange_leg, k_roll, k_flange))
    low, high = sides
    face = (width - low.start - high.start) / math.cos(tilt)
    if face <= 0.0:
        most = width / (math.sin(low.angle) - math.sin(tilt) + math.sin(high.angle) + math.sin(tilt))
        faults.append(f"roll_radius: {_both(roll_radius)} leaves no flat face; stay under {_both(most)}")
    if faults:
        raise InputError(list(dict.fromkeys(faults)))
    return Section(width, *depths, thickness, face, low, high, lip if "lip" in flanges else 0.0)


class _Edge(NamedTuple):
    """What is asked of one edge; ``tilt`` is how the face rises inward from it."""

    kind: Flange
    depth: float
    tilt: float
    roll: float
    thickness: float
    bend: float
    lip: float

    def wall(self, angle: float) -> float:
        """Straight wall left, negative where the bends take more than the depth."""
        rise = self.roll * ((math.sin(angle) - math.sin(self.tilt)) * math.tan(self.tilt) + math.cos(angle))
        height = self.depth + rise - self.roll * math.cos(self.tilt) - self._end(angle)
        return height / math.sin(angle)

    def _end(self, angle: float) -> float:
        """Height the wall's end takes above the core's plane."""
        if self.kind == "out":
            return (self.bend + self.thickness) * (1.0 - math.cos(angle))
        if self.kind == "in":
            return self.bend * (1.0 + math.cos(angle)) + self.thickness
        return -self.lip if self.kind == "lip" else 0.0

    def largest(self) -> float:
        """Largest roll with a square wall."""
        return (self.depth - self._end(_RIGHT)) / (
            math.cos(self.tilt) - (1.0 - math.sin(self.tilt)) * math.tan(self.tilt)
        )

    def lands(self) -> float:
        """Angle of a wall without a straight part."""
        out = self.bend + self.thickness if self.kind == "out" else 0.0
        lip = self.lip if self.kind == "lip" else 0.0
        a, b = self.roll + out, self.roll * math.tan(self.tilt)
        c = self.roll / math.cos(self.tilt) + out - self.depth - lip
        return math.atan2(b, a) + math.acos(min(max(c / math.hypot(a, b), -1.0), 1.0))

    def side(self, angle: float, leg: float, k_roll: float, k_flange: float) -> Side:
        wall, turned, flange = self.wall(angle), 0.0, 0.0
        if self.kind == "out":
            turned, flange = angle, leg - (self.bend + self.thickness) * math.tan(0.5 * angle)
        elif self.kind == "in":
            turned = angle - math.pi
            flange = leg - self.bend * math.tan(0.5 * (math.pi - angle))
        return Side(
            self.kind,
            self.roll,
            self.bend,
            angle,
            angle - self.tilt,
            turned,
            wall if wall > _NOTHING else 0.0,
            flange,
            k_roll,
            k_flange,
            self.roll * (math.sin(angle) - math.sin(self.tilt)),
        )

    def faults(self, angle: float, leg: float) -> list[str]:
        found = []
        if self.wall(angle) < -_NOTHING:
            largest = self.largest()
            fits = f"largest {_both(largest)}" if largest > 0.0 else "no roll does"
            stops = "" if self.kind == "in" else f", or the roll stops at {math.degrees(self.lands()):.1f} deg"
            found.append(
                f"roll_radius: {_both(self.roll)} does not turn {math.degrees(angle):.3g} deg in a depth of "
                f"{_both(self.depth)}: {fits}{stops}"
            )
        setback = self.bend + self.thickness if self.kind == "out" else self.bend
        if self.kind in ("out", "in") and leg <= setback * math.tan(0.5 * angle):
            least = setback * math.tan(0.5 * angle) + 4.0 * self.thickness
            found.append(f"flange_leg: {_both(leg)} leaves no flat flange; make it {_both(least)} or more")
        return found


def _both(length: float) -> str:
    return f"{length / _INCH:.3f} in ({1000.0 * length:.1f} mm)"


def over_room(section: Section, level: float) -> Outline:
    """Return the line of the sheet over the room behind the core, flanges left off.

    Parameters
    ----------
    section : Section
        As made by `section_of`.
    level : float
        0 for the inner face, the thickness for the outer, [m]

    Returns
    -------
    tuple of Vertex
        Open, from the low wall to the high one; x from the low wall's inner face, y from the core's plane, [m]
    """
    line = section.profile.line(level)
    return line[1 if section.low.flange_turn else 0 : -1 if section.high.flange_turn else None]
