"""Which coolers stand ahead of which part of the core's face.

stacks     the face cut along the edges of the coolers, as shares
without    the same with one cooler taken away
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers = NDArray[np.float64]
Span = tuple[ArrayLike, ArrayLike]


class Stacks(NamedTuple):
    """The face by set of coolers; bit i of a set's number is cooler i."""

    stack_share: Numbers
    lane_share: Numbers
    segment_share: Numbers
    segment_coolers: Numbers


def stacks(along: Sequence[Span], across: Sequence[Span], length: ArrayLike, stack: ArrayLike, most: int) -> Stacks:
    """Shares of the face, of the tubes and of their length behind each set of coolers.

    Parameters
    ----------
    along : sequence of (array, array)
        From and to of every cooler along the tubes, from the coolant's inlet, each shape (n,), [m]
    across : sequence of (array, array)
        Likewise across the tubes, [m]
    length : array
        Of the tubes, shape (n,), [m]
    stack : array
        Of the stack of tubes, shape (n,), [m]
    most : int
        Coolers the shares leave room for, [-]

    Returns
    -------
    stack_share : array
        Of the face behind each set, shape (n, 2**most), [-]
    lane_share : array
        Of the tubes that pass behind each set somewhere, likewise, [-]
    segment_share : array
        Of the tubes' length between one cooler edge and the next, shape (n, 2 most + 1), [-]
    segment_coolers : array
        Set of coolers that reach over each length, likewise, [-]

    Notes
    -----
    Limits: upright rectangles; what hangs past the face does not count. Accuracy: exact.

    References
    ----------
    Geometry.
    """
    length, stack = np.asarray(length, float), np.asarray(stack, float)
    segment_share, segment_coolers = _cut(along, length, most)
    parts, coolers = _cut(across, stack, most)
    lane_share = _gathered(parts, coolers, 2**most)
    cells = segment_share[:, :, np.newaxis] * parts[:, np.newaxis, :]
    sets = segment_coolers[:, :, np.newaxis] & coolers[:, np.newaxis, :]
    stack_share = _gathered(cells.reshape(len(length), -1), sets.reshape(len(length), -1), 2**most)
    return Stacks(stack_share, lane_share, segment_share, segment_coolers.astype(float))


def _cut(spans: Sequence[Span], whole: Numbers, most: int) -> tuple[Numbers, NDArray[np.int64]]:
    """Cut a length at the ends of spans: the share of each piece and the set of spans over it."""
    ends = [np.clip(np.asarray(end, float), 0.0, whole) for span in spans for end in span]
    spare = [whole] * (2 * most + 1 - len(ends))
    edges = np.sort(np.stack([np.zeros_like(whole), *ends, *spare], axis=1), axis=1)
    middle = 0.5 * (edges[:, 1:] + edges[:, :-1])
    over = np.zeros(middle.shape, dtype=np.int64)
    for i, (start, end) in enumerate(spans):
        inside = (middle > np.asarray(start, float).reshape(-1, 1)) & (middle < np.asarray(end, float).reshape(-1, 1))
        over |= inside.astype(np.int64) << i
    return np.diff(edges, axis=1) / whole[:, np.newaxis], over


def _gathered(shares: Numbers, sets: NDArray[np.int64], count: int) -> Numbers:
    """Add up shares by set."""
    rows = np.arange(len(shares))[:, np.newaxis] * count
    flat = np.bincount((rows + sets).ravel(), shares.ravel(), minlength=len(shares) * count)
    return np.asarray(flat.reshape(len(shares), count), float)


def without(cut: Stacks, cooler: int) -> Stacks:
    """The same face with one cooler taken away.

    Parameters
    ----------
    cut : Stacks
        From `stacks`.
    cooler : int
        Which one, counted from 0, [-]

    Returns
    -------
    stack_share, lane_share, segment_share, segment_coolers : array
        As from `stacks`, [-]

    Notes
    -----
    Limits: none. Accuracy: exact.

    References
    ----------
    Geometry.
    """
    sets = np.arange(cut.stack_share.shape[1])
    behind, bare = sets[sets >> cooler & 1 == 1], sets[sets >> cooler & 1 == 0]

    def merged(shares: Numbers) -> Numbers:
        left = np.zeros_like(shares)
        left[:, bare] = shares[:, bare] + shares[:, behind]
        return left

    reach = cut.segment_coolers.astype(np.int64) & ~(1 << cooler)
    return Stacks(merged(cut.stack_share), merged(cut.lane_share), cut.segment_share, reach.astype(float))
