"""Quasi-random draws of every uncertain number in a job.

    draw    path -> values; row 0 holds the medians
"""

from collections.abc import Mapping
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

SEED = 20261
DRAWS = 2048


class Uncertain(Protocol):
    """Anything with a band and a quantile function."""

    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...
    @property
    def median(self) -> float: ...
    def quantile(self, u: NDArray[np.float64]) -> NDArray[np.float64]: ...


def draw(priors: Mapping[str, Uncertain], count: int = DRAWS, seed: int = SEED) -> dict[str, NDArray[np.float64]]:
    """Draw every uncertain number.

    Parameters
    ----------
    priors : mapping
        Path to prior; those of no width keep one value in every draw.
    count : int
        Draws; a power of two keeps the sequence balanced.
    seed : int
        Of the scrambling, so that the same job gives the same answer.

    Returns
    -------
    dict
        Path to array of shape (count + 1,); row 0 is the median of every prior.
    """
    moving = sorted(path for path, prior in priors.items() if prior.high > prior.low)
    drawn = {path: np.full(count + 1, prior.median) for path, prior in priors.items()}
    if moving:
        shares = qmc.Sobol(len(moving), scramble=True, rng=np.random.default_rng(seed)).random(count)
        for column, path in enumerate(moving):
            drawn[path][1:] = priors[path].quantile(np.clip(shares[:, column], 1e-6, 1.0 - 1e-6))
    return drawn
