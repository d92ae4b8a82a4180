"""A job with its blanks filled: every number as an array of draws, every word as chosen.

Filled    look up numbers and words by path
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from shroudwright.job.model import Job


@dataclass(frozen=True)
class Filled:
    """A job, the draws of its numbers (row 0 the medians), and its words."""

    job: Job
    drawn: Mapping[str, NDArray[np.float64]]
    words: Mapping[str, str | bool]
    used: set[str] = field(default_factory=set)
    """Paths of the numbers that have been asked for."""

    def __getitem__(self, path: str) -> NDArray[np.float64]:
        """Return the draws of a number."""
        self.used.add(path)
        return self.drawn[path]

    def median(self, path: str) -> float:
        """Return the median of a number."""
        return float(self[path][0])

    def known(self, path: str) -> NDArray[np.float64] | None:
        """Return the draws of a number that has no guess, or None where nobody gave it."""
        return self[path] if path in self.drawn else None

    def word(self, path: str) -> str | bool:
        """Return a word, typed or guessed."""
        return self.words[path]

    def case(self, index: int, field: str, elsewhere: str) -> NDArray[np.float64]:
        """Return a case's own number, or the job's where the case says nothing."""
        own = self.known(f"cases.{index}.{field}")
        return self[elsewhere] if own is None else own

    @property
    def count(self) -> int:
        """Rows in every array of draws."""
        return len(next(iter(self.drawn.values())))
