"""One multigrid cycle on a net of cells, to stand before conjugate gradients.

Levels    a net of cells and the coarser ones laid over it
levels    room for a net of some rows and columns
coarsen   fill the coarser nets from the finest
cycle     one cycle on the finest net's right side

A cell holds ``own`` and is joined to its neighbours by ``gx`` and ``gy``; the matrix has their sum on its diagonal.
Two by two cells make one of the next net. Loops, not recursion: a recursive compiled function cannot be kept on disk.
"""

from typing import Any, NamedTuple

import numpy as np

from shroudwright.bench.compiled import compilable

DEEPEST = 6
_COARSEST_SWEEPS = 3


class Levels(NamedTuple):
    """All nets one after the other in flat arrays.

    Joints are stored with a closed one before and after, ``x`` with a still cell all round, so that no loop asks for
    walls.
    """

    size: Any
    at: Any
    at_x: Any
    at_y: Any
    at_ringed: Any
    gx: Any
    gy: Any
    own: Any
    inverse: Any
    x: Any
    b: Any


@compilable
def levels(rows: int, columns: int) -> Levels:
    """Make room for a net and its coarser ones."""
    size, at = np.empty((DEEPEST, 2), np.int64), np.zeros((4, DEEPEST + 1), np.int64)
    for level in range(DEEPEST):
        size[level, 0], size[level, 1] = rows, columns
        at[0, level + 1] = at[0, level] + rows * columns
        at[1, level + 1] = at[1, level] + rows * (columns + 1)
        at[2, level + 1] = at[2, level] + (rows + 1) * columns
        at[3, level + 1] = at[3, level] + (rows + 2) * (columns + 2)
        rows, columns = (rows + 1) // 2, (columns + 1) // 2
    cells = at[0, DEEPEST]
    return Levels(
        size,
        at[0],
        at[1],
        at[2],
        at[3],
        np.zeros(at[1, DEEPEST]),
        np.zeros(at[2, DEEPEST]),
        np.zeros(cells),
        np.zeros(cells),
        np.zeros(at[3, DEEPEST]),
        np.zeros(cells),
    )


@compilable
def cells_of(net: Levels, flat: Any, level: int) -> Any:
    """View a flat array of cells at one level."""
    return flat[net.at[level] : net.at[level + 1]].reshape((net.size[level, 0], net.size[level, 1]))


@compilable
def ringed(net: Levels, level: int) -> Any:
    """View ``x`` at one level, shape (rows + 2, columns + 2)."""
    return net.x[net.at_ringed[level] : net.at_ringed[level + 1]].reshape(
        (net.size[level, 0] + 2, net.size[level, 1] + 2)
    )


@compilable
def joints_x(net: Levels, level: int) -> Any:
    """View what joins neighbours across x at one level, shape (rows, columns + 1)."""
    return net.gx[net.at_x[level] : net.at_x[level + 1]].reshape((net.size[level, 0], net.size[level, 1] + 1))


@compilable
def joints_y(net: Levels, level: int) -> Any:
    """View what joins neighbours across y at one level, shape (rows + 1, columns)."""
    return net.gy[net.at_y[level] : net.at_y[level + 1]].reshape((net.size[level, 0] + 1, net.size[level, 1]))


@compilable
def coarsen(net: Levels) -> None:
    """Fill every coarser net: what cells hold adds up, what joins two of them is twice as long."""
    for level in range(DEEPEST):
        gx, gy = joints_x(net, level), joints_y(net, level)
        own, inverse = cells_of(net, net.own, level), cells_of(net, net.inverse, level)
        rows, columns = own.shape
        for j in range(rows):
            for i in range(columns):
                whole = own[j, i] + gx[j, i] + gx[j, i + 1] + gy[j, i] + gy[j + 1, i]
                inverse[j, i] = 1.0 / whole if whole > 0.0 else 0.0
        if level == DEEPEST - 1:
            return
        next_x, next_y, next_own = joints_x(net, level + 1), joints_y(net, level + 1), cells_of(net, net.own, level + 1)
        next_x[:], next_y[:], next_own[:] = 0.0, 0.0, 0.0
        for j in range(rows):
            for i in range(columns):
                next_own[j // 2, i // 2] += own[j, i]
                if i % 2 == 0:
                    next_x[j // 2, i // 2] += 0.5 * gx[j, i]
                if j % 2 == 0:
                    next_y[j // 2, i // 2] += 0.5 * gy[j, i]


@compilable
def _relax(net: Levels, level: int, colour: int) -> None:
    """Balance the cells of one colour."""
    x, b, inverse = ringed(net, level), cells_of(net, net.b, level), cells_of(net, net.inverse, level)
    gx, gy = joints_x(net, level), joints_y(net, level)
    rows, columns = b.shape
    for j in range(rows):
        for i in range((j + colour) & 1, columns, 2):
            x[j + 1, i + 1] = inverse[j, i] * (
                b[j, i]
                + gx[j, i] * x[j + 1, i]
                + gx[j, i + 1] * x[j + 1, i + 2]
                + gy[j, i] * x[j, i + 1]
                + gy[j + 1, i] * x[j + 2, i + 1]
            )


@compilable
def _down(net: Levels, level: int) -> None:
    """Balance one colour and then the other from nothing, and hand what is left to the coarser net.

    Cells of the second colour are in balance; those of the first are out by what the second has since brought.
    """
    x, b, inverse = ringed(net, level), cells_of(net, net.b, level), cells_of(net, net.inverse, level)
    gx, gy = joints_x(net, level), joints_y(net, level)
    rows, columns = b.shape
    for j in range(rows):
        for i in range(j & 1, columns, 2):
            x[j + 1, i + 1] = inverse[j, i] * b[j, i]
    _relax(net, level, 1)
    coarse = cells_of(net, net.b, level + 1)
    coarse[:] = 0.0
    for j in range(rows):
        for i in range(j & 1, columns, 2):
            coarse[j // 2, i // 2] += (
                gx[j, i] * x[j + 1, i]
                + gx[j, i + 1] * x[j + 1, i + 2]
                + gy[j, i] * x[j, i + 1]
                + gy[j + 1, i] * x[j + 2, i + 1]
            )


@compilable
def _up(net: Levels, level: int) -> None:
    """Take the coarser net's answer into one colour, the other follows, and balance the first again."""
    x, coarse = ringed(net, level), ringed(net, level + 1)
    for j in range(x.shape[0] - 2):
        for i in range(j & 1, x.shape[1] - 2, 2):
            x[j + 1, i + 1] += coarse[j // 2 + 1, i // 2 + 1]
    _relax(net, level, 1)
    _relax(net, level, 0)


@compilable
def cycle(net: Levels) -> None:
    """Work out ``x`` of the finest net from its ``b`` by one cycle from nothing, the same forwards and backwards."""
    for level in range(DEEPEST - 1):
        _down(net, level)
    ringed(net, DEEPEST - 1)[:] = 0.0
    for _ in range(_COARSEST_SWEEPS):
        for colour in (0, 1, 1, 0):
            _relax(net, DEEPEST - 1, colour)
    for level in range(DEEPEST - 2, -1, -1):
        _up(net, level)
