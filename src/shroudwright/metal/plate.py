"""A flat sheet with openings, held at its edges and loaded at points: how fast it shakes and how far it bends.

plate_rigidity             bending stiffness of a sheet
supported_plate_frequency  first frequency of a bare sheet hinged all round, exact
motion                     frequencies and shapes, and bending under its own weight
Motion                     all of that
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import contains
from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.metal.chain import Numbers, Solver, slowest
from shroudwright.metal.mesh import Cell, Mesh, Plate, elastic
from shroudwright.metal.sheet import find_sheet

GRAVITY = 9.80665
CELLS = 8
_STRESS_POINTS = 6
_FINE = 3
"""Steps of a drawn shape to a cell."""
_SHAPES = 3


@dataclass(frozen=True)
class Motion:
    """What a plate does. Grids are [x, y]; nan where no metal is near."""

    frequencies: Numbers
    """The three lowest, [Hz]"""
    shapes: Numbers
    """(3, across, up), each with the largest reach of its metal 1; carried on a little into openings, [-]"""
    x: Numbers
    y: Numbers
    metal: NDArray[np.bool_]
    """(across, up): whether a point of the grid is metal"""
    sag: float
    """Most under one g across the face, [m]"""
    stress: float
    """Most bending stress under one g, von Mises, [Pa]"""
    at: tuple[float, float]
    """where, [m]"""


@offer
def plate_rigidity(elasticity: float, thickness: float, poisson: float) -> float:
    """Bending stiffness of a sheet, per width.

    D = E t^3 / (12 (1 - nu^2))

    Parameters
    ----------
    elasticity : float
        Young's modulus, E, [Pa]
    thickness : float
        t, [m]
    poisson : float
        Poisson's ratio, nu: 0.33 aluminium, 0.29 steel, [-]

    Returns
    -------
    rigidity : float
        [N*m]

    Notes
    -----
    Limits: small bending, well under the thickness, of a sheet much wider than thick.
    Accuracy: three times that of the thickness; mill tolerance is several per cent.

    References
    ----------
    Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, from memory.
    """
    return elasticity * thickness**3 / (12.0 * (1.0 - poisson**2))


@offer
def supported_plate_frequency(width: float, height: float, thickness: float, metal: str) -> float:
    """First frequency of a bare rectangular sheet hinged on all four edges.

    f = (pi / 2) (1 / a^2 + 1 / b^2) sqrt(D / (rho t))

    Parameters
    ----------
    width, height : float
        a and b, [m]
    thickness : float
        t, [m]
    metal : str
        aluminium 3003-H14, aluminium 5052-H32, aluminium 6061-T6 or mild steel, [text]

    Returns
    -------
    frequency : float
        [Hz]

    Notes
    -----
    Limits: no openings, nothing mounted. With two fans on it a face shakes at a third of this.
    Accuracy: exact for a flat, unstressed sheet.

    References
    ----------
    Leissa, Vibration of Plates, NASA SP-160 (1969), from memory.
    """
    sheet = find_sheet(metal)
    rigidity = plate_rigidity(sheet.elasticity, thickness, sheet.poisson)
    return 0.5 * math.pi * (width**-2 + height**-2) * math.sqrt(rigidity / (sheet.density * thickness))


def _must_be_possible(plate: Plate) -> None:
    faults = [
        f"{name}: {value:g} is not more than nothing"
        for name in ("width", "height", "thickness", "elasticity", "density")
        if not (value := getattr(plate, name)) > 0.0
    ]
    faults += [
        f"weight {number}: {weight.x:g} m across, {weight.y:g} m up is off the face"
        for number, weight in enumerate(plate.weights, start=1)
        if not (0.0 <= weight.x <= plate.width and 0.0 <= weight.y <= plate.height)
    ]
    faults += [
        f"weight {number}: {weight.x:g} m across, {weight.y:g} m up is in an opening"
        for number, weight in enumerate(plate.weights, start=1)
        if any(contains(rim, weight.x, weight.y) for rim in plate.openings)
    ]
    if sum(edge is not None for edge in plate.edges) < 2 and not any(edge for edge in plate.edges):
        faults.append("edges: hold at least two of them, or clamp one; a loose face has no frequency")
    if faults:
        raise InputError(faults)


def motion(plate: Plate, cells: int = CELLS) -> Motion:
    """Work out how a plate shakes and bends.

    Parameters
    ----------
    plate : Plate
        Sheet, openings, edges, what hangs on it and what stiffens it.
    cells : int
        Across the shorter side.

    Returns
    -------
    Motion
        Three lowest frequencies with their shapes; sag and stress under one g.

    Raises
    ------
    InputError
        If the plate cannot be, with every fault.

    Notes
    -----
    Limits: flat, thin, unstressed sheet that bends little. What hangs on it adds mass on its own spots, neither
    stiffness nor an arm: a fan's frame stiffens the face, so the frequency is on the low side. Stress is that of
    the sheet away from a hole's rim: holes and heads raise it.
    Accuracy: the frequency within 0.3 % and the stress within 5 % of those with three times the cells across.
    """
    _must_be_possible(plate)
    mesh = Mesh(plate, cells)
    free = mesh.free()
    stiff, heavy = mesh.chain(mesh.stiff), mesh.chain(mesh.heavy)
    held = stiff.held(free)
    held.own[:, np.arange(free.shape[1]), np.arange(free.shape[1])] += ~free * plate.rigidity
    solver = Solver(held)
    squares, shapes = slowest(solver, heavy.held(free), free, _SHAPES)
    level = np.zeros((*free.shape, 1))
    level[:, ::4] = 1.0
    bent = solver((heavy @ level) * free[:, :, None])[:, :, 0] * GRAVITY
    sag, stress, at = _strained(mesh, bent)
    drawn = np.array([_fine(mesh, shapes[:, :, mode]) for mode in range(_SHAPES)])
    x, y = np.linspace(0.0, plate.width, _FINE * mesh.nx + 1), np.linspace(0.0, plate.height, _FINE * mesh.ny + 1)
    metal = mesh.metal_at(x[:, None], y[None, :])
    peak = np.array([_largest(shape[metal]) for shape in drawn])
    return Motion(
        frequencies=np.sqrt(squares) / math.tau,
        shapes=drawn / peak[:, None, None],
        x=x,
        y=y,
        metal=metal,
        sag=sag,
        stress=stress,
        at=at,
    )


def _fine(mesh: Mesh, unknowns: Numbers) -> Numbers:
    """Spread a shape over a grid finer than its cells."""
    step = np.arange(_FINE + 1) / _FINE
    s, r = (grid.ravel() for grid in np.meshgrid(step, step, indexing="ij"))
    reach = mesh.of_cells(unknowns) @ Cell(s, r, mesh.dx, mesh.dy).value.T
    reach = np.where((mesh.stiff[:, :, 0, 0] > 0.0)[:, :, None], reach, np.nan)
    reach = reach.reshape(mesh.nx, mesh.ny, _FINE + 1, _FINE + 1)
    fine = np.full((_FINE * mesh.nx + 1, _FINE * mesh.ny + 1), np.nan)
    for a in range(_FINE + 1):
        for b in range(_FINE + 1):
            here = fine[a : a + _FINE * mesh.nx : _FINE, b : b + _FINE * mesh.ny : _FINE]
            here[:] = np.where(np.isnan(reach[:, :, a, b]), here, reach[:, :, a, b])
    return fine


def _largest(shape: Numbers) -> float:
    """Reach farthest from rest, with its sign."""
    flat = shape[~np.isnan(shape)]
    return float(flat[np.abs(flat).argmax()])


def _strained(mesh: Mesh, bent: Numbers) -> tuple[float, float, tuple[float, float]]:
    """Most sag and most stress over points of the metal, and where the stress is."""
    plate, k = mesh.plate, _STRESS_POINTS
    share = (np.arange(k) + 0.5) / k
    s, r = (grid.ravel() for grid in np.meshgrid(share, share, indexing="ij"))
    cell = Cell(s, r, mesh.dx, mesh.dy)
    corners = mesh.of_cells(bent)
    x, y = (np.broadcast_to(grid, (mesh.nx, mesh.ny, k, k)).reshape(mesh.nx, mesh.ny, -1) for grid in mesh.spots(k))
    metal = mesh.metal_at(*mesh.spots(k)).reshape(mesh.nx, mesh.ny, -1)
    bends = np.einsum("piq,xyq->xypi", cell.bend, corners)
    turned = bends @ elastic(plate.poisson) * (0.5 * plate.elasticity * plate.thickness / (1.0 - plate.poisson**2))
    one, two, shear = np.moveaxis(turned, -1, 0)
    mises = np.where(metal, np.sqrt(one**2 + two**2 - one * two + 3.0 * shear**2), 0.0)
    worst = np.unravel_index(mises.argmax(), mises.shape)
    sags = np.abs(np.where(metal, corners @ cell.value.T, 0.0))
    return float(sags.max()), float(mises[worst]), (float(x[worst]), float(y[worst]))
