"""Stratified draws of every uncertain number in a job.

    draw            path -> values; row 0 holds the medians
    equal_shares    the shares of chance behind one input

Latin hypercube: each input meets each of its ``count`` equal shares of chance exactly once, in an order
of its own. The answers are nearly sums of their inputs' effects, and for sums this is about as good as
any even sequence, needs no more than numpy, and holds in a hundred dimensions (McKay, Beckman and
Conover, Technometrics 21 (1979) 239, from memory).
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from shroudwright.job.priors import Prior

SEED = 20261
DRAWS = 2000


def draw(priors: Mapping[str, Prior], count: int = DRAWS, seed: int = SEED) -> dict[str, NDArray[np.float64]]:
    """Draw every uncertain number.

    Parameters
    ----------
    priors : mapping
        Path to prior; those of no width keep one value in every draw.
    count : int
        Draws.
    seed : int
        Fixed, so that the same job gives the same answer.

    Returns
    -------
    dict
        Path to array of shape (count + 1,); row 0 is the median of every prior.
    """
    random = np.random.default_rng(seed)
    drawn = {path: np.full(count + 1, prior.median) for path, prior in priors.items()}
    for path, prior in sorted(priors.items()):
        if prior.high > prior.low:
            drawn[path][1:] = prior.quantile(equal_shares(random, count))
    return drawn


def equal_shares(random: np.random.Generator, count: int) -> NDArray[np.float64]:
    """Return one share of chance from each of equally many parts, in an order of their own, shape (count,)."""
    return (random.permutation(count) + random.random(count)) / count
