"""The rolled-edge section: face, large rolls, walls, tight bends, flanges turned out onto the core.

largest_roll      largest roll that turns a full 90 deg in a depth
roll_angle        how far a larger roll turns
rolled_section    all straight and bent parts of a section
developed_length  its flat length
folded_volume     metal in it, length by length
volume_excess     folded volume over that of the flat, less one
section_outline   the section as drawn
cap_outline       a plate that closes its cut end

Lengths across the section are inside, depth is from the inside of the face to the flange plane. A roll
that stops short of 90 deg leaves its wall leaning outward; the width is then that between the rolls' ends.
"""

import math
from typing import NamedTuple

from shroudwright.bench.arcs import Outline, Vertex, bulge_of, moved
from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.metal.bend import bend_allowance

_RIGHT = 0.5 * math.pi
_INCH = 0.0254
_NOTHING = 1e-9


class Section(NamedTuple):
    """A rolled section: its shape, the straight parts and the flat lengths in the bends, [m] and [rad]."""

    width: float
    depth: float
    roll_radius: float
    thickness: float
    flange_radius: float
    angle: float
    """each roll and each flange bend turns through this"""
    face: float
    wall: float
    flange: float
    roll_allowance: float
    flange_allowance: float

    @property
    def length(self) -> float:
        """Developed length, flange edge to flange edge, [m]."""
        return self.face + 2.0 * (self.flange + self.flange_allowance + self.wall + self.roll_allowance)

    @property
    def middle_length(self) -> float:
        """Length along the middle of the sheet, [m]."""
        bends = self.roll_radius + self.flange_radius + self.thickness
        return self.face + 2.0 * (self.flange + self.wall + self.angle * bends)


@offer
def largest_roll(depth: float, flange_radius: float, thickness: float) -> float:
    """Largest inside radius of a 90 deg roll, with a flange turned out.

    R = D - r - t, which leaves no straight wall

    Parameters
    ----------
    depth : float
        Inside of the face to the flange plane, D, [m]
    flange_radius : float
        Inside radius of the flange bend, r, [m]
    thickness : float
        t, [m]

    Returns
    -------
    radius : float
        [m]

    Notes
    -----
    Limits: one bend follows the other; a brake cannot grip a wall that short, a roll can.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    return depth - flange_radius - thickness


@offer
def roll_angle(depth: float, roll_radius: float, flange_radius: float, thickness: float) -> float:
    """Angle at which a roll too large for its depth reaches the flange plane.

    cos(theta) = 1 - D / (R + r + t); the flange bend turns back through the same angle

    Parameters
    ----------
    depth : float
        Inside of the face to the flange plane, D, [m]
    roll_radius : float
        Inside, R, [m]
    flange_radius : float
        Inside radius of the flange bend, r, [m]
    thickness : float
        t, [m]

    Returns
    -------
    angle : float
        90 deg where the roll fits, [rad]

    Notes
    -----
    Limits: no straight wall between the two bends.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    return math.acos(max(1.0 - depth / (roll_radius + flange_radius + thickness), 0.0))


def rolled_section(
    *,
    width: float,
    depth: float,
    roll_radius: float,
    thickness: float,
    flange_radius: float,
    flange_leg: float,
    k_roll: float,
    k_flange: float,
    angle: float = _RIGHT,
) -> Section:
    """Straight parts and bends of a rolled section.

    s = (D - (R + r + t)(1 - cos A)) / sin A, f = leg - (r + t) tan(A / 2), face = H - 2 R sin A

    Parameters
    ----------
    width : float
        Inside, across the walls, H, [m]
    depth : float
        Inside of the face to the flange plane, D, [m]
    roll_radius : float
        Inside, R, [m]
    thickness : float
        t, [m]
    flange_radius : float
        Inside, r, [m]
    flange_leg : float
        Inner wall face, carried on to the flange plane, to the flange's edge, [m]
    k_roll, k_flange : float
        Depth of the neutral line over thickness, [-]
    angle : float
        Of the rolls, A, at most 90 deg and `roll_angle`, [rad]

    Returns
    -------
    Section
        Its parts.

    Raises
    ------
    InputError
        Where no such section exists, naming what would fit.
    """
    bends = roll_radius + flange_radius + thickness
    wall = (depth - bends * (1.0 - math.cos(angle))) / math.sin(angle)
    flange = flange_leg - (flange_radius + thickness) * math.tan(0.5 * angle)
    face = width - 2.0 * roll_radius * math.sin(angle)
    faults = []
    if wall < -_NOTHING:
        largest = largest_roll(depth, flange_radius, thickness)
        stops = math.degrees(roll_angle(depth, roll_radius, flange_radius, thickness))
        fits = f"largest {_both(largest)}" if largest > 0.0 else "no roll does"
        faults.append(
            f"roll_radius: {_both(roll_radius)} does not turn {math.degrees(angle):.3g} deg in a depth of "
            f"{_both(depth)}: {fits}, or the roll stops at {stops:.1f} deg"
        )
    if flange <= 0.0:
        least = (flange_radius + thickness) * math.tan(0.5 * angle) + 4.0 * thickness
        faults.append(f"flange_leg: {_both(flange_leg)} leaves no flat flange; make it {_both(least)} or more")
    if face <= 0.0:
        most = width / (2.0 * math.sin(angle))
        faults.append(f"roll_radius: {_both(roll_radius)} leaves no flat face; stay under {_both(most)}")
    if faults:
        raise InputError(faults)
    return Section(
        width,
        depth,
        roll_radius,
        thickness,
        flange_radius,
        angle,
        face,
        wall if wall > _NOTHING else 0.0,
        flange,
        bend_allowance(angle, roll_radius, thickness, k_roll),
        bend_allowance(angle, flange_radius, thickness, k_flange),
    )


def _both(length: float) -> str:
    return f"{length / _INCH:.3f} in ({1000.0 * length:.1f} mm)"


@offer
def developed_length(
    width: float,
    depth: float,
    roll_radius: float,
    thickness: float,
    flange_radius: float,
    flange_leg: float,
    k_roll: float,
    k_flange: float,
) -> float:
    """Flat length of a rolled section with 90 deg rolls, flange edge to flange edge.

    L = 2 (f + BA(r) + s + BA(R)) + H - 2 R, s = D - R - r - t, f = leg - r - t

    Parameters
    ----------
    width : float
        Inside, across the walls, H, [m]
    depth : float
        Inside of the face to the flange plane, D, [m]
    roll_radius : float
        Inside, R, [m]
    thickness : float
        t, [m]
    flange_radius : float
        Inside, r, [m]
    flange_leg : float
        Inner wall face to the flange's edge, [m]
    k_roll : float
        Neutral line of the rolls: 0.5, [-]
    k_flange : float
        Neutral line of the flange bends: about 0.40, [-]

    Returns
    -------
    length : float
        [m]

    Notes
    -----
    Limits: R at most `largest_roll`; flanges at least four thicknesses flat.
    Accuracy: exact for the K given.

    References
    ----------
    Geometry.
    """
    return rolled_section(
        width=width,
        depth=depth,
        roll_radius=roll_radius,
        thickness=thickness,
        flange_radius=flange_radius,
        flange_leg=flange_leg,
        k_roll=k_roll,
        k_flange=k_flange,
    ).length


@offer
def folded_volume(
    length: float,
    width: float,
    depth: float,
    roll_radius: float,
    thickness: float,
    flange_radius: float,
    flange_leg: float,
) -> float:
    """Metal in a rolled section with 90 deg rolls, before openings.

    Length along the middle of the sheet times thickness times length along the rolls.

    Parameters
    ----------
    length : float
        Along the rolls, [m]
    width : float
        Inside, across the walls, [m]
    depth : float
        Inside of the face to the flange plane, [m]
    roll_radius : float
        Inside, [m]
    thickness : float
        [m]
    flange_radius : float
        Inside, [m]
    flange_leg : float
        Inner wall face to the flange's edge, [m]

    Returns
    -------
    volume : float
        [m**3]

    Notes
    -----
    Limits: as `developed_length`.
    Accuracy: exact for bends of even thickness.

    References
    ----------
    Geometry.
    """
    # With K = 0.5 the flat is as long as the middle of the sheet.
    flat = developed_length(width, depth, roll_radius, thickness, flange_radius, flange_leg, 0.5, 0.5)
    return flat * thickness * length


def volume_excess(
    width: float,
    depth: float,
    roll_radius: float,
    thickness: float,
    flange_radius: float,
    flange_leg: float,
    k_roll: float,
    k_flange: float,
) -> float:
    """Folded volume over flat area times thickness, less one: what the neutral line hides.

    sum of A (0.5 - K) t over the bends, over L

    Parameters
    ----------
    width, depth, roll_radius, thickness, flange_radius, flange_leg : float
        As `developed_length`, [m]
    k_roll, k_flange : float
        As `developed_length`, [-]

    Returns
    -------
    excess : float
        [-]

    Notes
    -----
    Limits: as `developed_length`.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    shape = (width, depth, roll_radius, thickness, flange_radius, flange_leg)
    return developed_length(*shape, 0.5, 0.5) / developed_length(*shape, k_roll, k_flange) - 1.0


def _side(section: Section, foot: float) -> Outline:
    """Right half of one side of the sheet from the foot of the bend up; the foot is 0 inside, t outside."""
    sine, cosine, arc = math.sin(section.angle), math.cos(section.angle), bulge_of(section.angle)
    roll, bend = section.roll_radius + foot, section.flange_radius + section.thickness - foot
    half = 0.5 * section.face
    roll_x, roll_y = half + roll * sine, section.depth - section.roll_radius + roll * cosine
    wall_x, wall_y = roll_x + section.wall * cosine, roll_y - section.wall * sine
    wall = (Vertex(wall_x, wall_y),) if section.wall else ()
    return (
        Vertex(wall_x + bend * sine, foot, -arc),
        *wall,
        Vertex(roll_x, roll_y, arc),
        Vertex(half, section.depth + foot),
    )


def _back(path: Outline) -> Outline:
    """Return an open path walked the other way."""
    bulges = (*(vertex.bulge for vertex in path[-2::-1]), 0.0)
    return tuple(Vertex(vertex.x, vertex.y, 0.0 - bulge) for vertex, bulge in zip(path[::-1], bulges, strict=True))


def _across(path: Outline) -> Outline:
    """Return an open path mirrored left to right."""
    return tuple(Vertex(-vertex.x, vertex.y, 0.0 - vertex.bulge) for vertex in path)


def section_outline(section: Section) -> Outline:
    """Return the metal of a section as drawn, flanges down, lower left at the origin.

    Parameters
    ----------
    section : Section
        As made by `rolled_section`.

    Returns
    -------
    tuple of Vertex
        Closed, counter-clockwise, x across the walls, y from the core outward, [m]
    """
    inside, outside = _side(section, 0.0), _side(section, section.thickness)
    edge = outside[0].x + section.flange
    right = (Vertex(edge, 0.0), Vertex(edge, section.thickness), *outside)
    return moved((*right, *_across(_back(right)), *_across(inside), *_back(inside)), edge, 0.0)


def cap_outline(section: Section) -> Outline:
    """Return a flat plate that butts on a section's cut end, lower left at the origin.

    Parameters
    ----------
    section : Section
        As made by `rolled_section`.

    Returns
    -------
    tuple of Vertex
        Outer side of the section, closed at the flange plane, counter-clockwise, [m]
    """
    outside = _side(section, section.thickness)
    right = (Vertex(outside[0].x, 0.0), *outside)
    return moved((*right, *_across(_back(right))), outside[0].x, 0.0)
