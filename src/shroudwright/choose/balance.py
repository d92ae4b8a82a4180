"""What every stage of choosing needs: the job and shelf at work, sets that have been balanced, solved rows.

Work, Balanced    job and shelf; one set
Cancelled         raised where it was called off
margins           limit less coolant
solved            margins and results of one driving case
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.errors import ShopError
from shroudwright.choose.record import SetAnswer
from shroudwright.choose.sizes import Candidate
from shroudwright.fan_sets import Batch, Known
from shroudwright.job.shelf import ShelfFan
from shroudwright.pack.kernel import solve_batch
from shroudwright.speech import Dialect

ENOUGH = 30.0
NEAR = 20.0
"""A case with this much more margin than the worst, or than none, is surer than that one, [K rise]"""

Progress = Callable[[str, float], None]
Leading = Callable[[int, "Sequence[Balanced]"], None]
"""Told how many sets have been looked at, and those that go on, best first"""


class Cancelled(ShopError):
    """Choosing was called off; nothing has been written."""


@dataclass(frozen=True)
class Work:
    """What every stage needs."""

    known: Known
    shelf: Sequence[ShelfFan]
    table: NDArray[np.float64]
    asked: NDArray[np.float64]
    """seconds a pull must last, by case"""
    shop: Dialect
    tell: Progress
    is_off: Callable[[], bool]
    lead: Leading = lambda tried, sets: None

    def step(self, words: str, done: float) -> None:
        """Tell how far it has come, and stop where it was called off."""
        if self.is_off():
            raise Cancelled("called off; nothing was written")
        self.tell(words, done)


@dataclass
class Balanced:
    """A set at the middle of every guess, and after the draws."""

    candidate: Candidate
    margins: NDArray[np.float64]
    """by case, [K rise]; -inf without a steady state"""
    air: float
    highest_amps: float
    governing: int = 0
    answer: SetAnswer | None = None

    @property
    def least(self) -> float:
        """Least margin over all cases."""
        return float(self.margins.min())

    def may_govern(self, index: int) -> bool:
        """Whether a case's margin is near enough to the least for the draws to tell which is the less sure."""
        return bool(self.margins[index] <= max(self.least, 0.0) + NEAR)

    def order(self) -> tuple[float, float, float, float]:
        """Margin up to `ENOUGH`, air where it never settles, amps, then the margin itself; the least leads."""
        stuck = 0.0 if np.isfinite(self.least) else -self.air
        return (-min(self.least, ENOUGH), stuck, self.highest_amps, -self.least)


def margins(work: Work, index: int, p: Any, limit: NDArray[np.float64], r: Any) -> NDArray[np.float64]:
    """Limit less coolant, K; a pull's coolant climbs in a straight line to the limit, and is read when it must last."""
    if work.known.job.cases[index].kind == "pull":
        climb = limit - p.pull_start
        with np.errstate(divide="ignore"):
            margin = climb * (1.0 - work.asked[index] / r.seconds_to_limit)
    else:
        margin = limit - r.coolant_unregulated
    return np.asarray(np.where(np.isnan(margin), -np.inf, margin))


def solved(work: Work, batch: Batch, index: int) -> tuple[NDArray[np.float64], Any]:
    """Margins and results of one case of a batch, shape (sets, picked)."""
    return solve_rows(work, batch.case(index), index)


def solve_rows(work: Work, rows: NDArray[Any], index: int) -> tuple[NDArray[np.float64], Any]:
    """Margins and results of rows of one case, in their shape; no ambient is searched for."""
    p = rows.ravel().view(np.recarray)
    limit = p.limit.copy()
    if work.known.job.cases[index].kind != "pull":
        p.limit = np.nan
    r = solve_batch(p, work.table)
    return margins(work, index, p, limit, r).reshape(rows.shape), r.reshape(rows.shape)
