"""Where a plate stands in a finished shroud.

Frame      a plane in space, with two directions in it
Stand      a flat's origin and axes in space
stand_of   from a plate's own plane to its flat

Axes: u along the rolls, v across them, w from the core outward, from the lower left corner of the inside, [m]
"""

import math
from typing import NamedTuple, TypeAlias

from shroudwright.bench.arcs import Vertex

Vector: TypeAlias = tuple[float, float, float]


class Frame(NamedTuple):
    """A plane: its origin, and the ways of a plate's own two coordinates."""

    origin: Vector
    right: Vector
    up: Vector


class Stand(NamedTuple):
    """A part and which flat it is: the flat's origin, inner face, and its x, y and outward face."""

    name: str
    flat: int
    origin: Vector
    axes: tuple[Vector, Vector, Vector]


def stand_of(
    frame: Frame, corner: Vertex, laid: Vertex, turn: float, number: int, name: str, *, mirrored: bool
) -> Stand:
    """Place a flat that was laid out from a plate's inner face.

    Parameters
    ----------
    frame : Frame
        Plane of the plate's inner face.
    corner, laid : Vertex
        One corner of it, in that plane and on the flat, [m]
    turn : float
        By which it was turned when it was laid out, after it was mirrored, [rad]
    number : int
        Of the flat.
    name : str
        Of the part, [text]
    mirrored : bool
        Whether it was laid out as seen from the other side.

    Returns
    -------
    Stand
    """
    way, c, s = -1.0 if mirrored else 1.0, math.cos(turn), math.sin(turn)
    right = _mixed((way * c, frame.right), (-s, frame.up))
    up = _mixed((way * s, frame.right), (c, frame.up))
    spot = _mixed((1.0, frame.origin), (corner.x, frame.right), (corner.y, frame.up))
    return Stand(name, number, _mixed((1.0, spot), (-laid.x, right), (-laid.y, up)), (right, up, _cross(right, up)))


def _mixed(*parts: tuple[float, Vector]) -> Vector:
    x, y, z = (sum(share * way[axis] for share, way in parts) for axis in range(3))
    return x, y, z


def _cross(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
