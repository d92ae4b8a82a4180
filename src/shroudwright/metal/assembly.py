"""Where folded parts stand in a finished shroud.

Placed      a part, and where its origin and axes lie
finished    a blank cut off at its trim lines
unplaced    why a shroud's parts cannot be placed
placed      every part of a shroud
"""

import math
from dataclasses import replace
from typing import NamedTuple, TypeAlias

from shroudwright.bench.arcs import box
from shroudwright.metal.cutting import Line, chords
from shroudwright.metal.flat import Flat
from shroudwright.metal.shroud import Shroud
from shroudwright.metal.walls import over_room

Vector: TypeAlias = tuple[float, float, float]
_ENDS = (("left end", "bottom end"), ("right end", "top end"))
_CAP = "end cap"


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


def unplaced(shroud: Shroud) -> str:
    """Say why a shroud's parts cannot be placed; empty where they can, [text]."""
    if shroud.rise:
        return "the depth grows along the rolls"
    names = {flat.name for flat in shroud.flats[1:]} - {name for ends in _ENDS for name in ends} - {_CAP}
    return f"no place is known for {', '.join(sorted(names))}" if names else ""


def placed(shroud: Shroud) -> tuple[Placed, ...]:
    """Place every part of a shroud.

    Parameters
    ----------
    shroud : Shroud
        One that `unplaced` says nothing of.

    Returns
    -------
    tuple of Placed
        From the lower left corner of the inside at the flange plane: x across, y up, z from the core outward, [m]
    """
    blank, (across, up) = shroud.flats[0], shroud.landing
    low, high = (0.0, 0.0) if shroud.is_upright else shroud.depths
    tilt = math.atan2(high - low, up.size)
    c, s = math.cos(tilt), math.sin(tilt)
    origin = (-across.start, -up.start * c, shroud.depths[0] - up.start * s)
    axes = ((1.0, 0.0, 0.0), (0.0, c, s), (0.0, -s, c))
    whole = finished(blank, shroud.trim, is_upright=shroud.is_upright)
    return (Placed(blank.name, whole, origin, axes), *_ends(shroud))


def _ends(shroud: Shroud) -> list[Placed]:
    """Plates over the ends, their lower edges on the core."""
    found: list[Placed] = []
    if shroud.shape is None:
        return found
    # Over the cut ends a plate is as wide as the outer face, between the walls as the inner one.
    spans = [box(over_room(shroud.shape, level)) for level in (0.0, shroud.thickness)]
    long = (shroud.landing.y if shroud.is_upright else shroud.landing.x).size
    for flat in shroud.flats[1:]:
        own = box(flat.outline)
        low, _, high, _ = min(spans, key=lambda span: abs(span.x2 - span.x1 - own.x2 + own.x1))
        core = flat.outline[0].y + (0.0 if flat.bends else -shroud.shape.lip)
        for is_high, names in enumerate(_ENDS):
            if flat.name not in (*names, _CAP):
                continue
            name = flat.name if flat.name != _CAP else f"{names[int(shroud.is_upright)].split()[0]} {_CAP}"
            part = (
                Placed(name, flat, (long, low, -core), ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)))
                if is_high
                else Placed(name, flat, (0.0, high, -core), ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0)))
            )
            found.append(_stood_up(part, shroud.shape.width) if shroud.is_upright else part)
    return found


def _stood_up(part: Placed, wide: float) -> Placed:
    """Turn a part left by 90 deg with its shroud."""
    x, y, z = part.origin
    first, second, third = ((-b, a, c) for a, b, c in part.axes)
    return part._replace(origin=(wide - y, x, z), axes=(first, second, third))
