"""What else is cut out of a face, and what its edges become: straights and arcs throughout.

lip_stiffness     what a turned lip adds
lip_setback       how far inside an opening the flat is cut for its lip
flared_hole       the hole in the flat before a lip is flared
mount_pattern     two, three or four holes on a circle
keyhole           a slot a stud is turned into
flap_windows      a flap's opening, with bars left across it
lightening_holes  a field of holes that leaves the webs standing
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from shroudwright.bench.arcs import Circle, Outline, Vertex, bulge_of, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.metal.edges import Shape, edge_gaps, webs

_INCH = 0.0254
FREE_SPAN = 3.0 * _INCH
"""Widest a flap may lie over without a bar: common practice, [m]"""
BAR = 0.5 * _INCH
"""Width of a bar across a flap's opening: common practice, [m]"""
_SLACK = 1e-9


@offer
def lip_stiffness(thickness: float, height: float) -> float:
    """Second moment of area that a lip turned square from an opening's edge adds.

    I = t h^3 / 3, about the face's plane

    Parameters
    ----------
    thickness : float
        t, [m]
    height : float
        Of the lip, from the face, h, [m]

    Returns
    -------
    stiffness : float
        [m**4]

    Notes
    -----
    Limits: a thin, straight lip that stays square; a lip round a circle is stiffer still.
    Accuracy: a few per cent while h is many times t.

    References
    ----------
    Bending of beams, t h^3 / 3 about the strip's end.
    """
    return thickness * height**3 / 3.0


def lip_setback(height: float, radius: float, thickness: float) -> float:
    """Return how far inside the clear opening the flat is cut for a lip, as `flared_hole`, [m]."""
    if height < radius + thickness:
        raise InputError(
            [f"lip: {height / _INCH:.3f} in is lower than its bend; type {(radius + thickness) / _INCH:.3f} in or more"]
        )
    bend = 0.5 * math.pi * (radius + 0.5 * thickness)
    return bend + height - 2.0 * (radius + thickness)


class FlaredHole(NamedTuple):
    """What to cut before flaring."""

    diameter: float
    """of the hole in the flat, [m]"""
    stretch: float
    """of its edge, [-]"""


@offer
def flared_hole(opening: float, height: float, radius: float, thickness: float) -> FlaredHole:
    """Hole in the flat that gives an opening with a lip once its edge is flared square.

    d = Dm - 2 (h - 0.43 r - 0.715 t), Dm = D + t: the middle line laid flat

    Parameters
    ----------
    opening : float
        Clear diameter inside the lip, D, [m]
    height : float
        Of the lip, from the face's far side to its edge, h, [m]
    radius : float
        Inside radius of the bend, r, [m]
    thickness : float
        t, [m]

    Returns
    -------
    diameter : float
        [m]
    stretch : float
        Of the hole's edge, (Dm - d) / d, [-]

    Raises
    ------
    InputError
        Where the lip is too low to bend, or leaves no hole.

    Notes
    -----
    Limits: h over r + t; the edge thins as it stretches and the lip comes out a little low.
    Accuracy: a coupon first; 3003 and 5052 split at 10 to 15 % in common practice, 6061-T6 sooner.

    References
    ----------
    Bend allowance with the neutral line in the middle; the figures 0.43 and 0.72 stand in tables of hole
    flanging, from memory.
    """
    middle = opening + thickness
    diameter = opening - 2.0 * lip_setback(height, radius, thickness)
    if diameter <= 0.0:
        raise InputError([f"lip: {height / _INCH:.3f} in high leaves no hole to flare"])
    return FlaredHole(diameter, (middle - diameter) / diameter)


def mount_pattern(points: int, circle: float, hole: float) -> tuple[tuple[float, float, float], ...]:
    """Mounting holes evenly round a fan's centre.

    Parameters
    ----------
    points : int
        2 left and right, 3 with one on top, 4 at the corners, [-]
    circle : float
        Diameter they stand on, [m]
    hole : float
        Diameter of each, [m]

    Returns
    -------
    tuple of (float, float, float)
        x, y from the fan's centre, and diameter, [m]

    Raises
    ------
    InputError
        For any other number of points.
    """
    first = {2: 0.0, 3: 0.5 * math.pi, 4: 0.25 * math.pi}
    if points not in first:
        raise InputError([f"mounts: {points} is not 2, 3 or 4; type the holes one by one instead"])
    angles = [first[points] + math.tau * number / points for number in range(points)]
    return tuple((0.5 * circle * math.cos(angle), 0.5 * circle * math.sin(angle), hole) for angle in angles)


def keyhole(circle: float, head: float, shank: float, start: float, turn: float) -> Outline:
    """Keyhole about the origin: a stud's head goes in at its start and is turned along its slot.

    Parameters
    ----------
    circle : float
        Diameter the studs stand on, [m]
    head, shank : float
        Diameters of the round end and width of the slot, clearance included, [m]
    start, turn : float
        Where the head goes in, and how far it is turned, counter-clockwise, [rad]

    Returns
    -------
    tuple of Vertex
        Five arcs, counter-clockwise, [m]

    Raises
    ------
    InputError
        Where the slot is as wide as the head, or ends within it.

    Notes
    -----
    Limits: a quarter turn or less; all studs of a fan need the same turn.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    p, r, half = 0.5 * circle, 0.5 * head, 0.5 * shank

    def meets(slot: float) -> float:
        """Angle from the head's place at which its circle meets a slot's edge."""
        return math.acos((p * p + slot * slot - r * r) / (2.0 * p * slot))

    if not 0.0 < half < r < p:
        raise InputError(["keyhole: the slot must be narrower than the head's hole, and that smaller than the circle"])
    inner, outer = meets(p - half), meets(p + half)
    if turn <= max(inner, outer):
        raise InputError(
            [f"keyhole: turned {math.degrees(turn):.1f} deg the stud is still in the head's hole; turn further"]
        )

    def place(radius: float, angle: float, bulge: float) -> Vertex:
        return Vertex(radius * math.cos(start + angle), radius * math.sin(start + angle), bulge)

    # The head's circle is entered on the slot's inner edge and left on its outer, the long way round.
    hx, hy = p * math.cos(start), p * math.sin(start)

    def seen(vertex: Vertex) -> float:
        return math.atan2(vertex.y - hy, vertex.x - hx)

    enters, leaves = place(p - half, inner, 0.0), place(p + half, outer, 0.0)
    sweep = (seen(leaves) - seen(enters)) % math.tau
    middle = seen(enters) + 0.5 * sweep
    return (
        enters._replace(bulge=bulge_of(0.5 * sweep)),
        Vertex(hx + r * math.cos(middle), hy + r * math.sin(middle), bulge_of(0.5 * sweep)),
        leaves._replace(bulge=bulge_of(turn - outer)),
        place(p + half, turn, 1.0),
        place(p - half, turn, -bulge_of(turn - inner)),
    )


def flap_windows(
    x: float, y: float, width: float, height: float, bars: int = 0, corner: float = 0.25 * _INCH
) -> tuple[Outline, ...]:
    """Openings under one flap: one, or several with bars of metal left between.

    Parameters
    ----------
    x, y : float
        Middle, [m]
    width, height : float
        Over all, bars included, [m]
    bars : int
        Upright ones, each `BAR` wide, [-]
    corner : float
        Radius of the corners, at most half the height, [m]

    Returns
    -------
    tuple of Outline
        Upright rounded windows, from the left, [m]

    Notes
    -----
    Limits: bars enough that none of them is wider than `FREE_SPAN` are up to who asks.
    Accuracy: exact.

    References
    ----------
    Common practice, no source.
    """
    each = (width - bars * BAR) / (bars + 1)
    if min(each, height) <= 0.0:
        raise InputError([f"flap: {width / _INCH:.3f} by {height / _INCH:.3f} in leaves no opening"])
    window = rectangle(each, height, min(corner, 0.5 * each, 0.5 * height))
    left, low = x - 0.5 * width, y - 0.5 * height
    return tuple(moved(window, left + number * (each + BAR), low) for number in range(bars + 1))


def lightening_holes(
    field: Outline, keep: Sequence[Shape], diameter: float, web: float, edge: float
) -> tuple[Circle, ...]:
    """Round holes in rows, every second row shifted, as many as leave the webs standing.

    Parameters
    ----------
    field : tuple of Vertex
        Flat metal they may lie in, [m]
    keep : sequence of Circle or Outline
        Openings and holes already there, [m]
    diameter : float
        Of each, [m]
    web, edge : float
        Least metal between two things cut out, and to the field's edge, [m]

    Returns
    -------
    tuple of Circle
        In rows from below, [m]
    """
    xs, ys = [vertex.x for vertex in field], [vertex.y for vertex in field]
    pitch, rise = diameter + web, (diameter + web) * math.sqrt(0.75)
    spots = []
    for row in range(max(math.ceil((max(ys) - min(ys)) / rise), 0) + 1):
        shift = 0.5 * pitch * (row % 2)
        for column in range(max(math.ceil((max(xs) - min(xs)) / pitch), 0) + 1):
            spots.append(
                Circle(
                    min(xs) + edge + 0.5 * diameter + shift + column * pitch,
                    min(ys) + edge + 0.5 * diameter + row * rise,
                    0.5 * diameter,
                )
            )
    clear = edge_gaps(spots, field) >= edge - _SLACK
    if keep:
        clear &= webs(spots, keep).min(axis=1) >= web - _SLACK
    return tuple(spot for spot, fits in zip(spots, clear, strict=True) if fits)
