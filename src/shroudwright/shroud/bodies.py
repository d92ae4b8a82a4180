"""What stands behind the core: fans, the shroud's plate, and what is in their way.

FanBody, Plate, Solid    sizes and places, z from the fins' back face along the air
WANTED                   the least gap between each kind of pair
plate_at                 z of the plate's inside over a stretch of its height
"""

from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import Outline, box

Numbers = NDArray[np.float64]
_INCH = 0.0254
Kind = Literal[
    "frame to edge",
    "frame to roll",
    "frame to frame",
    "frame to flap",
    "opening to edge",
    "opening to divider",
    "opening to opening",
    "opening to flap",
    "fan to fins",
    "fan to tank",
    "motor to engine",
    "fan to keep-out",
    "fan to neck",
    "fan to hose",
    "leads to solid",
    "leads to fan",
    "hole to edge",
    "hole to opening",
    "shroud to neck",
]

WANTED: dict[Kind, float] = {
    "frame to edge": 0.0,
    "frame to roll": 0.0,
    "frame to frame": 0.0,
    "frame to flap": 0.0,
    "opening to edge": 0.0,
    "opening to divider": 0.0,
    "opening to opening": 0.75 * _INCH,
    "opening to flap": 0.0,
    "fan to fins": 0.375 * _INCH,
    "fan to tank": 0.375 * _INCH,
    "motor to engine": 0.25 * _INCH,
    "fan to keep-out": 0.0,
    "fan to neck": 0.25 * _INCH,
    "fan to hose": 0.0,
    "leads to solid": 0.0,
    "leads to fan": 0.0,
    "hole to edge": 0.125 * _INCH,
    "hole to opening": 0.125 * _INCH,
    "shroud to neck": 0.25 * _INCH,
}
"""Least gap wanted, [m]; the engine's rock is already taken off. All common practice, no source, but the
noughts: a frame must seat on flat metal and an opening lie in the shroud; a zone holds its own room."""

LEAD_ROOM = 0.75 * _INCH
"""Room for the leads on the side they leave by, [m]; common practice, no source."""
HOSE_SWEEP = 1.5
"""Radius of the room a hose takes round its neck, in neck diameters; common practice, no source."""


class FanBody(NamedTuple):
    """A fan: what nobody measured is None and is not judged."""

    code: str
    x: float
    y: float
    opening: float
    """diameter of the hole behind it: blade and twice the clearance, [m]"""
    frame: float | None = None
    """side, or diameter, [m]"""
    corner: float = 0.0
    """radius of the frame's corners; half the frame where it is round, [m]"""
    overall_depth: float | None = None
    """frame face to the back of the motor, [m]"""
    depth_ahead: float | None = None
    motor: float = 0.0
    """diameter of the motor, or the hub where it is not known, [m]"""
    motor_inside: bool = False
    holes: tuple[tuple[float, float, float], ...] = ()
    """x, y about its middle, and diameter, [m]"""
    lead_exit: Literal["left", "right", "up", "down", "behind"] | None = None


class Plate(NamedTuple):
    """The shroud: its inner outline, and where along z its flange and its plate's inside lie."""

    outline: Outline
    flange: float
    bottom: float
    """z of the plate's inside at the outline's lowest place, [m]"""
    top: float
    thickness: float = 0.0
    roll_bottom: float = 0.0
    """width the lower roll takes off the flat face, [m]"""
    roll_top: float = 0.0
    divider: float | None = None
    flaps: tuple[tuple[str, float, float, float, float], ...] = ()
    """name, middle x and y, and half the width and height of every hole in it that is no fan's, [m]"""


class Solid(NamedTuple):
    """Something in the way: an upright box with rounded corners, or a round bar, z from near to far."""

    name: str
    kind: Literal["engine", "keep-out", "neck", "hose", "tank"]
    x: float
    y: float
    width: float
    """half of it, [m]"""
    height: float
    """half of it, [m]"""
    corner: float
    near: float
    far: float = np.inf


def plate_at(plate: Plate, low: Numbers, high: Numbers) -> tuple[Numbers, Numbers]:
    """Least and greatest z of the plate's inside over a stretch of its height.

    Parameters
    ----------
    plate : Plate
        [m]
    low, high : ndarray
        From and to, y, [m]

    Returns
    -------
    least, greatest : ndarray
        Straight from the outline's lowest place to its highest, and on past them, [m]
    """
    edges = box(plate.outline)
    slope = (plate.top - plate.bottom) / (edges.y2 - edges.y1)
    one, other = (plate.bottom + slope * (y - edges.y1) for y in (low, high))
    return np.minimum(one, other), np.maximum(one, other)
