"""The rolled-edge section: both edges alike, flanges turned out onto the core.

largest_roll      largest roll that turns a full 90 deg in a depth
roll_angle        how far a larger roll turns
rolled_section    all straight and bent parts of a section
developed_length  its flat length
folded_volume     metal in it, length by length
volume_excess     folded volume over that of the flat, less one
section_outline   a section as drawn
cap_outline       a plate that closes its cut end

Lengths as in `metal.walls`, which holds sections of other families.
"""

import math

from shroudwright.bench.arcs import Outline, Vertex, box, moved
from shroudwright.bench.registry import offer
from shroudwright.metal.profile import backwards
from shroudwright.metal.walls import Section, over_room, section_of

_RIGHT = 0.5 * math.pi
_NOTHING = 1e-9


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
    return section_of(
        width=width,
        depth=depth,
        roll_radius=roll_radius,
        thickness=thickness,
        flange_radius=flange_radius,
        flange_leg=flange_leg,
        k_roll=k_roll,
        k_flange=k_flange,
        angle=angle,
    )


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


def section_outline(section: Section) -> Outline:
    """Return the metal of a section as drawn, core side down, lower left at the origin.

    Parameters
    ----------
    section : Section
        As made by `rolled_section`.

    Returns
    -------
    tuple of Vertex
        Closed, counter-clockwise, x across the walls, y from the core outward, [m]
    """
    return _cornered(section.profile.outline)


def cap_outline(section: Section) -> Outline:
    """Return a flat plate that butts on a section's cut end, lower left at the origin.

    Parameters
    ----------
    section : Section
        As made by `rolled_section`.

    Returns
    -------
    tuple of Vertex
        Outer side of the section, closed at the core's plane, counter-clockwise, [m]
    """
    return _cornered(_closed(over_room(section, section.thickness)))


def _closed(over: Outline) -> Outline:
    """Close a line at the core's plane, counter-clockwise."""
    ends = [Vertex(end.x, 0.0) for end in (over[0], over[-1]) if abs(end.y) > _NOTHING]
    return (*ends, *backwards(over))


def _cornered(outline: Outline) -> Outline:
    around = box(outline)
    return moved(outline, -around.x1, -around.y1)
