"""Degrees by cause: what each fault of a package adds to the coolant, shared out exactly.

    PLAYERS    the seven causes
    causes     their shares of the rise over a clean reference, per draw

Shapley's shares (1953, from memory): each cause is charged the mean of what it adds over every order in
which the faults could have been put in. They add up to the whole exactly, whatever the faults do to
each other.
"""

from collections.abc import Callable, Mapping
from math import factorial
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

MOST_RISE = 150.0
"""A rise is counted no further; past it nothing but "far too hot" is meant, [K rise]"""

PLAYERS = (
    "coverage and plenum",
    "recirculation",
    "volts",
    "condenser",
    "stop-go heat",
    "blocked core",
    "coolant flow",
)

Cleaner = Callable[[Any], None]
Solver = Callable[[Any], Any]


class Causes(NamedTuple):
    """Rise of coolant over outside air, K: clean, as it is, and each cause's share, one value per draw."""

    clean: NDArray[np.float64]
    actual: NDArray[np.float64]
    shares: dict[str, NDArray[np.float64]]


def causes(rows: NDArray[Any], cleaners: Mapping[str, Cleaner], solve: Solver) -> Causes:
    """Share the rise over a clean reference out among the causes.

    Parameters
    ----------
    rows : array
        Records of one driving case as it is, shape (n,).
    cleaners : mapping of str to callable
        For each cause, what puts it right in rows, in place.
    solve : callable
        Rows to results, such as `pack.kernel.solve_batch` with its table.

    Returns
    -------
    Causes
        Shares add up to actual less clean, draw by draw; a cause with nothing to put right has none.
    """
    names = [name for name, clean in cleaners.items() if _mends(clean, rows)]
    count, n = len(rows), len(names)
    every = np.tile(rows, 2**n).view(np.recarray)
    for subset in range(2**n):
        part = every[subset * count : (subset + 1) * count]
        for i, name in enumerate(names):
            if not subset >> i & 1:
                cleaners[name](part)
    found = solve(every).coolant_unregulated - every["ambient"]
    rise = np.minimum(np.where(np.isfinite(found), found, MOST_RISE), MOST_RISE).reshape(2**n, count)
    shares = {}
    for i, name in enumerate(names):
        without = [subset for subset in range(2**n) if not subset >> i & 1]
        weights = np.array([_weight(subset.bit_count(), n) for subset in without])
        added = rise[[subset | 1 << i for subset in without]] - rise[without]
        shares[name] = weights @ added
    return Causes(rise[0], rise[-1], shares)


def _mends(clean: Cleaner, rows: NDArray[Any]) -> bool:
    mended = rows.copy().view(np.recarray)
    clean(mended)
    return mended.tobytes() != rows.tobytes()


def _weight(size: int, players: int) -> float:
    return factorial(size) * factorial(players - size - 1) / factorial(players)
