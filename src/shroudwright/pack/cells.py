"""A plenum between core and shroud cut into cells, and what sets its air moving.

Cells    the cells: depth, core, openings, flaps, gaps
Law      the core's loss and the pressures either side
Blowers  the fans in the openings, at their working density and speed

Arrays have shape (ny, nx), row 0 at the bottom, column 0 at the left, seen from behind.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]


class Cells(NamedTuple):
    """A plenum cut into equal cells, lengths in metres."""

    dx: float
    dy: float
    depth: Numbers
    """Core face to shroud plate at the cell's centre, [m]"""
    core: Numbers
    """Share of the cell through which core air enters: 0 over a tank or a side plate, [-]"""
    wet: NDArray[np.bool_]
    """Whether the cell belongs to the plenum."""
    open_x: NDArray[np.bool_]
    """Whether air may pass from column i to i + 1, shape (ny, nx - 1)."""
    open_y: NDArray[np.bool_]
    """Whether air may pass from row j to j + 1, shape (ny - 1, nx)."""
    opening: NDArray[np.int64]
    """Which opening holds the cell's centre, -1 for none."""
    disc: Numbers
    """Share of the cell under each opening, shape (openings, ny, nx), [-]"""
    circles: Numbers
    """Centre from the grid's lower left corner and radius of each opening, shape (openings, 3), [m]"""
    flap: Numbers
    """Flap area in the cell, [m**2]"""
    gap: Numbers
    """Area of gaps to the bay in the cell, [m**2]"""


class Law(NamedTuple):
    """Core loss a v + b v|v| at the face speed v, air, and the pressures ahead and in the bay."""

    linear: float
    """a, [Pa s/m]"""
    square: float
    """b, [Pa s**2/m**2]"""
    density: float
    """Of the air behind the core, [kg/m**3]"""
    ahead: float = 0.0
    """Pressure ahead of the core, [Pa]"""
    bay: float = 0.0
    """Pressure behind the fans, [Pa]"""
    profile: float = np.pi**2 / 8.0
    """Momentum of the air over that of an even profile, beta, [-]"""
    friction: float = 0.04
    """Darcy friction factor of both walls, [-]"""
    turning: float = 1.0
    """Share of the head along the plate lost on turning into an opening, Kt, [-]"""


class Blowers(NamedTuple):
    """Fans in the openings: the falling branch of each curve, as `fans.curve.fan_flow` reads it."""

    flow: Numbers
    """Rising, shape (openings, points), [m**3/s]"""
    pressure: Numbers
    """Strictly falling, shape (openings, points), [Pa]"""
    points: NDArray[np.int64]
    """Points used of each."""
    stopped: Numbers
    """0 for a running fan; else K rho / (2 A**2) of one that stands, passing air either way, [Pa s**2/m**6]"""
