"""The shroud's inner outline on the core, and the core it covers.

inner_outlines   from reaches or from its own rows, less notches, parted by a divider
area_over_core   core face inside an outline
    crossing_lines   lines of an outline that meet where they should not

Axes are the core's: x to the right and y up from its lower left corner, seen from behind.
"""

import math
from collections.abc import Sequence
from itertools import combinations

from shroudwright.bench.arcs import Outline, Vertex, area, box, moved, rectangle, segments
from shroudwright.bench.errors import InputError
from shroudwright.shroud.pieces import NEAR, common, crossings, opposite, without

Notch = tuple[float, float, float, float]
"""Left edge, bottom edge, width and height, [m]"""
_LEAST_AREA = 1e-9


def inner_outlines(
    width: float,
    height: float,
    *,
    reach_left: float = 0.0,
    reach_right: float = 0.0,
    reach_top: float = 0.0,
    reach_bottom: float = 0.0,
    outline: Outline = (),
    notches: Sequence[Notch] = (),
    divider: float | None = None,
) -> tuple[Outline, ...]:
    """Lay the shroud's inside on the core.

    Parameters
    ----------
    width, height : float
        Core face, fins only, [m]
    reach_left, reach_right, reach_top, reach_bottom : float
        How far the inside reaches past the fins; negative where it stops short, [m]
    outline : tuple of Vertex
        Instead of the reaches, either way round, [m]
    notches : sequence of (float, float, float, float)
        Boxes cut out of it, which must lie across its edge, [m]
    divider : float, optional
        Where an upright plate parts it, [m]

    Returns
    -------
    tuple of tuple of Vertex
        One outline, or two, left first; counter-clockwise, in the core's axes, [m]

    Raises
    ------
    InputError
        Every fault: name of the argument, and what is wrong.

    Notes
    -----
    Limits: features over 0.001 mm; sheet thickness is not in it.
    Accuracy: exact for straights and arcs.

    References
    ----------
    Geometry.
    """
    faults = []
    if outline:
        whole = outline
        faults += [f"outline: {fault}" for fault in _line_faults(outline)]
    else:
        across, up = width + reach_left + reach_right, height + reach_bottom + reach_top
        for name, size in (("reach_left", across), ("reach_bottom", up)):
            if not size > NEAR:
                faults.append(f"{name}: with the reach opposite it leaves nothing of the shroud")
        whole = moved(rectangle(across, up), -reach_left, -reach_bottom)
    if faults:
        raise InputError(faults)
    if area(whole) < 0.0:
        whole = opposite(whole)
    for number, notch in enumerate(notches, start=1):
        whole, fault = _notched(whole, notch)
        if fault:
            faults.append(f"notches: row {number} {fault}")
    parts: tuple[Outline, ...] = (whole,)
    if divider is not None:
        parts = _parted(whole, divider)
        if len(parts) != 2:
            faults.append("divider: it does not part the shroud in two")
    if not faults and sum(area_over_core(part, width, height) for part in parts) < _LEAST_AREA:
        faults.append(f"{'outline' if outline else 'reach_left'}: the shroud misses the core")
    if faults:
        raise InputError(faults)
    return parts


def _notched(whole: Outline, notch: Notch) -> tuple[Outline, str]:
    """Take a notch out of an outline; the outline as it was, and the fault, where that cannot be."""
    x, y, width, height = notch
    if not min(width, height) > NEAR:
        return whole, "has no size"
    left = without(whole, moved(rectangle(width, height), x, y))
    taken = area(whole) - math.fsum(area(part) for part in left)
    if taken < _LEAST_AREA:
        return whole, "lies outside the shroud"
    if not left:
        return whole, "takes the whole shroud away"
    if any(area(part) < 0.0 for part in left):
        return whole, "does not reach the shroud's edge"
    if len(left) > 1:
        return whole, "cuts the shroud in two"
    return left[0], ""


def _parted(whole: Outline, x: float) -> tuple[Outline, ...]:
    x1, y1, x2, y2 = box(whole)
    if not x1 + NEAR < x < x2 - NEAR:
        return (whole,)
    tall = y2 - y1 + 2.0
    halves = moved(rectangle(x - x1 + 1.0, tall), x1 - 1.0, y1 - 1.0), moved(rectangle(x2 - x + 1.0, tall), x, y1 - 1.0)
    return tuple(part for half in halves for part in common(whole, half))


def _line_faults(outline: Outline) -> list[str]:
    """Say why rows are no outline."""
    if len(outline) < 2:
        return ["one corner is no outline"]
    before = outline[-1:] + outline[:-1]
    faults = [
        f"row {number} is the corner before it again"
        for number, (here, last) in enumerate(zip(outline, before, strict=True), start=1)
        if math.hypot(here.x - last.x, here.y - last.y) <= NEAR
    ]
    if faults:
        return faults
    faults = [f"the lines from rows {a} and {b} meet where they should not" for a, b in crossing_lines(outline)]
    if not faults and abs(area(outline)) < _LEAST_AREA:
        faults.append("it encloses nothing")
    return faults


def crossing_lines(outline: Outline) -> list[tuple[int, int]]:
    """Lines of an outline that meet where they should not.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, no two corners alike, [m]

    Returns
    -------
    list of (int, int)
        Numbers of both lines, from 1; a line starts at the vertex of its number.

    Notes
    -----
    Limits: an arc is under a whole turn.
    Accuracy: lines nearer than 1e-9 m meet; within 0.001 mm of a corner they share they may.

    References
    ----------
    Geometry.
    """
    lines, count = segments(outline), len(outline)
    found = []
    for (i, one), (j, other) in combinations(enumerate(lines), 2):
        corners: list[Vertex] = []
        if j == i + 1:
            corners.append(outline[j])
        if (j + 1) % count == i:
            corners.append(outline[i])
        points = crossings(one, other)
        if any(all(math.hypot(x - v.x, y - v.y) > NEAR for v in corners) for x, y in points):
            found.append((i + 1, j + 1))
    return found


def area_over_core(outline: Outline, width: float, height: float) -> float:
    """Core face inside an outline.

    Parameters
    ----------
    outline : tuple of Vertex
        Counter-clockwise, in the core's axes, [m]
    width, height : float
        Core face, [m]

    Returns
    -------
    area : float
        Arcs counted as arcs, [m**2]

    Notes
    -----
    Limits: features over 0.001 mm.
    Accuracy: exact for straights and arcs.

    References
    ----------
    Geometry.
    """
    return math.fsum(area(part) for part in common(outline, rectangle(width, height)))
