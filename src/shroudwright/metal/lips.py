"""A lip turned from an opening's edge, whatever its outline: what to cut, and whether the metal takes it.

Flared      what to cut, and how its edge is strained
flared      the cut for a clear opening and a lip
least_neck  from what radius a neck takes a lip
shifted     an outline moved inward or outward all round

Where the clear outline bows out the lip's edge stretches, at a neck that bows in it is gathered; along a straight it is
only bent.
"""

import math
from typing import NamedTuple

from shroudwright.bench.arcs import Arc, Circle, Outline, Straight, Vertex, segments
from shroudwright.bench.errors import InputError
from shroudwright.metal.cutouts import lip_setback
from shroudwright.metal.edges import Shape

_INCH = 0.0254
MOST_STRETCH = 0.15
"""Of a lip's edge before it splits, 3003 and 5052; 6061-T6 sooner: common practice, no source, [-]"""
MOST_GATHER = 0.15
"""Of a lip's edge at a neck before it buckles: common practice, no source, [-]"""
_TANGENT = 1e-6
_NEARLY = 1.0 - 1e-9


class Flared(NamedTuple):
    """What to cut before a lip is turned."""

    shape: Shape
    setback: float
    """of the cut inside the clear opening, [m]"""
    stretch: float
    """of the lip's edge, at its worst, [-]"""
    gather: float
    """the same at necks, [-]"""


def flared(clear: Shape, height: float, radius: float, thickness: float) -> Flared:
    """Cut that leaves a clear opening once its edge is turned into a lip.

    Parameters
    ----------
    clear : Circle or tuple of Vertex
        Inside the lip, counter-clockwise, [m]
    height : float
        Of the lip, from the face's far side, [m]
    radius : float
        Inside, of its bend, [m]
    thickness : float
        [m]

    Returns
    -------
    Flared

    Raises
    ------
    InputError
        Where the lip is lower than its bend, a corner is sharp, or the edge would split or buckle, with what would do.

    Notes
    -----
    Limits: every corner round. Accuracy: as `flared_hole`, of which this is the cut all round: its setback hangs on no
    diameter.

    References
    ----------
    As `flared_hole`; limits of stretch and gather: common practice, no source.
    """
    setback = lip_setback(height, radius, thickness)
    if isinstance(clear, Circle):
        cut: Shape = clear._replace(radius=clear.radius - setback)
        bows, necks = [clear.radius], []
    else:
        arcs = [item for item in segments(clear) if isinstance(item, Arc)]
        bows = [item.radius for item in arcs if item.sweep > 0.0]
        necks = [item.radius for item in arcs if item.sweep < 0.0]
        must_be_round(clear)
    reach = setback + 0.5 * thickness
    faults = []
    for what, sizes, least in (
        ("curves", bows, setback + reach / MOST_STRETCH),
        ("necks", necks, least_neck(height, radius, thickness)),
    ):
        if sizes and min(sizes) < least * _NEARLY:
            does = "splits" if what == "curves" else "buckles"
            faults.append(
                f"lip: {height / _INCH:.3f} in high it {does} at {what} of {min(sizes) / _INCH:.3f} in radius; they "
                f"must be {least / _INCH:.3f} in ({1e3 * least:.1f} mm) or more, or the lip lower, or none"
            )
    if faults:
        raise InputError(faults)
    if not isinstance(clear, Circle):
        cut = shifted(clear, setback)
    stretch = max((reach / (size - setback) for size in bows), default=0.0)
    return Flared(cut, setback, stretch, max((setback / (size + setback) for size in necks), default=0.0))


def least_neck(height: float, radius: float, thickness: float) -> float:
    """Return the least radius of a neck round which a lip can be turned, [m]."""
    return lip_setback(height, radius, thickness) * (1.0 - MOST_GATHER) / MOST_GATHER


def must_be_round(outline: Outline) -> None:
    """Raise where an outline has a corner that is not rounded."""
    items = segments(outline)
    for into, out in zip(items, items[1:] + items[:1], strict=True):
        turned = _way(out, at_end=False) - _way(into, at_end=True)
        if abs(math.remainder(turned, math.tau)) > _TANGENT:
            raise InputError(["lip: a corner is sharp, where a lip tears; round it"])


def shifted(outline: Outline, inward: float) -> Outline:
    """Move a counter-clockwise outline inward all round, or outward where negative.

    Parameters
    ----------
    outline : tuple of Vertex
        Every corner round, its arcs large enough to be moved so far, [m]
    inward : float
        [m]

    Returns
    -------
    tuple of Vertex
        The same straights and arcs, [m]
    """
    found = []
    for vertex, item in zip(outline, segments(outline), strict=True):
        way = _way(item, at_end=False)
        found.append(vertex._replace(x=vertex.x - inward * math.sin(way), y=vertex.y + inward * math.cos(way)))
    return tuple(Vertex(*vertex) for vertex in found)


def _way(item: Straight | Arc, *, at_end: bool) -> float:
    """Direction of travel at an end of a piece."""
    if isinstance(item, Arc):
        return (item.end if at_end else item.start) + math.copysign(0.5 * math.pi, item.sweep)
    return math.atan2(item.y2 - item.y1, item.x2 - item.x1)
