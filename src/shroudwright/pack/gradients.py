"""The change of the plenum's heads that closes what its cells are out by, to first order.

Edges       faces between a cell and an opening
change_of   slopes and what is out -> change of the heads

The balances' slopes are those of a net of cells and openings; the openings' pressures are taken out of it, and the
heads are found by conjugate gradients behind one multigrid cycle.
"""

from typing import Any, NamedTuple

import numpy as np

from shroudwright.bench.compiled import compilable, inlined
from shroudwright.pack.multigrid import Levels, cells_of, coarsen, cycle, joints_x, joints_y, ringed

_MOST_CYCLES, _INEXACT = 40, 0.03


class Edges(NamedTuple):
    """Faces between a cell of the plenum and one an opening holds."""

    row: Any
    column: Any
    way: Any
    """0 left, 1 right, 2 down, 3 up"""
    opening: Any
    even: Any
    """Distance from the cell's centre to the opening over the face's length, [-]"""
    square: Any
    """Head lost on turning in over the flow squared, [Pa s**2/m**6]"""
    slope: Any


@compilable
def _times(slope: Any, fan_own: Any, edges: Edges, net: Levels, d: Any, product: Any) -> None:
    """Multiply a change of the heads, with a ring of nothing round it, by the balances' slopes.

    The openings' pressures are taken out.
    """
    rows, columns = product.shape
    gx, gy = joints_x(net, 0), joints_y(net, 0)
    for j in range(rows):
        for i in range(columns):
            here = d[j + 1, i + 1]
            product[j, i] = (
                slope[j, i] * here
                + gx[j, i] * (here - d[j + 1, i])
                + gx[j, i + 1] * (here - d[j + 1, i + 2])
                + gy[j, i] * (here - d[j, i + 1])
                + gy[j + 1, i] * (here - d[j + 2, i + 1])
            )
    joined = np.zeros(len(fan_own))
    for e in range(len(edges.row)):
        joined[edges.opening[e]] += edges.slope[e] * d[edges.row[e] + 1, edges.column[e] + 1]
    for e in range(len(edges.row)):
        j, i, k = edges.row[e], edges.column[e], edges.opening[e]
        product[j, i] += edges.slope[e] * (d[j + 1, i + 1] - joined[k] / fan_own[k])


@inlined
def _dot(a: Any, ringed_b: Any) -> float:
    total = 0.0
    for j in range(a.shape[0]):
        for i in range(a.shape[1]):
            total += a[j, i] * ringed_b[j + 1, i + 1]
    return total


@compilable
def change_of(slope: Any, fan_own: Any, edges: Edges, net: Levels) -> Any:
    """Work out the change of the heads that closes what is out in the net's ``b``, a ring of nothing round it.

    Parameters
    ----------
    slope : array
        What each cell's own balance changes by with its head, the core's and the leaks', [m**3/s/Pa]
    fan_own : array
        The same of each opening with its pressure, [m**3/s/Pa]
    edges : Edges
        Faces between the two, their slopes known.
    net : Levels
        The joints between cells, and what is out; used up.

    Returns
    -------
    array
        Shape (ny + 2, nx + 2), [Pa]
    """
    residual, z = cells_of(net, net.b, 0), ringed(net, 0)
    change, direction, product = np.zeros_like(z), np.zeros_like(z), np.empty_like(residual)
    rows, columns = residual.shape
    coarsen(net)
    inverse = cells_of(net, net.inverse, 0)
    left, old = 0.0, 1.0
    for j in range(rows):
        for i in range(columns):
            left += residual[j, i] * residual[j, i] * inverse[j, i]
    enough = _INEXACT * left
    for tried in range(_MOST_CYCLES):
        if not left > enough:
            break
        cycle(net)
        new = _dot(residual, z)
        kept = new / old if tried > 0 else 0.0
        for j in range(1, rows + 1):
            for i in range(1, columns + 1):
                direction[j, i] = z[j, i] + kept * direction[j, i]
        old = new
        _times(slope, fan_own, edges, net, direction, product)
        along = _dot(product, direction)
        if not along > 0.0:
            break
        step = new / along
        left = 0.0
        for j in range(rows):
            for i in range(columns):
                change[j + 1, i + 1] += step * direction[j + 1, i + 1]
                residual[j, i] -= step * product[j, i]
                left += residual[j, i] * residual[j, i] * inverse[j, i]
    return change
