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
    """All nets one after the other in flat arrays; joints are stored with a closed one before and after."""

    size: Any
    at: Any
    at_x: Any
    at_y: Any
    gx: Any
    gy: Any
    own: Any
    inverse: Any
    x: Any
    b: Any


@compilable
def levels(rows: int, columns: int) -> Levels:
    """Make room for a net and its coarser ones."""
    size = np.empty((DEEPEST, 2), np.int64)
    at, at_x, at_y = np.zeros(DEEPEST + 1, np.int64), np.zeros(DEEPEST + 1, np.int64), np.zeros(DEEPEST + 1, np.int64)
    for level in range(DEEPEST):
        size[level, 0], size[level, 1] = rows, columns
        at[level + 1] = at[level] + rows * columns
        at_x[level + 1] = at_x[level] + rows * (columns + 1)
        at_y[level + 1] = at_y[level] + (rows + 1) * columns
        rows, columns = (rows + 1) // 2, (columns + 1) // 2
    cells = at[DEEPEST]
    return Levels(
        size,
        at,
        at_x,
        at_y,
        np.zeros(at_x[DEEPEST]),
        np.zeros(at_y[DEEPEST]),
        np.zeros(cells),
        np.zeros(cells),
        np.zeros(cells),
        np.zeros(cells),
    )


@compilable
def cells_of(net: Levels, flat: Any, level: int) -> Any:
    """View a flat array of cells at one level."""
    return flat[net.at[level] : net.at[level + 1]].reshape((net.size[level, 0], net.size[level, 1]))


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
def _sweep(x: Any, b: Any, gx: Any, gy: Any, inverse: Any, colour: int, coarse: Any, relaxes: bool) -> None:
    """Balance the cells of one colour, or add what they are out by to the coarser net."""
    rows, columns = x.shape
    for j in range(rows):
        for i in range((j + colour) & 1, columns, 2):
            total = b[j, i]
            if i > 0:
                total += gx[j, i] * x[j, i - 1]
            if i < columns - 1:
                total += gx[j, i + 1] * x[j, i + 1]
            if j > 0:
                total += gy[j, i] * x[j - 1, i]
            if j < rows - 1:
                total += gy[j + 1, i] * x[j + 1, i]
            if relaxes:
                x[j, i] = total * inverse[j, i]
            elif inverse[j, i] > 0.0:
                coarse[j // 2, i // 2] += total - x[j, i] / inverse[j, i]


@compilable
def _relax(net: Levels, level: int, colours: tuple[int, int]) -> None:
    x, b, inverse = cells_of(net, net.x, level), cells_of(net, net.b, level), cells_of(net, net.inverse, level)
    gx, gy = joints_x(net, level), joints_y(net, level)
    for colour in colours:
        _sweep(x, b, gx, gy, inverse, colour, x, True)


@compilable
def cycle(net: Levels) -> None:
    """Work out ``x`` of the finest net from its ``b`` by one cycle from nothing, the same forwards and backwards."""
    for level in range(DEEPEST - 1):
        x, b, inverse = cells_of(net, net.x, level), cells_of(net, net.b, level), cells_of(net, net.inverse, level)
        x[:] = 0.0
        _relax(net, level, (0, 1))
        coarse = cells_of(net, net.b, level + 1)
        coarse[:] = 0.0
        # Cells of the colour swept last are in balance.
        _sweep(x, b, joints_x(net, level), joints_y(net, level), inverse, 0, coarse, False)
    cells_of(net, net.x, DEEPEST - 1)[:] = 0.0
    for _ in range(_COARSEST_SWEEPS):
        _relax(net, DEEPEST - 1, (0, 1))
        _relax(net, DEEPEST - 1, (1, 0))
    for level in range(DEEPEST - 2, -1, -1):
        x, inverse = cells_of(net, net.x, level), cells_of(net, net.inverse, level)
        coarse = cells_of(net, net.x, level + 1)
        rows, columns = x.shape
        for j in range(rows):
            for i in range(columns):
                if inverse[j, i] > 0.0:
                    x[j, i] += coarse[j // 2, i // 2]
        _relax(net, level, (1, 0))
