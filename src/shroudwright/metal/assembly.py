"""Where folded parts stand in a finished shroud.

Placed      a part, and where its origin and axes lie
finished    a blank cut off at its trim lines
placed      every part of a rolled shroud
"""

from dataclasses import replace
from typing import NamedTuple, TypeAlias

from shroudwright.bench.arcs import box
from shroudwright.metal.cutting import Line, chords
from shroudwright.metal.flat import Flat
from shroudwright.metal.shroud import Shroud

Vector: TypeAlias = tuple[float, float, float]


class Placed(NamedTuple):
    """A part: its flat's origin, inner face, lies at ``origin``; its x, y and outward face along ``axes``."""

    name: str
    flat: Flat
    origin: Vector
    axes: tuple[Vector, Vector, Vector]


def finished(flat: Flat, trim: float) -> Flat:
    """Return a blank cut off square at both ends.

    Parameters
    ----------
    flat : Flat
        The blank.
    trim : float
        Left long at each end along x, [m]

    Returns
    -------
    Flat
        Its outline shorter by that, all else where it was.
    """
    if trim <= 0.0:
        return flat
    around = box(flat.outline)
    outline = flat.outline
    for x, up in ((around.x1 + trim, -1.0), (around.x2 - trim, 1.0)):
        (chord,) = chords(outline, Line(x, 0.0, 0.0, up))
        outline = chord.beyond
    return replace(flat, outline=outline)


def placed(shroud: Shroud) -> tuple[Placed, ...]:
    """Place every part of a rolled shroud.

    Parameters
    ----------
    shroud : Shroud
        As made by `rolled_shroud`.

    Returns
    -------
    tuple of Placed
        From the lower left inside corner of the section at the flange plane: x along the rolls, y up across
        the walls, z from the core outward, [m]
    """
    blank, cap = shroud.flats
    shape = shroud.shape
    low = 0.5 * (shape.length - shape.width)
    ends = box(blank.outline)
    long = ends.x2 - ends.x1 - 2.0 * shroud.trim
    wide = box(cap.outline).x2
    at = 0.5 * (shape.width - wide)
    along, up, out = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
    down, back = (0.0, -1.0, 0.0), (-1.0, 0.0, 0.0)
    return (
        Placed(blank.name, finished(blank, shroud.trim), (-shroud.trim, -low, shape.depth), (along, up, out)),
        Placed(f"left {cap.name}", cap, (0.0, at + wide, 0.0), (down, out, back)),
        Placed(f"right {cap.name}", cap, (long, at, 0.0), (up, out, along)),
    )
