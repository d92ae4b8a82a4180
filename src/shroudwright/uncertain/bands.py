"""Bands, chances, and what moves an answer most.

band, chance, with_nine_in_ten, verdict, leverage, chance_near_median
"""

from collections.abc import Mapping, Sequence
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

HOLDS = 0.90
FAILS = 0.50


class Spread(NamedTuple):
    """Median and 90 % band of a figure."""

    value: float
    low: float
    high: float


def band(draws: NDArray[np.float64]) -> Spread | None:
    """Return the median, 5 % and 95 % points of the draws, or None where one in twenty has no answer.

    Parameters
    ----------
    draws : array
        One value per draw; nan where a draw has no steady state.

    Returns
    -------
    Spread or None
        In the draws' own unit.
    """
    known = np.isfinite(draws)
    if np.mean(known) < 0.95:
        return None
    low, value, high = np.quantile(draws[known], [0.05, 0.50, 0.95])
    return Spread(float(value), float(low), float(high))


def chance(holds: NDArray[np.bool_]) -> float:
    """Return the share of draws that hold."""
    return float(np.mean(holds))


def with_nine_in_ten(ambient_held: NDArray[np.float64]) -> float | None:
    """Return the outside air at which nine draws in ten still hold; a draw that never holds counts as cold."""
    held = np.where(np.isnan(ambient_held), -np.inf, ambient_held)
    worst = float(np.quantile(held, 1.0 - HOLDS, method="lower"))
    return worst if np.isfinite(worst) else None


Verdict = Literal["holds", "marginal", "does not hold"]


def verdict(chance_of_holding: float) -> Verdict:
    """Return ``holds``, ``marginal`` or ``does not hold`` for a chance."""
    if chance_of_holding >= HOLDS:
        return "holds"
    return "does not hold" if chance_of_holding < FAILS else "marginal"


def leverage(
    drawn: Mapping[str, NDArray[np.float64]], figures: Sequence[NDArray[np.float64]]
) -> list[list[tuple[str, float]]]:
    """Rank the uncertain inputs by the share of each figure's rank variance every one explains alone.

    Parameters
    ----------
    drawn : mapping
        Path to draws, without the row of medians.
    figures : sequence of array
        Each figure, one value per draw; nan sorts last.

    Returns
    -------
    list of list of (path, share)
        For each figure, largest first; inputs that do not move are left out.
    """
    moving = [path for path, values in drawn.items() if np.ptp(values) > 0.0]
    if not moving or not figures:
        return [[] for _ in figures]
    ranks = _centred_ranks(np.array([drawn[path] for path in moving]))
    targets = _centred_ranks(np.array([np.where(np.isfinite(figure), figure, np.inf) for figure in figures]))
    r = targets @ ranks.T / np.sqrt(np.outer((targets**2).sum(axis=1), (ranks**2).sum(axis=1)))
    return [sorted(zip(moving, (row**2).tolist(), strict=True), key=lambda item: -item[1]) for row in r]


def chance_near_median(values: NDArray[np.float64], holds: NDArray[np.bool_]) -> float:
    """Return the chance of holding among the middle fifth of an input: what is left once it reads as guessed."""
    low, high = np.quantile(values, [0.4, 0.6])
    return chance(holds[(values >= low) & (values <= high)])


def _centred_ranks(values: NDArray[np.float64]) -> NDArray[np.float64]:
    order = np.argsort(np.argsort(values, axis=-1, kind="stable"), axis=-1, kind="stable")
    return np.asarray(order - 0.5 * (values.shape[-1] - 1))
