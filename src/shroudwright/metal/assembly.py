"""Where folded parts stand in a finished shroud.

Placed      a part, and where its origin and axes lie
finished    a blank cut off at its trim lines
placed      every part of a shroud
"""

import math
from dataclasses import replace
from typing import NamedTuple

from shroudwright.bench.arcs import box
from shroudwright.metal.cutting import Line, chords
from shroudwright.metal.flat import Flat
from shroudwright.metal.shroud import Shroud
from shroudwright.metal.standing import Vector


class Placed(NamedTuple):
    """A part: its flat's origin, inner face, lies at ``origin``; its x, y and outward face along ``axes``."""

    name: str
    flat: Flat
    origin: Vector
    axes: tuple[Vector, Vector, Vector]


def finished(flat: Flat, trim: float, *, is_upright: bool = False) -> Flat:
    """Return a blank cut off square at both ends.

    Parameters
    ----------
    flat : Flat
        The blank.
    trim : float
        Left long at each end along x, [m]
    is_upright : bool
        Whether it is left long along y instead.

    Returns
    -------
    Flat
        Its outline shorter by that, all else where it was.
    """
    if trim <= 0.0:
        return flat
    around = box(flat.outline)
    lines = [Line(x, 0.0, 0.0, up) for x, up in ((around.x1 + trim, -1.0), (around.x2 - trim, 1.0))]
    if is_upright:
        lines = [Line(0.0, y, right, 0.0) for y, right in ((around.y1 + trim, 1.0), (around.y2 - trim, -1.0))]
    outline = flat.outline
    for line in lines:
        (chord,) = chords(outline, line)
        outline = chord.beyond
    return replace(flat, outline=outline)


def placed(shroud: Shroud) -> tuple[Placed, ...]:
    """Place every part of a shroud.

    Parameters
    ----------
    shroud : Shroud
        Of any family.

    Returns
    -------
    tuple of Placed
        From the lower left corner of the inside at the flange plane: x across, y up, z from the core outward, [m]
    """
    blank, (across, up) = shroud.flats[0], shroud.landing
    low, high = (0.0, 0.0) if shroud.is_upright else shroud.depths
    gained = shroud.rise if shroud.is_upright else high - low
    c, s = _slope(gained, up.size)
    axes: tuple[Vector, Vector, Vector] = ((1.0, 0.0, 0.0), (0.0, c, s), (0.0, -s, c))
    origin = (-across.start, -up.start * c, shroud.depths[0] - up.start * s)
    if shroud.rise and not shroud.is_upright:
        c, s = _slope(shroud.rise, across.size)
        axes = ((c, 0.0, s), (0.0, 1.0, 0.0), (-s, 0.0, c))
        origin = (-across.start * c, -up.start, shroud.depths[0] - across.start * s)
    whole = finished(blank, shroud.trim, is_upright=shroud.is_upright)
    parts = [Placed(stand.name, shroud.flats[stand.flat], stand.origin, stand.axes) for stand in shroud.stands]
    if shroud.is_upright and shroud.shape is not None:
        parts = [_stood_up(part, shroud.shape.width) for part in parts]
    return (Placed(blank.name, whole, origin, axes), *parts)


def _slope(rise: float, run: float) -> tuple[float, float]:
    angle = math.atan2(rise, run)
    return math.cos(angle), math.sin(angle)


def _stood_up(part: Placed, wide: float) -> Placed:
    """Turn a part left by 90 deg with its shroud."""
    x, y, z = part.origin
    first, second, third = ((-b, a, c) for a, b, c in part.axes)
    return part._replace(origin=(wide - y, x, z), axes=(first, second, third))
