"""Large symmetric systems whose unknowns stand in columns, each tied to its neighbours only.

Chain    such a system, its products
Solver   the same taken apart once, for any number of right-hand sides
slowest  the lowest natural frequencies of a stiffness and a mass of this kind
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
_SPARE, _TURNS, _SETTLED = 5, 80, 1e-10


class Chain(NamedTuple):
    """Blocks on the diagonal, one per column, and blocks from each column to the next."""

    own: Numbers
    """(columns, n, n)"""
    next: Numbers
    """(columns - 1, n, n): rows of a column, columns of the one after"""

    def __matmul__(self, x: Numbers) -> Numbers:
        """Multiply by vectors, shape (columns, n, vectors)."""
        product: Numbers = self.own @ x
        product[:-1] += self.next @ x[1:]
        product[1:] += self.next.transpose(0, 2, 1) @ x[:-1]
        return product

    def held(self, free: NDArray[np.bool_]) -> "Chain":
        """Cut what is not free out of the system; shape of ``free`` (columns, n)."""
        kept = free.astype(np.float64)
        return Chain(self.own * kept[:, :, None] * kept[:, None, :], self.next * kept[:-1, :, None] * kept[1:, None, :])


class Solver:
    """A positive definite chain, eliminated column by column."""

    def __init__(self, chain: Chain) -> None:
        self.next = chain.next
        inverse = [np.linalg.inv(chain.own[0])]
        for own, link in zip(chain.own[1:], chain.next, strict=True):
            inverse.append(np.linalg.inv(own - link.T @ inverse[-1] @ link))
        self.inverse = inverse

    def __call__(self, right: Numbers) -> Numbers:
        """Solve for right-hand sides, shape (columns, n, vectors)."""
        x = right.copy()
        for i, link in enumerate(self.next, start=1):
            x[i] -= link.T @ (self.inverse[i - 1] @ x[i - 1])
        x[-1] = self.inverse[-1] @ x[-1]
        for i in range(len(self.next) - 1, -1, -1):
            x[i] = self.inverse[i] @ (x[i] - self.next[i] @ x[i + 1])
        return x


def slowest(solver: Solver, mass: Chain, free: NDArray[np.bool_], count: int) -> tuple[Numbers, Numbers]:
    """Find the lowest natural frequencies by subspace iteration.

    Parameters
    ----------
    solver : Solver
        Of the stiffness.
    mass : Chain
        Of the same unknowns, nothing where they are held.
    free : ndarray of bool
        What is not held, (columns, n).
    count : int
        How many.

    Returns
    -------
    squares : ndarray
        Angular frequencies squared, the lowest first, [rad**2/s**2]
    shapes : ndarray
        (columns, n, count), each of unit mass.

    Notes
    -----
    The start is the same every time, so the answer is too. Each is a Rayleigh quotient, at or above the true one.
    """
    start = np.random.default_rng(1).standard_normal((*free.shape, count + _SPARE))
    shapes: Numbers = start * free[:, :, None]
    before = np.full(count, np.inf)
    for _ in range(_TURNS):
        moved = mass @ shapes
        bent = solver(moved)
        stiff, heavy = _between(bent, moved), _between(bent, mass @ bent)
        # Unit mass first: the small problem is then an ordinary symmetric one.
        root = np.linalg.inv(np.linalg.cholesky(heavy))
        squares, turn = np.linalg.eigh(root @ (0.5 * (stiff + stiff.T)) @ root.T)
        shapes = bent @ (root.T @ turn)
        if np.all(np.abs(squares[:count] - before) <= _SETTLED * squares[:count]):
            break
        before = squares[:count]
    return squares[:count], shapes[:, :, :count]


def _between(one: Numbers, other: Numbers) -> Numbers:
    product: Numbers = np.tensordot(one, other, axes=([0, 1], [0, 1]))
    return product
