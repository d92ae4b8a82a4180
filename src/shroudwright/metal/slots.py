"""Bolts with play, and studs that are turned in.

slotted    a flat's bolt holes as slots or larger holes
slot       a slot's outline
keyholes   a fan's mounting holes as keyholes
"""

import math
from collections.abc import Sequence
from dataclasses import replace

from shroudwright.bench.arcs import Circle, Outline, Vertex, box, moved
from shroudwright.metal.cutouts import keyhole
from shroudwright.metal.edges import Shape
from shroudwright.metal.flat import Flat, Hole, Opening, numbered


def slotted(flat: Flat, purposes: Sequence[str], play: float, *, is_round: bool = False, keep: bool = False) -> Flat:
    """Turn a flat's bolt holes into slots along x, or into larger holes, that let the sheet grow.

    Parameters
    ----------
    flat : Flat
    purposes : sequence of str
        Whose bolts.
    play : float
        Either way, [m]
    is_round : bool
        Whether they become larger holes, under washers.
    keep : bool
        Whether the one nearest the middle of the flat, the lowest of such, stays as it is.

    Returns
    -------
    Flat
        Its other holes numbered anew.

    References
    ----------
    One fixed bolt, play for the others: common practice, no source.
    """
    own = [hole for hole in flat.holes if hole.purpose in purposes]
    around = box(flat.outline)
    middle = 0.5 * (around.x1 + around.x2)
    fixed = min(own, key=lambda hole: (round(abs(hole.x - middle), 6), hole.y), default=None) if keep else None
    made = []
    for hole in own:
        if hole is fixed:
            continue
        half = 0.5 * hole.diameter
        larger: Shape = Circle(hole.x, hole.y, half + play)
        shape = larger if is_round else slot(hole.x, hole.y, hole.diameter + 2.0 * play, hole.diameter)
        made.append(Opening(shape, hole.purpose, Circle(hole.x, hole.y, half)))
    holes = [hole for hole in flat.holes if hole is fixed or hole.purpose not in purposes]
    return replace(flat, openings=(*flat.openings, *made), holes=numbered(holes))


def slot(x: float, y: float, width: float, height: float) -> Outline:
    """Return a slot with round ends about its middle, along its longer side, [m]."""
    if width < height:
        return tuple(Vertex(x - v.y + y, y + v.x - x, v.bulge) for v in slot(x, y, height, width))
    half, reach = 0.5 * height, 0.5 * (width - height)
    return (
        Vertex(x - reach, y - half),
        Vertex(x + reach, y - half, 1.0),
        Vertex(x + reach, y + half),
        Vertex(x - reach, y + half, 1.0),
    )


def keyholes(
    holes: Sequence[Hole], centre: tuple[float, float], head: float, width: float, turn: float
) -> list[Opening]:
    """Return a keyhole for each of a fan's mounting holes, in which its stud comes to rest.

    Parameters
    ----------
    holes : sequence of Hole
        Where the studs rest, [m]
    centre : tuple of float
        Of the fan, [m]
    head, width : float
        Hole the stud's head goes in by, slot it is turned along, [m]
    turn : float
        Counter-clockwise, [rad]

    Returns
    -------
    list of Opening

    Raises
    ------
    InputError
        As `keyhole`.
    """
    found = []
    for hole in holes:
        reach, seat = math.dist((hole.x, hole.y), centre), math.atan2(hole.y - centre[1], hole.x - centre[0])
        made = keyhole(2.0 * reach, head, width, seat - turn, turn)
        found.append(Opening(moved(made, *centre), hole.purpose, Circle(hole.x, hole.y, 0.5 * width)))
    return found
